"""The whole answer: pairs only where needed, certainty, and an answer of 'none of these'."""

from __future__ import annotations

from typing import Any

from oilway.study.diagnosis import diagnose
from oilway.study.find_readings import read_readings

STALL = "lever valve +1, stalled"


def test_one_clear_cause_is_certain_and_looks_for_no_pairs(hoist: Any) -> None:
    bench, dictionary = hoist
    told = diagnose(bench, dictionary, read_readings(bench, "oil temperature=50 F; pump gauge=1570 psi"))
    assert told.explained
    assert told.pairs == []
    assert told.found.causes[0].name == "oil: cold oil"
    assert told.certain


def test_readings_of_another_machine_are_explained_by_nothing(hoist: Any) -> None:
    bench, dictionary = hoist
    seen = f"pump gauge=2300 psi @ {STALL}; load gauge=2300 psi @ {STALL}; speed of hoist cylinder=20 in/s;"
    seen += "flow of pump=40 gpm"
    told = diagnose(bench, dictionary, read_readings(bench, seen))
    assert not told.explained
    assert not told.certain
