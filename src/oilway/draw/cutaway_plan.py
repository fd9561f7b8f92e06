"""The plan of a cutaway: rooms, columns, restrictions, ports, lines and labels with their places."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise, product

from oilway.draw.cutaway_column import ROOM, Column, Slot
from oilway.draw.cutaway_place import CELL, Box, Shape, Spot
from oilway.draw.cutaway_valve import Outlet, Shown
from oilway.draw.router import Point
from oilway.elements.base import Part

SPREAD = 18.0  # px a room is wider than the part in it, each side


@dataclass
class Room:
    """A cavity: its cells, the chamber, its pocket and where its number stands, if that stands here."""

    chamber: str
    box: Box
    pocket: Box | None = None
    side: int = 1  # 1: the pocket is on the right
    plate: Box | None = None
    caption: Box | None = None

    def mouths(self) -> list[Spot]:
        """Cells at its edges, corners left out, where a line may begin."""
        boxes = [b for b in (self.box, self.pocket) if b is not None]
        out = {(i, j) for b in boxes for i in (b.i, b.i + b.across - 1) for j in range(b.j + 1, b.j + b.down - 1)}
        last = boxes[-1]
        out |= {
            (i, j) for i in range(last.i + 1, last.i + last.across - 1) for j in (last.j, last.j + last.down - 1)
        }
        return sorted(out)

    def main_mouths(self) -> list[Spot]:
        """The middles of its edges, where a wide line begins."""
        boxes = [b for b in (self.box, self.pocket) if b is not None]
        out = {(i, b.j + b.down // 2) for b in boxes for i in (b.i, b.i + b.across - 1)}
        last = boxes[-1]
        out |= {(last.i + last.across // 2, j) for j in (last.j, last.j + last.down - 1)}
        return sorted(out)


@dataclass
class Standing:
    """A column in its place: the middle of its bore and the row of its lowest cell, its scale (px per m)."""

    column: Column
    i: int
    j: int
    scale: float
    rooms: dict[int, Room] = field(default_factory=dict)  # by place among the slots

    def radius(self, diameter: float) -> float:
        """Half a diameter (m) in px."""
        return max(self.scale * diameter / 2, 12.0)

    def ends(self, slot: Slot) -> tuple[float, float]:
        """Lower and upper end of a slot, px down."""
        low = (self.j - slot.low + 0.5) * CELL
        return low, low - slot.high * CELL

    def _beside(self, k: int) -> list[Slot]:
        return self.column.slots[max(k - 1, 0) : k + 2]

    def coil(self, k: int) -> float:
        """Width (px) of a spring in the room of slot ``k``: round the stem, where one passes through."""
        wide = 1.24 * self.radius(self.column.widest)
        above = self.column.slots[k + 1 : k + 2]
        below = self.column.slots[k - 1 : k] if k else []
        if above and below and not (self.column.slots[k].ends or self.column.slots[k].begins):
            wide = max(wide, 2 * min(self.radius(s.diameter) for s in (*above, *below)) + 36)
        return wide

    def half(self, k: int) -> int:
        """Cells that the room in slot ``k`` reaches to each side of the middle."""
        wide = max(self.radius(s.diameter) for s in self._beside(k)) + SPREAD
        if self.column.slots[k].springs:
            wide = max(wide, self.coil(k) / 2 + 12)
        return max(math.ceil((wide - CELL / 2) / CELL), 1)

    @property
    def widest(self) -> int:
        """Cells that its widest room reaches to each side."""
        return max(self.half(k) for k, s in enumerate(self.column.slots) if s.kind == ROOM)


@dataclass
class Station:
    """A restriction in its place."""

    part: Part
    shape: Shape
    box: Box

    def mouth(self, k: int) -> Spot:
        """The cell of its mouth for its k-th port."""
        (i, j), _ = self.shape.mouths[k]
        return self.box.i + i, self.box.j + j

    @property
    def middle(self) -> Point:
        """The middle of its channel, px."""
        (i, j), _ = self.shape.mouths[0]
        if self.shape.upright:
            return (self.box.i + i) * CELL, (self.box.j + (self.box.down - 1) / 2) * CELL
        return (self.box.i + (self.box.across - 1) / 2) * CELL, (self.box.j + j) * CELL


@dataclass
class Pipe:
    """A line drawn as a channel: its corners (px), the chamber whose oil it holds, its width."""

    chamber: str
    corners: list[Point]
    wide: float = 14.0


@dataclass
class Mouth:
    """A port at the edge of the body: where, and which way is out."""

    outlet: Outlet
    spot: Spot
    way: Spot


@dataclass
class Tag:
    """Words beside what they name: their box, and the point (px) that a thin line leads to."""

    box: Box
    anchor: Point


@dataclass
class Plan:
    """Everything with its place; ``body`` in cells, ``across`` by ``down`` the whole picture."""

    shown: Shown
    across: int = 0
    down: int = 0
    body: Box = field(default_factory=lambda: Box(0, 0, 1, 1))
    standing: list[Standing] = field(default_factory=list)
    rooms: list[Room] = field(default_factory=list)
    stations: list[Station] = field(default_factory=list)
    pipes: list[Pipe] = field(default_factory=list)
    mouths: list[Mouth] = field(default_factory=list)
    tags: dict[str, Tag] = field(default_factory=dict)


@dataclass(frozen=True)
class Crossing:
    """Where the line of one chamber runs across that of another; ``flat`` where the first one is level."""

    chambers: tuple[str, str]
    point: Point
    wide: tuple[float, float]
    flat: bool


def crossings(pipes: list[Pipe]) -> list[Crossing]:
    """Every crossing of lines of two chambers, once for either as the first."""
    runs = [(p, a, b) for p in pipes for a, b in pairwise(p.corners)]
    level = [(p, a, b) for p, a, b in runs if a[1] == b[1]]
    upright = [(p, a, b) for p, a, b in runs if a[0] == b[0]]
    found = []
    for (p, a, b), (q, c, d) in product(level, upright):
        x, y = c[0], a[1]
        inside = min(a[0], b[0]) < x < max(a[0], b[0]) and min(c[1], d[1]) < y < max(c[1], d[1])
        if inside and p.chamber != q.chamber:
            found.append(Crossing((p.chamber, q.chamber), (x, y), (p.wide, q.wide), True))
            found.append(Crossing((q.chamber, p.chamber), (x, y), (q.wide, p.wide), False))
    return found
