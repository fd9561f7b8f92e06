"""Draw passages and lines at right angles round everything in their way: a search on a square grid."""

from __future__ import annotations

import heapq
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

Cell = tuple[int, int]
Point = tuple[float, float]
WAYS: tuple[Cell, ...] = ((1, 0), (0, 1), (-1, 0), (0, -1))
BEND, CROSS, BESIDE = 6.0, 14.0, 3.0  # cost of a bend, of crossing another line, of running close to one, in steps
SHUN = 0.7  # cost of a step near what is to be left room


@dataclass
class Router:
    """A field of ``width`` by ``height`` px with a grid of ``step`` px, blocked cells and the lines laid so far.

    Lines of the same ``net`` may join; lines of two nets cross at right angles only and never share a cell
    lengthwise.
    """

    width: float
    height: float
    step: float = 10.0
    _blocked: set[Cell] = field(default_factory=set)
    _laid: dict[Cell, list[tuple[str, bool]]] = field(default_factory=dict)  # cell -> (net, runs along x)
    _kept: dict[Cell, str] = field(default_factory=dict)
    _shunned: dict[Cell, float] = field(default_factory=dict)

    def block(self, x: float, y: float, width: float, height: float, margin: float = 0.0) -> None:
        """Keep lines out of a rectangle, and ``margin`` px away from it."""
        x0, y0 = self._cell((x - margin, y - margin))
        x1, y1 = self._cell((x + width + margin, y + height + margin))
        self._blocked.update((i, j) for i in range(x0, x1 + 1) for j in range(y0, y1 + 1))

    def shun(
        self, x: float, y: float, width: float, height: float, margin: float = 0.0, price: float = SHUN
    ) -> None:
        """Let lines cross a rectangle, and ``margin`` px around it, only at this price a cell, in steps."""
        x0, y0 = self._cell((x - margin, y - margin))
        x1, y1 = self._cell((x + width + margin, y + height + margin))
        self._shunned.update({(i, j): price for i in range(x0, x1 + 1) for j in range(y0, y1 + 1)})

    def free(self, points: Iterable[Point]) -> None:
        """Open cells again: the mouths where lines begin and end."""
        self._blocked.difference_update(map(self._cell, points))

    def keep(self, net: str, points: Iterable[Point]) -> None:
        """Keep cells for one net: the way out of its mouths."""
        self._kept.update((self._cell(point), net) for point in points)

    def crossed(self, net: str, point: Point) -> bool:
        """Whether a line of another net runs through a point: no place to join this one."""
        return any(other != net for other, _ in self._laid.get(self._cell(point), ()))

    def line(self, net: str, start: Point, ends: Iterable[Point]) -> list[Point]:
        """Lay a line of a net from a point to the nearest of the ends; its corners, both ends included.

        Start and end cells count as open.  Errors: :class:`ValueError` when there is no way.
        """
        return self.between(net, [start], ends)

    def between(self, net: str, starts: Iterable[Point], ends: Iterable[Point]) -> list[Point]:
        """Lay the shortest line of a net from any of the starts to any of the ends, as :meth:`line` does."""
        goals = {self._cell(end): end for end in ends}
        firsts = {self._cell(start): start for start in starts}
        cells = self._search(net, firsts, set(goals))
        self._lay(net, cells)
        return corners([firsts[cells[0]], *(self._point(c) for c in cells[1:-1]), goals[cells[-1]]])

    def straight(self, net: str, start: Point, end: Point) -> None:
        """Lay a straight line of a net, whatever is in its way."""
        (i0, j0), (i1, j1) = self._cell(start), self._cell(end)
        n = max(abs(i1 - i0), abs(j1 - j0))
        self._lay(net, [(i0 + (i1 - i0) * k // n, j0 + (j1 - j0) * k // n) for k in range(n + 1)])

    def _lay(self, net: str, cells: list[Cell]) -> None:
        for here, there in pairwise(cells):
            along = there[0] != here[0]
            for cell in (here, there):
                if (net, along) not in self._laid.setdefault(cell, []):
                    self._laid[cell].append((net, along))

    def _search(self, net: str, firsts: Iterable[Cell], goals: set[Cell]) -> list[Cell]:
        xs, ys = [g[0] for g in goals], [g[1] for g in goals]
        left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
        queue: list[tuple[float, float, Cell, int]] = [(0.0, 0.0, first, -1) for first in firsts]
        heapq.heapify(queue)
        best: dict[tuple[Cell, int], float] = {(first, -1): 0.0 for _, _, first, _ in queue}
        came: dict[tuple[Cell, int], tuple[Cell, int]] = {}
        while queue:
            _, cost, cell, way = heapq.heappop(queue)
            if cell in goals:
                return _back(came, (cell, way))
            if cost > best[cell, way]:
                continue
            for turn, (dx, dy) in enumerate(WAYS):
                after = (cell[0] + dx, cell[1] + dy)
                price = self._price(net, after, turn, goals)
                if price is None or (way >= 0 and (turn + 2) % 4 == way):
                    continue
                total = cost + price + (BEND if way >= 0 and turn != way else 0.0)
                if total < best.get((after, turn), float("inf")):
                    best[after, turn] = total
                    came[after, turn] = (cell, way)
                    rest = max(left - after[0], after[0] - right, 0) + max(top - after[1], after[1] - bottom, 0)
                    heapq.heappush(queue, (total + 0.3 * rest, total, after, turn))
        raise ValueError(f"no way for a line of '{net}'")

    def _price(self, net: str, cell: Cell, turn: int, goals: set[Cell]) -> float | None:
        """Cost of entering a cell this way, or None where that is not allowed."""
        across, down = self._size
        if not (0 <= cell[0] <= across and 0 <= cell[1] <= down):
            return None
        if (cell in self._blocked and cell not in goals) or self._kept.get(cell, net) != net:
            return None
        along = turn % 2 == 0
        price = 1.0 + self._shunned.get(cell, 0.0)
        for other, runs_along in self._laid.get(cell, ()):
            if other == net:
                price *= 0.3  # joining one's own line is welcome
            elif runs_along == along:
                return None
            else:
                price += CROSS
        side = (0, 1) if along else (1, 0)
        for sign in (1, -1):
            beside = self._laid.get((cell[0] + sign * side[0], cell[1] + sign * side[1]), ())
            price += BESIDE * any(o != net and r == along for o, r in beside)
        return price

    @cached_property
    def _size(self) -> Cell:
        return self._cell((self.width, self.height))

    def _cell(self, point: Point) -> Cell:
        return round(point[0] / self.step), round(point[1] / self.step)

    def _point(self, cell: Cell) -> Point:
        return cell[0] * self.step, cell[1] * self.step


def _back(came: dict[tuple[Cell, int], tuple[Cell, int]], last: tuple[Cell, int]) -> list[Cell]:
    cells = [last[0]]
    while last in came:
        last = came[last]
        cells.append(last[0])
    return cells[::-1]


def corners(points: list[Point]) -> list[Point]:
    """The points at which a line turns, with its ends; what stands twice is taken once."""
    points = [p for k, p in enumerate(points) if k == 0 or p != points[k - 1]]
    kept = points[:1]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        straight = (before[0] == here[0] == after[0]) or (before[1] == here[1] == after[1])
        if not straight:
            kept.append(here)
    return [*kept, *points[-1:]] if len(points) > 1 else kept
