"""Places for plates beside lines: on nothing else, as near as there is room."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from oilway.draw.symbols import Point, Rect

SIDES = ("right", "left", "up", "down")
REACH = 300  # px: no plate stands further from what it names
GAP = 9  # px between a line and a plate beside it


@dataclass
class Board:
    """What stands on a picture of this size already, as rectangles."""

    width: float
    height: float
    taken: list[Rect] = field(default_factory=list)
    plates: list[Rect] = field(default_factory=list)

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
    ) -> Rect | None:
        """The first free place beside the points, in their order, and taken; further off where none is free.

        Between a point and a plate further off nothing stands in the way of a thin line.
        """
        for away in range(0, REACH, 15):
            for point in points:
                for side in sides:
                    rect = _at(point, side, gap + away, width, height)
                    lead = _at(point, side, gap + 6, *((away, 2) if side in ("left", "right") else (2, away)))
                    if self.is_free(rect) and (not away or self.is_free(lead)):
                        self.take_plate(rect)
                        return rect
        return self._anywhere(points, width, height)

    def _anywhere(self, points: Sequence[Point], width: float, height: float) -> Rect | None:
        """The nearest free place whose thin line to a point crosses no other plate."""
        ways = sorted(
            (
                (math.hypot(dx, dy), dx, dy)
                for dx in range(-REACH, REACH + 1, 20)
                for dy in range(-REACH, REACH + 1, 20)
            )
        )
        for _, dx, dy in ways:
            for x, y in points:
                rect = (x + dx - width / 2, y + dy - height / 2, width, height)
                if self.is_free(rect) and not self._covered((x, y), nearest(rect, (x, y))):
                    self.take_plate(rect)
                    return rect
        return None

    def _covered(self, a: Point, b: Point) -> bool:
        n = 1 + int(math.hypot(b[0] - a[0], b[1] - a[1]) / 5)
        spots = [(a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n) for k in range(n)]
        return any(x < px < x + w and y < py < y + h for x, y, w, h in self.plates for px, py in spots)

    def take_plate(self, rect: Rect) -> None:
        """Keep other plates, and the thin lines to them, off a plate."""
        self.take(rect, 3)
        self.plates.append(rect)


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
