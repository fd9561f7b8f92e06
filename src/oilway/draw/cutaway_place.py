"""Find room for what has no place of its own in a cutaway: restrictions between two chambers, and labels.

Everything lies on a grid of square cells; the cell (i, j) has its middle at (i, j) times ``CELL`` px, so that the
lines of the router run through the middles of cells.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

CELL = 24.0  # px
Spot = tuple[int, int]
Numbers = NDArray[np.float64]
FAR = 1e4


@dataclass(frozen=True)
class Box:
    """A rectangle of cells: first column and row, how many across and down."""

    i: int
    j: int
    across: int
    down: int

    @property
    def px(self) -> tuple[float, float, float, float]:
        """Left, top, width and height in px."""
        return (self.i - 0.5) * CELL, (self.j - 0.5) * CELL, self.across * CELL, self.down * CELL

    def grown(self, by: int) -> Box:
        """The box with so many cells more on every side."""
        return Box(self.i - by, self.j - by, self.across + 2 * by, self.down + 2 * by)

    def cells(self) -> Iterator[Spot]:
        """Every cell."""
        return ((i, j) for i in range(self.i, self.i + self.across) for j in range(self.j, self.j + self.down))

    def meets(self, other: Box) -> bool:
        """Whether the two have a cell in common."""
        across = self.i < other.i + other.across and other.i < self.i + self.across
        return across and self.j < other.j + other.down and other.j < self.j + self.down


@dataclass(frozen=True)
class Shape:
    """A way to draw a restriction: its size in cells, its mouths (cell, way out of it), one for each port."""

    across: int
    down: int
    mouths: tuple[tuple[Spot, Spot], ...]
    label: Box  # of the words, within the shape
    upright: bool = False


class Field:
    """What is taken of a picture of so many cells."""

    def __init__(self, across: int, down: int) -> None:
        self.across, self.down = across, down
        self.taken = np.zeros((across, down), dtype=bool)

    def take(self, box: Box) -> None:
        """Take every cell of a box that lies in the picture."""
        i, j = max(box.i, 0), max(box.j, 0)
        self.taken[i : max(box.i + box.across, 0), j : max(box.j + box.down, 0)] = True

    def distances(self, sources: Iterable[Spot]) -> Numbers:
        """Steps from the nearest source to each cell round what is taken, (across, down)."""
        out = np.full((self.across, self.down), FAR)
        front = np.zeros_like(self.taken)
        for spot in sources:
            front[spot] = True
        steps = 0.0
        while front.any():
            out[front] = steps
            wider = np.zeros_like(front)
            wider[1:] |= front[:-1]
            wider[:-1] |= front[1:]
            wider[:, 1:] |= front[:, :-1]
            wider[:, :-1] |= front[:, 1:]
            front, steps = wider & ~self.taken & (out == FAR), steps + 1
        return out

    def room_for(self, across: int, down: int, margin: int) -> NDArray[np.bool_]:
        """Whether a box of that size, with its first cell there, meets nothing within the margin."""
        wide, high = across + 2 * margin, down + 2 * margin
        total = np.zeros((self.across + 1, self.down + 1), dtype=int)
        total[1:, 1:] = self.taken.cumsum(axis=0).cumsum(axis=1)
        fits = np.zeros((self.across, self.down), dtype=bool)
        if wide > self.across or high > self.down:
            return fits
        n = self.across - wide + 1, self.down - high + 1
        held = (
            total[wide : wide + n[0], high : high + n[1]]
            - total[: n[0], high : high + n[1]]
            - total[wide : wide + n[0], : n[1]]
            + total[: n[0], : n[1]]
        )
        fits[margin : margin + n[0], margin : margin + n[1]] = held == 0
        return fits

    def best(self, shapes: Iterable[Shape], ways: list[Numbers], apart: int) -> tuple[Shape, Spot] | None:
        """The shape and first cell with the shortest ways from its mouths (one field of distances each).

        Nothing taken lies within ``apart`` cells of it.
        """
        found: tuple[float, Shape, Spot] | None = None
        for shape in shapes:
            cost = np.where(self.room_for(shape.across, shape.down, apart), 0.0, FAR * 100)
            for ((i, j), (di, dj)), way in zip(shape.mouths, ways, strict=True):
                cost = cost + _shifted(way, i + di, j + dj)
            spot = np.unravel_index(int(np.argmin(cost)), cost.shape)
            least = float(cost[spot])
            if least < FAR and (found is None or least < found[0]):
                found = least, shape, (int(spot[0]), int(spot[1]))
        return None if found is None else found[1:]


def _shifted(values: Numbers, di: int, dj: int) -> Numbers:
    """The values at (i + di, j + dj); far where that is out of the picture."""
    out = np.full(values.shape, FAR)
    n, m = values.shape
    a, b = slice(max(-di, 0), min(n - di, n)), slice(max(-dj, 0), min(m - dj, m))
    out[a, b] = values[max(di, 0) : min(n + di, n), max(dj, 0) : min(m + dj, m)]
    return out


def shapes(ports: int, rows: int) -> list[Shape]:
    """The ways to draw a restriction with so many ports; words of so many rows stand beside its channel."""
    left, right, up, down = (-1, 0), (1, 0), (0, -1), (0, 1)
    out = []
    for words_below in (True, False):
        row, away = (0, up) if words_below else (rows, down)
        ends = [((0, row), left), ((6, row), right)]
        more = [((1 + k, row), away) for k in (2, 1, 3, 0, 4)]
        label = Box(0, 1 if words_below else 0, 7, rows)
        out += [Shape(7, rows + 1, tuple([*e, *more][:ports]), label) for e in (ends, ends[::-1])]
    for words_right in (True, False):
        column, away = (0, left) if words_right else (6, right)
        ends = [((column, 0), up), ((column, 3), down)]
        more = [((column, k), away) for k in (1, 2)]
        label = Box(1 if words_right else 0, 0, 6, 4)
        found = [Shape(7, 4, tuple([*e, *more][:ports]), label, upright=True) for e in (ends, ends[::-1])]
        out += [shape for shape in found if len(shape.mouths) == ports]
    return [shape for shape in out if len(shape.mouths) == ports]
