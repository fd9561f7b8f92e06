"""Words beside parts: who gets them, and lines that cross nothing."""

from __future__ import annotations

import pytest
from tests.draw.gallery import VALVES, plan

from oilway.draw.cutaway_place import Box
from oilway.draw.cutaway_tags import crosses, dial_box, in_two, leader, meet, wanted_tags


@pytest.mark.parametrize("name", VALVES)
def test_every_part_seat_edge_gap_and_plain_spring_is_named(name: str) -> None:
    drawn = plan(name)
    tagged = {t[0] for t in wanted_tags(drawn)}
    assert tagged == set(drawn.tags)
    stations = {s.part.name for s in drawn.stations}
    for part in drawn.shown.parts.values():
        dial = part.kind == "spring" and bool(part.values["pitch"])
        assert (part.name in tagged) == (part.kind != "face" and not dial and part.name not in stations)


def test_lines_begin_at_the_near_side_of_words() -> None:
    box = Box(10, 10, 7, 2)
    left, top, wide, high = box.px
    assert leader(box, (left - 50, top)) == (left, top + high / 2)
    assert leader(box, (left + wide + 50, top)) == (left + wide, top + high / 2)
    assert leader(box, (left + 20, top - 90)) == (left + 20, top)
    assert leader(box, (left + 20, top + 90)) == (left + 20, top + high)


def test_a_line_crosses_a_box_only_through_its_inside() -> None:
    box = Box(1, 1, 2, 2)  # 12 to 60 px either way
    assert crosses((0.0, 30.0), (100.0, 30.0), box)
    assert crosses((0.0, 0.0), (30.0, 30.0), box)
    assert not crosses((0.0, 12.0), (100.0, 12.0), box)  # along its edge
    assert not crosses((0.0, 30.0), (11.0, 30.0), box)  # ends before it
    assert not crosses((0.0, 0.0), (100.0, 5.0), box)
    assert not crosses((5.0, 0.0), (5.0, 100.0), box)


def test_lines_meet_where_they_cross() -> None:
    assert meet(((0.0, 0.0), (10.0, 10.0)), ((0.0, 10.0), (10.0, 0.0)))
    assert not meet(((0.0, 0.0), (10.0, 0.0)), ((0.0, 5.0), (10.0, 5.0)))
    assert not meet(((0.0, 0.0), (4.0, 4.0)), ((0.0, 10.0), (10.0, 0.0)))


def test_a_dial_stands_above_a_spring_that_shuts_and_below_one_that_opens() -> None:
    (relief,) = plan("direct relief").standing
    assert dial_box(relief, relief.column.springs[0]).j < relief.j - relief.column.high
    (reducing,) = plan("reducing").standing
    assert dial_box(reducing, reducing.column.springs[0]).j > reducing.j


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("main orifice", ["main orifice"]),
        ("anti-cavitation check", ["anti-cavitation", "check"]),
        ("relief A.drain passage", ["relief A.", "drain passage"]),
        ("oneverylongwordwithoutanybreak", ["oneverylongwordwithoutanybreak"]),
    ],
)
def test_long_names_are_parted_in_the_middle(name: str, lines: list[str]) -> None:
    assert in_two(name) == lines
