"""What was laid out is kept by content: made once, told apart by every value, and not for ever."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import oilway
from oilway.draw.cutaway_layout import lay_out
from oilway.draw.cutaway_valve import shown
from oilway.draw.kept import Kept, content_of
from oilway.draw.pictures import pictures
from oilway.errors import Place
from oilway.model.machine import Machine
from oilway.study.story import HOIST, examples


def test_the_same_content_is_made_once_and_the_oldest_goes() -> None:
    kept: Kept[list[str]] = Kept(2)
    first = kept.get("a", lambda: ["a"])
    kept.get("b", lambda: ["b"])
    assert kept.get("a", list) is first
    kept.get("c", lambda: ["c"])
    assert kept.get("a", list) is first, "used later than b"
    assert kept.get("b", lambda: ["anew"]) == ["anew"]


def test_what_cannot_be_made_is_not_kept() -> None:
    kept: Kept[str] = Kept()

    def fails() -> str:
        raise ValueError("no way")

    with pytest.raises(ValueError, match="no way"):
        kept.get("a", fails)
    assert kept.get("a", lambda: "way") == "way"


def test_a_value_counts_and_a_line_of_the_file_does_not() -> None:
    part = oilway.load("direct relief").parts["poppet"]
    assert content_of([part]) == content_of([replace(part, where=Place("other.yaml", 7))])
    assert content_of([part]) != content_of([replace(part, values={**part.values, "travel": 1.0})])


def saved(folder: Path, old: str, new: str) -> Machine:
    text = (examples() / HOIST).read_text(encoding="utf-8")
    assert old in text
    path = folder / "hoist.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    return oilway.load(path)


def test_a_comment_draws_nothing_anew_and_a_load_only_the_circuit(tmp_path: Path) -> None:
    before = saved(tmp_path, "format: 1", "format: 1")
    same = saved(tmp_path, "format: 1", "# a comment\nformat: 1")
    changed = saved(
        tmp_path,
        "format: 1",
        "format: 1",
    )
    changed.parts["pump"].values["displacement"] = 1.1 * float(changed.parts["pump"].values["displacement"] or 0.0)
    circuits = [pictures(machine)[0].picture for machine in (before, same, changed)]
    assert circuits[0] is circuits[1]
    assert circuits[0] is not circuits[2]
    plans = [lay_out(shown(m, m.mounted[0])) for m in (before, same, changed)]
    assert plans[0] is plans[1]
    assert plans[0] is plans[2]
