"""What lies along a bore, worked out by hand for valves of each build."""

from __future__ import annotations

from tests.draw.gallery import valve

from oilway.draw.cutaway_column import Column, columns, owned_gaps
from oilway.elements.base import Part


def column(name: str, part: str) -> Column:
    shown = valve(name)
    return next(c for c in columns(shown.parts, shown.volumes) if c.part.name == part)


def order(found: Column) -> list[str]:
    return [s.chamber or (s.part.name if s.part else s.kind) for s in found.slots]


def test_a_poppet_stands_on_its_seat_under_its_spring() -> None:
    found = column("direct relief", "poppet")
    assert order(found) == ["inlet", "seat", "outlet", "land", "spring chamber"]
    assert [s.name for s in found.slots[-1].springs] == ["main spring"]
    assert [g.name for g in found.slots[3].gaps] == ["guide"]
    assert owned_gaps([found]) == {"guide"}


def test_a_poppet_whose_gallery_is_its_spring_chamber_needs_no_land() -> None:
    assert order(column("pilot relief", "pilot poppet")) == ["pilot chamber", "pilot seat", "pilot spring chamber"]


def test_a_ring_that_opens_lies_above_the_seat_and_one_that_shuts_below_the_stem() -> None:
    found = column("counterbalance", "poppet")
    assert order(found) == ["load port", "seat", "valve port", "land", "pilot chamber", "land", "spring chamber"]
    assert [round(s.diameter * 1e3) for s in found.slots if s.kind == "land"] == [8, 16]
    stepped = column("stepped plunger", "plunger")
    assert order(stepped)[3:] == ["land", "spring chamber", "land", "damping chamber"]
    assert [s.chamber for s in stepped.slots if s.springs] == ["spring chamber"]


def test_a_four_way_spool_has_its_galleries_in_the_order_of_a_four_way_spool() -> None:
    """Tank at both ends, then the work ports, pump in the middle; the tandem centre lies outside."""
    rooms = [s.chamber for s in column("lever valve", "spool").rooms if s.chamber]
    assert rooms == ["inlet", "outlet", "port A", "gallery", "port B", "outlet"]


def test_a_piston_below_a_poppet_meets_it_in_the_chamber_of_both() -> None:
    found = column("accumulator unloading", "pilot poppet")
    assert order(found) == ["system", "land", "back chamber", "pilot seat", "pilot spring chamber"]
    assert (found.slots[2].ends, found.slots[2].begins) == (True, True)


def test_a_spring_that_pushes_open_lies_below() -> None:
    found = column("reducing", "spool")
    assert found.slots[0].chamber == "spring chamber"
    assert [s.name for s in found.slots[0].springs] == ["main spring"]


def test_a_part_without_faces_moves_between_two_rooms_of_air() -> None:
    lever = Part("spool", "lever", {"stroke": 5e-3}, {})
    edge = Part("edge", "spool edge", {"on": "spool", "diameter": 0.01, "opens": "as the part lifts"},
                {"from": "a", "to": "b"})  # fmt: skip
    (found,) = columns({"spool": lever, "edge": edge}, {})
    assert order(found) == ["room", "land", "a", "edge", "b", "land", "room"]
    assert found.chambers() == {"a", "b"}
    assert columns({"spool": lever}, {}) == []


def test_two_edges_of_one_kind_between_other_chambers_are_two_walks() -> None:
    lever = Part("spool", "lever", {"stroke": 5e-3}, {})
    parts = {"spool": lever}
    for name, ends in (("e", "ab"), ("f", "cd")):
        values: dict[str, float | str | None] = {"on": "spool", "diameter": 0.01, "opens": "as the part lifts"}
        parts[name] = Part(name, "spool edge", values, {"from": ends[0], "to": ends[1]})
    (found,) = columns(parts, {})
    assert order(found) == ["room", "land", "a", "e", "b", "land", "c", "f", "d", "land", "room"]
