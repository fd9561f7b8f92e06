"""The words beside the parts of a cutaway: what is named, where its line points, and which places it may not cross."""

from __future__ import annotations

import math
from collections.abc import Iterator

from oilway.draw.cutaway_column import LAND, SEAT, number
from oilway.draw.cutaway_place import CELL, Box
from oilway.draw.cutaway_plan import Plan, Standing
from oilway.draw.router import Point
from oilway.elements.base import Part

Wanted = tuple[str, list[Point], int, int]  # name, points to lead to, cells across and down


def wanted_tags(plan: Plan) -> list[Wanted]:
    """Everything along the bores that is named beside it, the largest words first."""
    found = [tag for standing in plan.standing for tag in _of_column(standing)]
    return sorted(found, key=lambda t: (-t[3], t[0]))


def _of_column(standing: Standing) -> Iterator[Wanted]:
    column, x = standing.column, standing.i * CELL
    lands = [s for s in column.slots if s.kind in (LAND, SEAT)]
    widest = max(lands, key=lambda s: (s.kind == LAND, s.diameter))
    low, high = standing.ends(widest)
    middle = (low + high) / 2 if widest.kind == LAND else high - CELL
    half = 0.5 * standing.radius(widest.diameter)
    yield column.part.name, [(x - half, middle), (x + half, middle)], 7, 3
    for slot in column.slots:
        low, high = standing.ends(slot)
        if slot.part is not None:
            y = high - 4 if slot.kind == SEAT else (low + high) / 2
            aside = standing.radius(slot.diameter) + 6
            yield slot.part.name, [(x - aside, y), (x + aside, y)], 7, 2
        for k, gap in enumerate(slot.gaps):
            aside, y = standing.radius(slot.diameter) + 1, (low + high) / 2 + 8 * k
            yield gap.name, [(x - aside, y), (x + aside, y)], 7, 1
        for spring in slot.springs:
            if not number(spring, "pitch"):
                aside, y = spring_width(standing) / 2, (low + high) / 2 - CELL
                yield spring.name, [(x - aside, y), (x + aside, y)], 7, 1


def spring_width(standing: Standing) -> float:
    """Width of a spring, px."""
    return 1.24 * standing.radius(standing.column.widest)


def dial_box(standing: Standing, spring: Part) -> Box:
    """Where the dial of an adjuster stands: above its column, or below where the spring pushes open."""
    top = standing.j - standing.column.high + 1
    above = spring.values["pushes"] == "shut"
    return Box(standing.i - 4, top - 4 if above else standing.j + 2, 9, 3)


def leader(box: Box, anchor: Point) -> Point:
    """The point at the edge of a box (its left or right end) where a line to the anchor begins."""
    left, top, wide, high = box.px
    if left <= anchor[0] <= left + wide:
        return anchor[0], top if anchor[1] < top else top + high
    return left if anchor[0] < left else left + wide, top + high / 2


def crosses(a: Point, b: Point, box: Box) -> bool:
    """Whether the straight line from a to b passes through a box."""
    left, top, wide, high = box.px
    steps = max(int(math.dist(a, b) / 6), 1)
    points = ((a[0] + (b[0] - a[0]) * k / steps, a[1] + (b[1] - a[1]) * k / steps) for k in range(1, steps + 1))
    return any(left < x < left + wide and top < y < top + high for x, y in points)


