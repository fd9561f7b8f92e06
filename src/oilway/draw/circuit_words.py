"""Places for plates beside lines: on nothing else, as near as there is room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from oilway.draw.symbols import Point, Rect

SIDES = ("right", "left", "up", "down")
REACH = 300  # px: no plate stands further from what it names
NEAR = 20  # px: a plate no further off needs no line to what it names
GAP = 9  # px between a line and a plate beside it


@dataclass
class Board:
    """What stands on a picture of this size already, as rectangles.

    ``solid`` is what not even a thin line may cross: symbols and plates.
    """

    width: float
    height: float
    taken: list[Rect] = field(default_factory=list)
    solid: list[Rect] = field(default_factory=list)

    def take(self, rect: Rect, margin: float = 0.0) -> None:
        """Keep plates off a rectangle."""
        x, y, w, h = rect
        self.taken.append((x - margin, y - margin, w + 2 * margin, h + 2 * margin))

    def is_free(self, rect: Rect) -> bool:
        """Whether a plate may stand here."""
        x, y, w, h = rect
        if x < 4 or y < 4 or x + w > self.width - 4 or y + h > self.height - 4:
            return False
        return not any(x < a + c and a < x + w and y < b + d and b < y + h for a, b, c, d in self.taken)

    def beside(
        self,
        points: Sequence[Point],
        width: float,
        height: float,
        sides: Sequence[str] = SIDES,
        gap: float = GAP,
    ) -> tuple[Rect, Point | None]:
        """The first free place beside the points, in their order, and taken; further off where none is free.

        With it the point from which a thin line leads to a plate further off: it crosses no symbol and no plate.
        Errors: :class:`ValueError` where there is no room.
        """
        for away in range(0, REACH, 15):
            for point in points:
                for side in sides:
                    rect = _at(point, side, gap + away, width, height)
                    if self.is_free(rect) and (not away or not self._covered(point, nearest(rect, point))):
                        return self._taken(rect), point if away > NEAR else None
        ways = ((math.hypot(dx, dy), dx, dy) for dx in range(-REACH, REACH, 20) for dy in range(-REACH, REACH, 20))
        for _, dx, dy in sorted(ways):
            for point in points:
                rect = (point[0] + dx - width / 2, point[1] + dy - height / 2, width, height)
                if self.is_free(rect) and not self._covered(point, nearest(rect, point)):
                    return self._taken(rect), point
        raise ValueError("no room for a plate")

    def _covered(self, a: Point, b: Point) -> bool:
        """Whether a thin line would cross a symbol or a plate."""
        n = 1 + int(math.hypot(b[0] - a[0], b[1] - a[1]) / 4)
        spots = [(a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n) for k in range(n)]
        return any(x < px < x + w and y < py < y + h for x, y, w, h in self.solid for px, py in spots)

    def _taken(self, rect: Rect) -> Rect:
        self.take(rect, 3)
        self.solid.append(rect)
        return rect


def nearest(rect: Rect, point: Point) -> Point:
    """The point of a rectangle nearest to a point."""
    x, y, w, h = rect
    return min(max(point[0], x), x + w), min(max(point[1], y), y + h)


def _at(point: Point, side: str, away: float, width: float, height: float) -> Rect:
    """A rectangle at one side of a point, in the middle of it."""
    x, y = point
    if side in ("left", "right"):
        return x + away if side == "right" else x - away - width, y - height / 2, width, height
    return x - width / 2, y + away if side == "down" else y - away - height, width, height
