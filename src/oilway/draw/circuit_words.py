"""Places for plates beside lines: on nothing else, as near as there is room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from oilway.draw.symbols import Point

Rect = tuple[float, float, float, float]  # corner, width, height
SIDES = ("right", "left", "up", "down")
REACH = 400  # px: no plate stands further from what it names
GAP = 9  # px between a line and a plate beside it


@dataclass
class Board:
    """What stands on a picture of this size already, as rectangles."""

    width: float
    height: float
    taken: list[Rect] = field(default_factory=list)

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
        self, points: Sequence[Point], width: float, height: float, sides: Sequence[str] = SIDES
    ) -> Rect | None:
        """The first free place beside the points, in their order, and taken; further off where none is free."""
        for away in range(GAP, REACH, 2 * GAP):
            for x, y in points:
                rects = {
                    "right": (x + away, y - height / 2, width, height),
                    "left": (x - away - width, y - height / 2, width, height),
                    "up": (x - width / 2, y - away - height, width, height),
                    "down": (x - width / 2, y + away, width, height),
                }
                for side in sides:
                    if self.is_free(rects[side]):
                        self.take(rects[side], 3)
                        return rects[side]
        return None
