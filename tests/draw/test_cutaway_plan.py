"""Rooms, columns and crossings of a plan."""

from __future__ import annotations

import pytest
from tests.draw.gallery import VALVES, plan

from oilway.draw.cutaway_place import CELL, Box
from oilway.draw.cutaway_plan import Pipe, Room, crossings


def test_a_line_begins_at_the_edge_of_a_room_but_not_at_a_corner() -> None:
    room = Room("a", Box(0, 0, 5, 3))
    assert set(room.main_mouths()) == {(0, 1), (4, 1), (2, 0), (2, 2)}
    corners = {(0, 0), (4, 0), (0, 2), (4, 2)}
    assert not corners & set(room.mouths())
    assert (2, 1) not in room.mouths()


def test_lines_of_two_chambers_cross_and_those_of_one_join() -> None:
    level, upright = [(0.0, 5.0), (10.0, 5.0)], [(5.0, 0.0), (5.0, 10.0)]
    found = crossings([Pipe("a", level), Pipe("b", upright, 20.0)])
    assert [(c.chambers, c.flat, c.wide) for c in found] == [
        (("a", "b"), True, (14.0, 20.0)),
        (("b", "a"), False, (20.0, 14.0)),
    ]
    assert {c.point for c in found} == {(5.0, 5.0)}
    assert not crossings([Pipe("a", level), Pipe("a", upright)])
    assert not crossings([Pipe("a", level), Pipe("b", [(5.0, 5.0), (5.0, 10.0)])])  # ends on it: no crossing


@pytest.mark.parametrize("name", VALVES)
def test_rooms_are_wider_than_the_part_in_them(name: str) -> None:
    for standing in plan(name).standing:
        for k, room in standing.rooms.items():
            reach = (standing.half(k) + 0.5) * CELL
            near = standing.column.slots[max(k - 1, 0) : k + 2]
            assert all(standing.radius(s.diameter) + 10 < reach for s in near)
            assert room.box.across == 2 * standing.half(k) + 1


@pytest.mark.parametrize("name", VALVES)
def test_a_small_part_stays_visible_and_diameters_keep_their_proportion(name: str) -> None:
    for standing in plan(name).standing:
        column = standing.column
        assert standing.radius(column.widest) >= 34 - 1e-9
        for slot in column.slots:
            if slot.diameter and standing.scale * slot.diameter > 24:
                assert 2 * standing.radius(slot.diameter) == pytest.approx(standing.scale * slot.diameter)
