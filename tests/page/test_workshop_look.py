"""A look at a text: painted where it can be solved, else what is complete, and nothing that is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.page.workshop import BARE_VALVE, BLANK
from oilway.page.workshop_look import look, sketch

PARTS = (
    "poppet: {kind: moving part, mass: 70 g, travel: 3 mm, viscous friction: 300 N s/m}",
    "inlet face: {kind: face, on: poppet, chamber: inlet, diameter: 11 mm, pushes: open}",
    "outlet face: {kind: face, on: poppet, chamber: outlet, diameter: 11 mm, pushes: shut}",
    "spring: {kind: spring, on: poppet, rate: 250 N/mm, compression: 5 mm}",
    "seat: {kind: poppet seat, on: poppet, from: inlet, to: outlet, diameter: 11 mm, half angle: 45 deg}",
)


def test_the_cutaway_grows_part_by_part(tmp_path: Path) -> None:
    text, drawn = BARE_VALVE, []
    for part in PARTS:
        text += f"  {part}\n"
        seen = look(text, tmp_path)
        assert seen["problem"] is None, part
        cut = seen["pictures"][0]
        assert cut["sort"] == "cutaway"
        drawn.append(cut["svg"].count("<"))
        assert f'data-part="{part.partition(":")[0]}"' in cut["svg"] or "face" in part
    assert drawn[-1] > drawn[0]


def test_a_sketch_leaves_out_what_stands_on_what_is_left_out(tmp_path: Path) -> None:
    text = BARE_VALVE + "  poppet: {kind: moving part}\n" + "".join(f"  {part}\n" for part in PARTS[1:])
    machine, left = sketch(text, tmp_path)
    assert machine is not None
    assert set(left) == {"poppet", "inlet face", "outlet face", "spring", "seat"}
    assert not {"poppet", "seat"} & set(machine.parts)


@pytest.mark.parametrize("text", ["", "a: [", "format: 1\nmachine: x\n", BLANK.replace("format: 1", "format: 9")])
def test_where_too_little_is_left_there_is_no_picture(text: str, tmp_path: Path) -> None:
    seen = look(text, tmp_path)
    assert seen["pictures"] == []
    assert seen["problem"]["what"]


def test_what_cannot_be_solved_is_drawn_without_numbers(tmp_path: Path) -> None:
    seen = look(BLANK.replace("T: tank", "T: tank, setting: 9999 psi at 1 gpm"), tmp_path)
    assert "out of its adjuster's reach" in seen["problem"]["what"]
    assert seen["left out"] == []
    assert len(seen["pictures"]) == 2
    assert "frame" not in seen
