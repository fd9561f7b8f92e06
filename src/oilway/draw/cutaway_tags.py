"""The words beside the parts of a cutaway: what is named, where its line points, what it may not cross."""

from __future__ import annotations

from collections.abc import Iterator

from oilway.draw.cutaway_column import LAND, SEAT, number
from oilway.draw.cutaway_place import CELL, Box
from oilway.draw.cutaway_plan import Plan, Standing
from oilway.draw.router import Point
from oilway.elements.base import Part

ONE_LINE = 18  # letters of a name in one line
ORDER = (
    "annular gap",
    "poppet seat",
    "spool edge",
    "spring",
    "moving part",
    "lever",
)  # who chooses its place first
Wanted = tuple[str, list[Point], int, int]  # name, points to lead to, cells across and down


def wanted_tags(plan: Plan) -> list[Wanted]:
    """Everything along the bores that is named beside it, those with the least choice first."""
    found = [tag for standing in plan.standing for tag in _of_column(standing)]
    return sorted(found, key=lambda t: (ORDER.index(plan.shown.parts[t[0]].kind), t[0]))


def _of_column(standing: Standing) -> Iterator[Wanted]:
    column, x = standing.column, standing.i * CELL
    yield column.part.name, list(_on_part(standing)), 7, 3
    for n, slot in enumerate(column.slots):
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
                aside, y = standing.coil(n) / 2, (low + high) / 2 - CELL
                yield spring.name, [(x - aside, y), (x + aside, y)], 7, 1


def _on_part(standing: Standing) -> Iterator[Point]:
    """Points within the part, in its lands and in the head of a poppet."""
    x = standing.i * CELL
    for slot in standing.column.slots:
        low, high = standing.ends(slot)
        half = 0.5 * standing.radius(slot.diameter)
        heights = (low - 8, (low + high) / 2, high + 8) if slot.kind == LAND else (high - 8,)
        if slot.kind in (LAND, SEAT):
            yield from ((x + side * half, y) for y in heights for side in (-1, 1))


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
    """Whether the straight line from a to b passes through the inside of a box."""
    left, top, wide, high = box.px
    first, last = 0.0, 1.0
    for start, end, low, size in ((a[0], b[0], left, wide), (a[1], b[1], top, high)):
        way = end - start
        if abs(way) < 1e-9:
            if not low < start < low + size:
                return False
            continue
        enters, leaves = sorted(((low - start) / way, (low + size - start) / way))
        first, last = max(first, enters), min(last, leaves)
    return last - first > 1e-6


def meet(first: tuple[Point, Point], second: tuple[Point, Point]) -> bool:
    """Whether two straight lines cross."""

    def side(a: Point, b: Point, c: Point) -> bool:
        return (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = first, second
    return side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b)


def in_two(name: str) -> list[str]:
    """A name in one line, or in two where it is long: parted behind a full stop or at a blank."""
    breaks = [k + 1 for k, c in enumerate(name) if c in ". "]
    if len(name) <= ONE_LINE or not breaks:
        return [name]
    middle = min(breaks, key=lambda k: (abs(k - len(name) / 2), k))
    return [name[:middle].strip(), name[middle:]]
