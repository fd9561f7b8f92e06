"""The outline of moving parts: on the seat at lift 0, edges where overlap says, ends in their rooms."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from tests.draw.gallery import VALVES, plan

from oilway.draw.cutaway_column import EDGE, number
from oilway.draw.cutaway_parts import (
    ADJUSTED,
    MOST_LIFT,
    SHOWN_LIFT,
    face_height,
    mover_channel,
    outline,
    profile,
    turn_px,
)
from oilway.draw.cutaway_plan import Standing
from oilway.elements.base import Part


def radius_at(points: list[tuple[float, float]], y: float) -> float:
    """Largest radius of the outline at a height, 0 beyond its ends."""
    found = 0.0
    for (ya, ra), (yb, rb) in pairwise(points):
        if min(ya, yb) <= y <= max(ya, yb):
            share = (y - ya) / (yb - ya) if yb != ya else 1.0
            found = max(found, ra + share * (rb - ra))
    return found


def standing(name: str, part: str) -> Standing:
    return next(s for s in plan(name).standing if s.column.part.name == part)


def gain_of(found: Standing) -> float:
    part = found.column.part
    return SHOWN_LIFT / number(part, "travel" if part.kind == "moving part" else "stroke")


@pytest.mark.parametrize("name", VALVES)
def test_a_poppet_at_lift_nought_touches_the_edge_of_its_seat_and_none_of_it_cuts_the_body(name: str) -> None:
    for found in plan(name).standing:
        points = profile(found, gain_of(found))
        for slot in found.column.slots:
            if slot.kind == "seat" and slot.part is not None:
                top = found.ends(slot)[1]
                radius = found.radius(slot.diameter)
                assert radius_at(points, top) == pytest.approx(radius, abs=0.5)
                assert radius_at(points, top + 5) < radius < radius_at(points, top - 5)
                slope = math.tan(number(slot.part, "half angle"))
                assert radius - radius_at(points, top + 4) == pytest.approx(4 * slope, abs=0.5)


@pytest.mark.parametrize("name", VALVES)
def test_lands_fill_their_bore(name: str) -> None:
    for found in plan(name).standing:
        points = profile(found, gain_of(found))
        for slot in found.column.slots:
            if slot.kind == "land":
                middle = sum(found.ends(slot)) / 2
                assert radius_at(points, middle) == pytest.approx(found.radius(slot.diameter))


def test_an_edge_overlaps_by_what_the_file_says_at_the_scale_of_the_lift() -> None:
    found = standing("sequence", "spool")
    gain = SHOWN_LIFT / 3e-3
    points = profile(found, gain)
    edge = next(s for s in found.column.slots if s.kind == EDGE)
    top = found.ends(edge)[1]
    land, over = found.radius(edge.diameter), 1.2e-3 * gain
    assert radius_at(points, top + over - 1) == pytest.approx(land)
    assert radius_at(points, top + over + 1) < land


def test_a_tandem_centre_is_open_in_neutral_and_shut_either_way_beyond_its_opening() -> None:
    found = standing("lever valve", "spool")
    gain = SHOWN_LIFT / 8e-3
    points = profile(found, gain)
    centre = next(s for s in found.column.slots if s.part is not None and s.part.name == "centre")
    low, high = found.ends(centre)
    land = found.radius(centre.diameter)
    assert all(radius_at(points, y) < land for y in (low - 1, (low + high) / 2, high + 1))
    for lift in (1.9e-3, -1.9e-3):  # of 2 mm: still open at both ends of the web
        assert max(radius_at(points, y + gain * lift) for y in (low - 0.1, high + 0.1)) < land
    assert radius_at(points, low + 2.2e-3 * gain) == pytest.approx(land)  # 2.2 mm up: shut at the lower end
    assert radius_at(points, high - 2.2e-3 * gain) == pytest.approx(land)


@pytest.mark.parametrize("name", VALVES)
def test_a_part_ends_in_rooms_and_stays_in_them_over_its_lift(name: str) -> None:
    for found in plan(name).standing:
        points = profile(found, gain_of(found))
        top, foot = min(y for y, _ in points), max(y for y, _ in points)
        first, last = found.column.slots[0], found.column.slots[-1]
        assert found.ends(first)[1] < foot < found.ends(first)[0]
        assert found.ends(last)[1] < top - SHOWN_LIFT < found.ends(last)[0]
        assert SHOWN_LIFT <= MOST_LIFT


@pytest.mark.parametrize("name", VALVES)
def test_a_face_lies_in_the_room_of_its_chamber(name: str) -> None:
    for found in plan(name).standing:
        points = profile(found, gain_of(found))
        for face in found.column.faces:
            y = face_height(found, points, face)
            ends = [found.ends(s) for s in found.column.rooms if s.chamber == face.nodes["chamber"]]
            # The tip of a shallow cone lies in its seat, a few px above the room.
            assert any(high - 24 <= y <= low for low, high in ends), face.name


def test_an_adjuster_goes_in_as_it_is_turned_and_backwards_with_a_left_hand_thread() -> None:
    spring = Part("s", "spring", {"pitch": 1e-3, "turns": 4.0, "most turns": 20.0}, {})
    assert turn_px(spring) * 20 == pytest.approx(ADJUSTED)
    spring.values["pitch"] = -1e-3
    assert turn_px(spring) < 0
    spring.values["most turns"] = 200.0  # the default says nothing of its size
    assert 0 < -turn_px(spring) * 4 < ADJUSTED


def test_levers_follow_their_position_and_parts_their_lift() -> None:
    assert mover_channel(standing("lever valve", "spool")) == "position:spool"
    assert mover_channel(standing("direct relief", "poppet")) == "lift:poppet"


def test_an_outline_is_the_same_on_both_sides() -> None:
    assert outline(10.0, [(0.0, 2.0), (5.0, 3.0)]) == "M12.0 0.0L13.0 5.0L7.0 5.0L8.0 0.0Z"
