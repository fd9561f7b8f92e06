"""A valve keeps its own chambers in its picture, whatever it stands in."""

from __future__ import annotations

from pathlib import Path

from tests.draw.gallery import valve

import oilway
from oilway.draw.cutaway_valve import shown

HOIST = Path(__file__).parents[2] / "examples" / "tipping_hoist.yaml"


def test_two_ports_into_one_tank_stay_two_chambers() -> None:
    found = valve("solenoid vented relief")
    assert found.chambers["outlet"] == found.chambers["drain"] == "tank"


def test_chambers_of_a_valve_inside_are_those_of_the_outer_one_where_they_are_joined() -> None:
    found = valve("crossover relief")
    assert found.parts["relief A.seat"].nodes == {"from": "line A", "to": "line B"}
    assert found.parts["relief B.seat"].nodes == {"from": "line B", "to": "line A"}
    assert "relief A.spring chamber" in found.chambers


def test_a_vent_is_plugged_until_something_is_connected() -> None:
    ports = {p.letter: p.plugged for p in valve("pilot relief").ports}
    assert ports == {"P": False, "T": False, "X": True}
    hoist = oilway.load(HOIST)
    mounted = next(m for m in hoist.mounted if m.name == "main relief")
    found = shown(hoist, mounted)
    assert found.chambers["main relief.inlet"] == "pump line"
    assert found.called("main relief.inlet") == "inlet"


def test_names_are_short_where_no_other_is_called_so() -> None:
    assert valve("port relief").called("relief.poppet") == "poppet"
    assert valve("crossover relief").called("relief A.poppet") == "relief A.poppet"


def test_an_option_not_taken_is_not_drawn() -> None:
    inside = oilway.load("direct relief")
    outside = oilway.load("direct relief", {"drain": "external"})
    assert {p.letter for p in shown(inside, inside.mounted[0]).ports} == {"P", "T"}
    assert {p.letter for p in shown(outside, outside.mounted[0]).ports} == {"P", "T", "Y"}
