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
NEVER, UNPRICED = float("inf"), -1.0
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

    def wall(self, taken: Iterable[Cell]) -> None:
        """Block cells by column and row."""
        self._blocked.update(taken)

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
        """The cells of the cheapest way; cells are numbered column by column, with a rim that is never entered."""
        high = self._size[1] + 3
        steps = (high, 1, -high, -1)  # as WAYS
        ends = {(i + 1) * high + j + 1 for i, j in goals}
        ahead = self._ahead(goals)
        prices: tuple[list[float], ...] = ([UNPRICED] * len(ahead), [UNPRICED] * len(ahead))
        # A state is a cell and the way it was entered (0: begun there), as one number that sorts as the two do.
        queue = [(0.0, 0.0, 5 * ((i + 1) * high + j + 1)) for i, j in firsts]
        heapq.heapify(queue)
        best = {state: 0.0 for _, _, state in queue}
        came: dict[int, int] = {}
        while queue:
            _, cost, state = heapq.heappop(queue)
            here, way = divmod(state, 5)
            if here in ends:
                return [(n // high - 1, n % high - 1) for n in _back(came, state)]
            if cost > best[state]:
                continue
            for turn, step in enumerate(steps):
                if way and (turn + 3 - way) % 4 == 0:
                    continue  # back where it came from
                after, lane = here + step, prices[turn % 2]
                price = lane[after]
                if price == UNPRICED:
                    price = lane[after] = self._price(net, (after // high - 1, after % high - 1), turn, goals)
                total = cost + price + (BEND if way and turn != way - 1 else 0.0)
                new = 5 * after + turn + 1
                if total < best.get(new, NEVER):
                    best[new], came[new] = total, state
                    heapq.heappush(queue, (total + ahead[after], total, new))
        raise ValueError(f"no way for a line of '{net}'")

    def _ahead(self, goals: set[Cell]) -> list[float]:
        """What the way from each cell into the rectangle of the goals costs at least, by number of the cell."""
        xs, ys = [g[0] for g in goals], [g[1] for g in goals]
        left, right, top, bottom = min(xs), max(xs), min(ys), max(ys)
        across, down = self._size
        columns = [max(left - i, i - right, 0) for i in range(-1, across + 2)]
        rows = [max(top - j, j - bottom, 0) for j in range(-1, down + 2)]
        return [0.3 * (column + row) for column in columns for row in rows]

    def _price(self, net: str, cell: Cell, turn: int, goals: set[Cell]) -> float:
        """Cost of entering a cell this way, ``NEVER`` where that is not allowed."""
        across, down = self._size
        if not (0 <= cell[0] <= across and 0 <= cell[1] <= down):
            return NEVER
        if (cell in self._blocked and cell not in goals) or self._kept.get(cell, net) != net:
            return NEVER
        along = turn % 2 == 0
        price = 1.0 + self._shunned.get(cell, 0.0)
        for other, runs_along in self._laid.get(cell, ()):
            if other == net:
                price *= 0.3  # joining one's own line is welcome
            elif runs_along == along:
                return NEVER
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


def _back(came: dict[int, int], last: int) -> list[int]:
    """The cells, by number, that led to a state."""
    cells = [last // 5]
    while last in came:
        last = came[last]
        cells.append(last // 5)
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
