"""The lines of a circuit: every chamber one net from mouth to mouth, and the signs of the tanks."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise

from oilway.draw.router import Router
from oilway.draw.symbols import GRID, WAYS, Mouth, Point, Symbol

End = tuple[Symbol, Mouth]


@dataclass
class Net:
    """The lines of one chamber: polylines in px, whether each is thin, and where three or more meet."""

    chamber: str
    ends: list[End]
    lines: list[tuple[list[Point], bool]] = field(default_factory=list)

    @property
    def dots(self) -> list[Point]:
        """Where lines of the net meet: a dot there says that they are joined."""
        meeting: Counter[Point] = Counter()
        for points in self.lines:
            for a, b in pairwise(points[0]):
                for here, there in pairwise(steps(a, b)):
                    meeting.update((here, there))
        ends = {symbol.at(mouth) for symbol, mouth in self.ends}
        return sorted(p for p, n in meeting.items() if n > 2 and p not in ends)


def steps(a: Point, b: Point) -> list[Point]:
    """The points of the grid from a to b, along x or y."""
    n = round(max(abs(b[0] - a[0]), abs(b[1] - a[1])) / GRID)
    return [(a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n) for k in range(n + 1)] if n else [a]


def nets_of(symbols: list[Symbol], tanks: set[str]) -> list[Net]:
    """The chambers that lines are drawn for, in the order of their names."""
    ends: dict[str, list[End]] = {}
    for symbol in symbols:
        for mouth in symbol.mouths:
            ends.setdefault(mouth.chamber, []).append((symbol, mouth))
    return [Net(chamber, found) for chamber, found in sorted(ends.items()) if chamber not in tanks]


def lay(symbols: list[Symbol], tanks: set[str], width: float, height: float) -> list[Net]:
    """Lay the lines of every net, the short ones first.  Errors: :class:`ValueError` where there is no room."""
    router = Router(width, height, GRID)
    for symbol in symbols:
        router.block(symbol.x, symbol.y, symbol.width, symbol.height)
        for mouth in symbol.mouths:
            if mouth.chamber in tanks:
                x, y, w, h = sign_box(symbol, mouth)
                router.block(x, y, w, h)
            else:
                router.keep(mouth.chamber, [before(symbol, mouth)])
    nets = nets_of(symbols, tanks)
    for net in sorted(nets, key=lambda n: (_span(n), n.chamber)):
        _join(router, net)
    return nets


def _span(net: Net) -> float:
    points = [symbol.at(mouth) for symbol, mouth in net.ends]
    return sum(max(c) - min(c) for c in zip(*points, strict=True))


def before(symbol: Symbol, mouth: Mouth, away: float = GRID) -> Point:
    """The point straight out of a mouth."""
    x, y = symbol.at(mouth)
    dx, dy = WAYS[mouth.side]
    return x + away * dx, y + away * dy


def _join(router: Router, net: Net) -> None:
    """Join the ends of a net: first the two nearest, then each to the nearest point of what is laid."""
    todo = list(net.ends)
    if len(todo) < 2:
        return
    pairs = [(_far(a, b), i, j) for i, a in enumerate(todo) for j, b in enumerate(todo) if i < j]
    _, i, j = min(pairs)
    first, second = todo[i], todo[j]
    todo = [e for k, e in enumerate(todo) if k not in (i, j)]
    _line(router, net, first, [second[0].at(second[1])], second[1].thin or first[1].thin)
    while todo:
        laid = router.joints(net.chamber)
        mouths = {s.at(m) for s, m in net.ends}
        goals = [p for p in laid if p not in mouths]
        near = min(todo, key=lambda e: min(abs(x - e[0].at(e[1])[0]) + abs(y - e[0].at(e[1])[1]) for x, y in goals))
        todo.remove(near)
        _line(router, net, near, goals, near[1].thin)


def _far(a: End, b: End) -> float:
    (ax, ay), (bx, by) = a[0].at(a[1]), b[0].at(b[1])
    return abs(ax - bx) + abs(ay - by)


def _line(router: Router, net: Net, end: End, goals: list[Point], thin: bool) -> None:
    net.lines.append((router.line(net.chamber, end[0].at(end[1]), goals), thin))


# -- tanks ------------------------------------------------------------------------------------------------
def sign_box(symbol: Symbol, mouth: Mouth) -> tuple[float, float, float, float]:
    """Corner and size of the tank (or held pressure) drawn at a mouth, with its line."""
    x, y = symbol.at(mouth)
    boxes = {
        "down": (x - 24, y, 48, 44), "up": (x - 24, y - 44, 48, 44),
        "left": (x - 64, y - 24, 64, 68), "right": (x, y - 24, 64, 68),
    }  # fmt: skip
    return boxes[mouth.side]


def sign_line(symbol: Symbol, mouth: Mouth, *, is_held: bool) -> list[Point]:
    """The line from a mouth to the tank (or held pressure) drawn there."""
    x, y = symbol.at(mouth)
    dx, dy = WAYS[mouth.side]
    if mouth.side in ("left", "right"):
        return [(x, y), (x + 40 * dx, y), *([] if is_held else [(x + 40 * dx, y + 32)])]
    return [(x, y), (x, y + (20 if is_held else 32) * dy)]
