"""Which symbols a circuit has, and which of its tanks are tanks."""

from __future__ import annotations

from tests.draw.drawn import machine

from oilway.draw.circuit_parts import LOADS, UNDRAWN, is_held, outer_valves, own_parts, symbols_of, tank_lines
from oilway.model.catalogue import kinds


def test_every_kind_of_part_is_drawn_or_named_as_undrawn() -> None:
    """A new element without a symbol fails here, not on a page."""
    drawn = {kind for kind, element in kinds().items() if element.ports and kind != "face"}
    assert drawn | set(UNDRAWN) | set(LOADS) == set(kinds())


def test_a_valve_inside_a_valve_has_no_symbol() -> None:
    made = machine("stand of port relief")
    assert len(made.mounted) == 2
    assert [m.name for m in outer_valves(made)] == [made.title]


def test_parts_of_a_valve_are_not_parts_of_the_machine() -> None:
    names = [part.name for part in own_parts(machine("tipping_hoist"))]
    assert "box" in names
    assert not [n for n in names if n.startswith("main relief.")]


def test_a_load_stands_with_its_cylinder() -> None:
    names = [s.name for s in symbols_of(machine("tipping_hoist"))]
    assert "hoist cylinder" in names
    assert "box" not in names


def test_a_return_line_counts_with_the_tank_a_working_line_does_not() -> None:
    assert tank_lines(machine("tipping_hoist")) == {"tank", "return line"}
    assert tank_lines(machine("swing_drive")) == {"tank", "case drain"}, "a line to a cooler is drawn"
    assert tank_lines(machine("stand of load check")) == {"tank", "load line"}, "a pump line that leaks is none"


def test_a_tank_with_a_pressure_or_given_one_by_a_point_is_a_line_held() -> None:
    made = machine("stand of counterbalance")
    assert is_held(made, "load line"), "1500 psi in the file"
    assert is_held(made, "pilot line"), "0 psi in the file, raised by a point"
    assert not is_held(made, "tank")
