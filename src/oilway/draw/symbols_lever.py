"""The lever valve as an envelope of squares, its ways worked out from the edges of its spool."""

from __future__ import annotations

from itertools import combinations

from oilway.draw.symbols import GRID, Mouth, Pen, Symbol, up, width_of
from oilway.elements.spool_edge import open_by
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.tree import Block
from oilway.model.valve import PortOf

LEVER, TALL = 60, 100  # px: room for the lever at the left; the height of the symbol
FAR = 1e-6  # m: an edge open by less is a way for no oil


def ways(machine: Machine, mounted: Mounted, lever: str, position: float) -> set[tuple[str, str]]:
    """Pairs of ports of a mounted lever valve that its spool joins at a position, the inlet or work port first."""
    travel = position * float(machine.parts[lever].values["stroke"] or 0.0)
    joined: dict[str, set[str]] = {}
    for name, item in mounted.valve.parts.items.items():
        part = machine.parts.get(mounted.prefix + name)
        if part is None or "from" not in part.nodes or part.kind == "annular gap" or not isinstance(item, Block):
            continue
        if part.kind == "spool edge" and (part.values["on"] != lever or open_by(part, travel) <= FAR):
            continue
        # As written in the valve: two of its ports may open into one chamber of the machine.
        a, b = (str(getattr(item.items[end], "text", "")) for end in ("from", "to"))
        joined.setdefault(a, set()).add(b)
        joined.setdefault(b, set()).add(a)
    order = {"inlet": 0, "work port": 1, "outlet": 2}
    known = sorted((p for p in mounted.valve.ports.values() if p.role in order), key=lambda p: order[p.role])
    return {
        (a.name, b.name)
        for a, b in combinations(known, 2)
        if _reaches(joined, a.chamber, b.chamber, {p.chamber for p in known if p not in (a, b)})
    }


def _reaches(joined: dict[str, set[str]], start: str, goal: str, ends: set[str]) -> bool:
    """Whether a way leads from one chamber to another without passing through that of another port."""
    seen, todo = {start}, [start]
    while todo:
        for after in joined.get(todo.pop(), set()) - seen:
            if after == goal:
                return True
            seen.add(after)
            if after not in ends:
                todo.append(after)
    return False


def lever_valve(machine: Machine, mounted: Mounted, lever: str) -> Symbol:
    """An envelope of three squares, the middle one at its ports, a frame round the one that the lever chose."""
    shown = mounted.connected()
    above = [p for p in shown if p.role == "work port"]
    below = [p for p in shown if p.role != "work port"]
    side = GRID * max(3, len(above) + 1, len(below) + 1)
    left = LEVER + side
    flow = f"flow:{mounted.name}@"
    places = {p.name: (GRID * (k + 1), 0) for k, p in enumerate(above)}
    places |= {p.name: (GRID * (k + 1), side) for k, p in enumerate(below)}
    tall = side + 2 * GRID
    mouths = [
        Mouth(
            p.name, left + places[p.name][0], tall if p in below else 0, "down" if p in below else "up",
            mounted.outside[p.chamber], p.role in ("drain", "pilot", "vent"), flow + p.name,
            numbered=p.role == "work port",
        )
        for p in shown
    ]  # fmt: skip
    squares = [(1.0, LEVER), (0.0, left), (-1.0, left + side)]

    def draw(pen: Pen) -> None:
        for position, x in squares:
            _square(pen, x, side, places, shown, ways(machine, mounted, lever, position))
        for mouth in mouths:
            edge = GRID if mouth.side == "up" else GRID + side
            pen.line((mouth.x, mouth.y), (mouth.x, edge))
            pen.words(
                mouth.x + (4 if mouth.x > left + GRID else -14),
                edge + (-5 if mouth.side == "up" else 16),
                [mouth.port],
                13,
            )
        _ends(pen, lever, side)
        pen.words(left + side + 8, 14, [mounted.name])

    width = up(max(LEVER + 3 * side + 50, left + side + 8 + width_of(mounted.name)))
    return Symbol(mounted.name, width, tall, mouths, draw, "up")


def _square(
    pen: Pen,
    x: float,
    side: float,
    places: dict[str, tuple[int, int]],
    shown: list[PortOf],
    joined: set[tuple[str, str]],
) -> None:
    pen.box(x, GRID, side, side)
    free = {p.name for p in shown} - {name for pair in joined for name in pair}
    for name in sorted(free):
        px, py = places[name]
        y = GRID + (8 if py == 0 else side - 8)
        pen.line((x + px, GRID + py), (x + px, y), width=2.5)
        pen.line((x + px - 7, y), (x + px + 7, y), width=2.5)
    for a, b in sorted(joined):
        (ax, ay), (bx, by) = places[a], places[b]
        start, end = (x + ax, GRID + ay), (x + bx, GRID + by)
        if ay == by:  # both at one side: round a corner
            inner = GRID + (0.6 * side if ay else 0.4 * side)
            pen.line(start, (start[0], inner), (end[0], inner), width=2.5)
            pen.arrow((end[0], inner), end, 12)
        else:
            pen.arrow(start, end, 12)


def _ends(pen: Pen, lever: str, side: float) -> None:
    """Springs that centre it, the lever that moves it, and the frame round the square that acts."""
    middle = GRID + side / 2
    pen.spring(LEVER + 3 * side, middle + 12, 28)
    pen.spring(LEVER - 28, middle + 12, 28)
    pen.line((LEVER - 36, middle - 10), (LEVER, middle - 10))
    handle = pen.inside()
    pen.picture.bind(handle.group, "move", f"position:{lever}", dx=-10, most=10)
    handle.line((LEVER - 24, middle - 8), (LEVER - 32, middle - 38), width=4)
    handle.circle(LEVER - 32, middle - 38, 6, fill="#1a1a1a")
    frame = pen.inside()
    pen.picture.bind(frame.group, "move", f"position:{lever}", dx=-side, most=side)
    frame.box(LEVER + side - 3, GRID - 3, side + 6, side + 6, fill="none", stroke="#b3261e", stroke_width=5)
