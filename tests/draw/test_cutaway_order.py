"""Columns stand beside what they are joined to; rooms of one column share a side with what they are joined to."""

from __future__ import annotations

from tests.draw.gallery import valve

from oilway.draw.cutaway_column import columns
from oilway.draw.cutaway_order import in_order, sides_of
from oilway.elements.base import Part


def test_the_widest_part_stands_first_and_joined_ones_side_by_side() -> None:
    shown = valve("solenoid vented relief")
    loose = [p for p in shown.parts.values() if p.kind == "orifice"]
    found = in_order(columns(shown.parts, shown.volumes), loose)
    assert found[0].part.name == "relief.main part"

    def disjoint(k: int) -> bool:
        return not found[k].chambers() & found[k + 1].chambers()

    assert not disjoint(0)


def test_rooms_joined_by_a_restriction_share_a_side() -> None:
    shown = valve("lever valve")
    (column,) = columns(shown.parts, shown.volumes)
    check = shown.parts["load check"]
    sides = sides_of(column, [check])
    assert sides["inlet"] == sides["gallery"]
    assert set(sides.values()) == {-1, 1}


def test_each_room_gets_a_side_without_restrictions_too() -> None:
    shown = valve("load check")
    (column,) = columns(shown.parts, shown.volumes)
    assert set(sides_of(column, [])) == {"inlet", "load port"}
    elsewhere = Part("x", "orifice", {}, {"from": "nowhere", "to": "beyond"})
    assert sides_of(column, [elsewhere]) == sides_of(column, [])
