"""The symbol of a mounted valve: chosen by what it acts as and its ports, its arrow in line when it is open."""

from __future__ import annotations

import pytest
from tests.draw.drawn import FILES, drawing, machine, painted, state

import oilway
from oilway.draw.symbols_valves import SHIFT, inside, valve
from oilway.model.catalogue import VALVES, shipped_valves

STANDS = [name for name in FILES if name.startswith("stand of")]


@pytest.mark.parametrize("name", STANDS)
def test_a_shipped_valve_has_a_symbol_of_its_own_with_all_its_ports(name: str) -> None:
    made = machine(name)
    mounted = made.mounted[0]
    symbol = valve(made, mounted)
    assert sorted(m.port for m in symbol.mouths) == [p.name for p in mounted.connected()]
    assert symbol.height < 200, "the box of a valve that says nothing would name its ports"


def test_a_valve_that_does_not_say_what_it_acts_as_is_a_box_with_its_ports(tmp_path) -> None:
    text = (VALVES / "counterbalance.yaml").read_text(encoding="utf-8").replace("acts as: counterbalance\n", "")
    (tmp_path / "own.yaml").write_text(text, encoding="utf-8")
    made = oilway.load(tmp_path / "own.yaml")
    symbol = valve(made, made.mounted[0])
    assert {m.port: m.side for m in symbol.mouths} == {"L": "down", "V": "down", "X": "left"}


@pytest.mark.parametrize(
    ("name", "staged", "check"),
    [
        ("direct relief", False, False),
        ("pilot relief", True, False),
        ("pilot reducing", True, False),
        ("reducing", False, False),
        ("counterbalance", False, True),
        ("sequence", False, True),
        ("port relief", False, True),
    ],
)
def test_pilot_stage_and_check_are_seen_in_its_parts(name: str, staged: bool, check: bool) -> None:
    made = machine(f"stand of {name}")
    seen = inside(made, made.mounted[0])
    assert (seen.staged, seen.check) == (staged, check)


def test_the_main_part_is_the_one_that_opens_the_main_way() -> None:
    mains = {name: inside(machine(f"stand of {name}"), machine(f"stand of {name}").mounted[0]).main
             for name in ("pilot relief", "pilot reducing", "brake", "port relief")}  # fmt: skip
    assert mains == {"pilot relief": "main part", "pilot reducing": "main spool", "brake": "spool",
                     "port relief": "relief.poppet"}  # fmt: skip


@pytest.mark.parametrize("name", ["tipping_hoist", "stand of direct relief"])
def test_the_arrow_stands_off_the_line_while_seated_and_comes_in_as_it_opens(name: str) -> None:
    picture, at = drawing(name).picture, state(name)
    binding = next(b for b in picture.bindings if b.channel.startswith("share:"))
    assert binding.options["dx"] == SHIFT, "off by as much as it comes in"
    arrow = next(e for e in painted(name).iter() if e.get("id") == binding.id)
    status = at.statuses[binding.channel.removeprefix("share:")]
    moved = float(arrow.get("transform", "").removeprefix("translate(").split()[0])
    assert moved == pytest.approx(SHIFT * status.lift / status.travel, abs=0.01)
    assert (moved == 0) == (status.word == "seated")


def test_every_shipped_valve_has_a_stand_that_is_drawn() -> None:
    assert {f"stand of {name}" for name in shipped_valves()} == set(STANDS)
