"""The lines of a circuit: every chamber one net from mouth to mouth, and the signs of the tanks."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import combinations, pairwise

from oilway.draw.router import Router, corners
from oilway.draw.symbols import GRID, WAYS, Mouth, Point, Rect, Symbol

STUB = 2 * GRID  # px: so far a line runs straight out of its mouth
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


def lay(symbols: list[Symbol], tanks: set[str], signs: list[Rect], width: float, height: float) -> list[Net]:
    """Lay the lines of every net round symbols and signs, the short ones first.

    Errors: :class:`ValueError` where there is no room.
    """
    router = Router(width, height, GRID)
    for symbol in symbols:
        router.block(symbol.x, symbol.y, symbol.width, symbol.height)
        router.shun(symbol.x, symbol.y, symbol.width, symbol.height, 2 * GRID)
        for mouth in symbol.mouths:
            if mouth.chamber not in tanks:
                for x, y in steps(symbol.at(mouth), outpost(symbol, mouth))[:-1]:
                    router.block(x, y, 0, 0)
                router.keep(mouth.chamber, [outpost(symbol, mouth)])
    for x, y, w, h in signs:
        router.block(x, y, w, h)
    nets = nets_of(symbols, tanks)
    for net in nets:
        for end in net.ends:
            router.straight(net.chamber, end[0].at(end[1]), outpost(*end))
    for net in sorted(nets, key=lambda n: (_span(n), n.chamber)):
        _join(router, net)
    return nets


def _span(net: Net) -> float:
    xs, ys = zip(*(symbol.at(mouth) for symbol, mouth in net.ends), strict=True)
    return float(max(xs) - min(xs) + max(ys) - min(ys))


def before(symbol: Symbol, mouth: Mouth, away: float = GRID) -> Point:
    """The point straight out of a mouth."""
    x, y = symbol.at(mouth)
    dx, dy = WAYS[mouth.side]
    return x + away * dx, y + away * dy


def outpost(symbol: Symbol, mouth: Mouth) -> Point:
    """Where the line of a mouth may first turn."""
    return before(symbol, mouth, GRID if mouth.thin else STUB)


def _join(router: Router, net: Net) -> None:
    """Join the ends of a net: the two nearest, then each to the nearest point laid, pilot lines last."""
    todo = list(net.ends)
    if len(todo) < 2:  # a line that ends blind
        net.lines += [([symbol.at(mouth), outpost(symbol, mouth)], mouth.thin) for symbol, mouth in todo]
        return
    strong = [end for end in todo if not end[1].thin]
    pairs = combinations(strong if len(strong) > 1 else todo, 2)
    first, second = min(pairs, key=lambda pair: _far(outpost(*pair[0]), outpost(*pair[1])))
    todo = [end for end in todo if end not in (first, second)]
    line = router.line(net.chamber, outpost(*first), [outpost(*second)])
    is_thin = first[1].thin or second[1].thin
    net.lines.append((corners([first[0].at(first[1]), *line, second[0].at(second[1])]), is_thin))
    while todo:
        laid = [p for line, _ in net.lines for a, b in pairwise(line) for p in steps(a, b)]
        stubs = {p for s, m in net.ends for p in steps(s.at(m), outpost(s, m))[:-1]}
        goals = [p for p in dict.fromkeys(laid) if p not in stubs and not router.crossed(net.chamber, p)]
        near = min(todo, key=lambda e: (e[1].thin, min(_far(goal, outpost(*e)) for goal in goals)))
        todo.remove(near)
        line = router.line(net.chamber, outpost(*near), goals)
        net.lines.append((corners([near[0].at(near[1]), *line]), near[1].thin))


def _far(a: Point, b: Point) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


# -- tanks ------------------------------------------------------------------------------------------------
def sign_box(symbol: Symbol, mouth: Mouth, *, is_held: bool) -> tuple[float, float, float, float]:
    """Corner and size of the tank (or held pressure) drawn at a mouth, with its line."""
    x, y = symbol.at(mouth)
    if mouth.side == "up" and not is_held:
        return (x - 64 if _leans(symbol, mouth) < 0 else x - 4), y - 64, 68, 64
    boxes = {
        "down": (x - 24, y, 48, 44), "up": (x - 14, y - 44, 28, 44),
        "left": (x - 64, y - 24, 64, 68), "right": (x, y - 24, 64, 68),
    }  # fmt: skip
    return boxes[mouth.side]


def sign_line(symbol: Symbol, mouth: Mouth, *, is_held: bool) -> list[Point]:
    """The line from a mouth to the tank (or held pressure) drawn there; a tank stands upright at every mouth."""
    x, y = symbol.at(mouth)
    dx, dy = WAYS[mouth.side]
    if mouth.side == "up" and not is_held:
        aside = x + 40 * _leans(symbol, mouth)
        return [(x, y), (x, y - 56), (aside, y - 56), (aside, y - 24)]
    if mouth.side in ("left", "right"):
        return [(x, y), (x + 40 * dx, y), *([] if is_held else [(x + 40 * dx, y + 32)])]
    return [(x, y), (x, y + (20 if is_held else 32) * dy)]


def _leans(symbol: Symbol, mouth: Mouth) -> int:
    """To which side the tank of an upper mouth stands: away from the other mouths."""
    return -1 if any(m.x > mouth.x for m in symbol.mouths if m.side == mouth.side) else 1
