"""Places for plates beside lines: on nothing else, as near as there is room."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from oilway.draw.symbols import Point

Rect = tuple[float, float, float, float]  # corner, width, height
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

    def beside(self, points: Iterable[Point], width: float, height: float, reach: float = 200) -> Rect | None:
        """The first free place beside the points, in their order, and taken; further off where none is free."""
        listed = list(points)
        for away in range(GAP, int(reach), 2 * GAP):
            for x, y in listed:
                for rect in (
                    (x + away, y - height / 2, width, height), (x - away - width, y - height / 2, width, height),
                    (x - width / 2, y - away - height, width, height), (x - width / 2, y + away, width, height),
                ):  # fmt: skip
                    if self.is_free(rect):
                        self.take(rect, 3)
                        return rect
        return None
