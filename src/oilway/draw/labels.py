"""Places for the labels of a printed picture: near what they name, on nothing else.

Lengths are points of the page, x to the right and y upwards.  What a label may not cover is handed over as
points (n, 2), close enough together: :func:`along` a line, :func:`inside` a box.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

CELL = 3.0  # pt: the page is looked at through a grid of this size
LEADERS = 600  # places tried, nearest first: a label far away is worse than a line that crosses a curve


@dataclass(frozen=True)
class Box:
    """A rectangle on the page: its lower left corner, width and height."""

    x: float
    y: float
    width: float
    height: float

    def nearest(self, point: Floats) -> Floats:
        """The point of the box nearest to a point (2,)."""
        return np.clip(point, [self.x, self.y], [self.x + self.width, self.y + self.height])

    def grown(self, margin: float) -> Box:
        """The box with a margin all round."""
        return Box(self.x - margin, self.y - margin, self.width + 2 * margin, self.height + 2 * margin)


def along(corners: Floats) -> Floats:
    """Points along a line through corners (n, 2), less than a cell apart."""
    steps = np.hypot(*np.diff(corners, axis=0).T)
    length = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0.0, length[-1], int(2 * length[-1] / CELL) + 2)
    return np.column_stack([np.interp(at, length, corners[:, k]) for k in (0, 1)])


def inside(box: Box) -> Floats:
    """Points that fill a box, less than a cell apart."""
    x, y = (
        np.linspace(low, low + size, int(2 * size / CELL) + 2)
        for low, size in ((box.x, box.width), (box.y, box.height))
    )
    return np.column_stack([c.ravel() for c in np.meshgrid(x, y)])


def free_place(anchor: Floats, width: float, height: float, taken: Floats, area: Box, reach: float = 0.0) -> Box:
    """The place in ``area`` nearest to ``anchor`` (2,) for a label that covers none of the ``taken`` points.

    A line from the anchor to the label crosses none either, except within ``reach`` of the anchor, if there is
    such a place nearby.  On a full page it is the place that covers the fewest.
    """
    corner, cells = np.array([area.x, area.y]), np.array([area.width, area.height]) // CELL
    edges = [low + CELL * np.arange(n + 1) for low, n in zip(corner, cells, strict=True)]
    counts = np.histogram2d(taken[:, 0], taken[:, 1], bins=edges)[0]
    # Points covered by a box at every cell: differences of the sums over all that lies left of and below it.
    sums = np.pad(counts.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    w, h = (int(np.ceil(size / CELL)) for size in (width, height))
    covered = sums[w:, h:] - sums[:-w, h:] - sums[w:, :-h] + sums[:-w, :-h]
    x, y = np.meshgrid(edges[0][: covered.shape[0]], edges[1][: covered.shape[1]], indexing="ij")
    away = np.hypot(anchor[0] - np.clip(anchor[0], x, x + width), anchor[1] - np.clip(anchor[1], y, y + height))
    order = np.lexsort([away.ravel(), covered.ravel()])
    boxes = [Box(float(x.flat[k]), float(y.flat[k]), width, height) for k in order[:LEADERS]]
    far = taken[np.hypot(*(taken - anchor).T) > reach]
    crossed = np.histogram2d(far[:, 0], far[:, 1], bins=edges)[0] > 0

    def reached(box: Box) -> bool:
        line = ((along(np.array([anchor, box.nearest(anchor)])) - corner) // CELL).astype(int)
        line = line[((line >= 0) & (line < crossed.shape)).all(axis=1)]
        return not crossed[line[:, 0], line[:, 1]].any()

    return next(filter(reached, boxes), boxes[0])


def spread(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Upper ends of labels in one column, each as near to the wanted one as its neighbours and the ends allow.

    Labels keep the order of ``wanted``; those that are equal keep the order given.

    >>> spread([100, 98, 20], [10, 10, 10], 0, 120)
    [100, 90, 20]
    >>> spread([12, 11], [10, 10], 0, 120)
    [20, 10]
    """
    order = sorted(range(len(wanted)), key=lambda k: -wanted[k])
    tops = list(wanted)
    limit = high
    for k in order:
        tops[k] = min(wanted[k], limit)
        limit = tops[k] - heights[k]
    limit = low
    for k in reversed(order):
        tops[k] = max(tops[k], limit + heights[k])
        limit = tops[k]
    return tops
