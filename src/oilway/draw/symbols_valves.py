"""Symbols of mounted valves: squares, arrows and springs, by what the valve acts as and its ports."""

from __future__ import annotations

from dataclasses import dataclass

from oilway.draw.picture import PAPER
from oilway.draw.symbols import GRID, Mouth, Pen, Symbol, up, widest, wrapped
from oilway.draw.symbols_lever import lever_valve
from oilway.draw.symbols_lines import check_sign
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.valve import PortOf

SHIFT, SIDE, TALL = 14, 60, 120  # px: how far a shut valve's arrow stands off its line; its square; the symbol


@dataclass(frozen=True)
class Inside:
    """What a valve's parts say of its symbol.

    ``main`` is the moving part that opens the main way, ``staged`` whether a pilot stage commands it, ``check``
    whether oil passes a check beside it the other way, ``lever`` the lever inside.
    """

    main: str
    staged: bool
    check: bool
    lever: str


def inside(machine: Machine, mounted: Mounted) -> Inside:
    """Look at the parts of a mounted valve."""
    parts = {name: part for name, part in sorted(machine.parts.items()) if mounted.holds(name)}
    ends = {mounted.at("inlet", "work port"), mounted.at("outlet", "work port")}
    moving = [name for name, part in parts.items() if part.kind == "moving part"]
    openings = [
        p for p in parts.values() if p.kind in ("poppet seat", "spool edge") and p.nodes["from"] != p.nodes["to"]
    ]
    best = sorted(openings, key=lambda p: -len(ends & set(p.nodes.values())))
    main = next((str(p.values["on"]) for p in best if p.values["on"] in moving), "")
    return Inside(
        main,
        len([p for p in parts.values() if p.kind == "spring"]) > 1 and len(moving) > 1,
        any(p.kind == "check valve" and set(p.nodes.values()) == ends for p in parts.values()),
        next((name for name, part in parts.items() if part.kind == "lever"), ""),
    )


def valve(machine: Machine, mounted: Mounted) -> Symbol:
    """The one symbol of a mounted valve; a box with its ports where nothing says what it acts as."""
    roles = sorted(port.role for port in mounted.connected())
    acts, seen = mounted.valve.acts_as, inside(machine, mounted)
    once = len(roles) == len(set(roles))
    if acts == "lever valve" and seen.lever:
        return lever_valve(machine, mounted, seen.lever)
    if acts == "check" and roles == ["inlet", "outlet"]:
        return _check(mounted)
    if acts == "crossover relief" and roles == ["outlet", "work port", "work port"]:
        return _crossover(mounted)
    if acts == "unloading" and once and {"inlet", "outlet", "work port"} <= set(roles) <= {*_UNLOADING}:
        return _unloading(mounted, seen)
    if acts in _PRESSURE and once and "inlet" in roles and ("outlet" in roles) != ("work port" in roles):
        return _pressure_valve(mounted, seen, _PRESSURE[acts])
    return _box(mounted)


_UNLOADING = ("inlet", "outlet", "work port", "pilot", "drain")


@dataclass(frozen=True)
class _Kind:
    """How a pressure valve stands: its oil down or up, what opens or closes it besides its spring."""

    down: bool
    senses: tuple[str, ...]  # "inlet", "outlet": its own lines that push against the spring


_PRESSURE = {
    "relief": _Kind(True, ("inlet",)),
    "port relief": _Kind(True, ("inlet",)),
    "counterbalance": _Kind(True, ("inlet",)),
    "brake": _Kind(True, ("inlet",)),
    "sequence": _Kind(False, ("inlet",)),
    "reducing": _Kind(False, ("outlet",)),
}


def _mouth(mounted: Mounted, role: str, x: int, y: int, side: str, *, numbered: bool = False) -> Mouth | None:
    port = next((p for p in mounted.connected() if p.role == role), None)
    if port is None:
        return None
    flow = f"flow:{mounted.name}@{port.name}"
    thin = role in ("drain", "vent", "pilot")
    return Mouth(port.name, x, y, side, mounted.outside[port.chamber], thin, flow, numbered=numbered)


def _pressure_valve(mounted: Mounted, seen: Inside, kind: _Kind) -> Symbol:
    """A square with an arrow, a spring at its right, what it senses at its left."""
    x = 120 if seen.check else 60
    lines = wrapped(mounted.name)
    said = 32 * seen.staged
    top, bottom = ("inlet", "outlet") if kind.down else ("outlet", "inlet")
    roles = {p.role for p in mounted.connected()}
    named = {role: role if role in roles else "work port" for role in (top, bottom)}
    mouths = [
        _mouth(mounted, named[top], x, 0, "up", numbered=kind.down),
        _mouth(mounted, named[bottom], x, TALL, "down", numbered=not kind.down),
        _mouth(mounted, "pilot", 0, 60, "left"),
        _mouth(mounted, "drain", x + 80, TALL, "down"),
        _mouth(mounted, "vent", x + 80, 0, "up"),
    ]
    own = "pilot" not in roles or mounted.valve.acts_as in ("counterbalance", "brake")
    wide = x + (96 if seen.check else 76) + said + 30 * bool(seen.lever)

    def draw(pen: Pen) -> None:
        if seen.check:
            pen.enclosure(x - 84, 6, 84 + 80 + said, TALL - 12)
            pen.line((x, 16), (x - 66, 16), (x - 66, TALL - 16), (x, TALL - 16), width=2.5)
            check_sign(pen, x - 66, 60, down=not kind.down)
        square(pen, x, 60, seen.main, down=kind.down)
        pen.line((x, 0), (x, 30))
        pen.line((x, 90), (x, TALL))
        at_top = (kind.senses[0] == "inlet") == kind.down
        if own:
            y, corner = (22, 48) if at_top else (98, 72)
            pen.line((x, y), (x - 44, y), (x - 44, corner), (x - 30, corner), dashed=True)
        if "pilot" in roles:
            pen.line((0, 60), (x - 30, 60), dashed=True)
        _spring_side(pen, x + 30, mounted, seen, said)
        for role, y in (("drain", TALL), ("vent", 0)):
            if role in roles:
                pen.line((x + 80, y), (x + 80, 78 if y else 42), (x + 46, 78 if y else 42), dashed=True)
        pen.words(wide, 66 - 11 * (len(lines) - 1), lines)

    width = wide + 4 + widest(lines)
    kept = [mouth for mouth in mouths if mouth is not None]
    place = "down" if mounted.valve.acts_as in ("relief", "port relief") else "up"
    return Symbol(mounted.name, up(width), TALL, kept, draw, place)


def square(pen: Pen, x: float, y: float, main: str, *, down: bool, side: float = SIDE) -> None:
    """The square with its arrow: off the line while the valve is shut, in line as its moving part opens."""
    pen.box(x - side / 2, y - side / 2, side, side)
    stands = SHIFT if main else 0
    arrow = pen.inside(transform=f"translate({x - stands} 0)").inside()
    if main:
        pen.picture.bind(arrow.group, "move", f"share:{main}", dx=SHIFT, most=SHIFT)
    way = 1 if down else -1
    arrow.arrow((0, y - way * side / 2 + way), (0, y + way * side / 2 - way), 14)


def _spring_side(pen: Pen, x: float, mounted: Mounted, seen: Inside, said: float) -> None:
    if seen.staged:
        pen.box(x, 46, 34, 28, stroke_width=2.5)
        pen.head(x + 6, 60, (-1, 0), -20)
    pen.spring(x + (34 if seen.staged else 0), 60, adjustable=bool(mounted.adjuster))
    if seen.lever:
        pen.box(x + 38 + said, 49, 26, 22, stroke_width=2)
        pen.line((x + 42 + said, 69), (x + 60 + said, 51), width=2)


def _check(mounted: Mounted) -> Symbol:
    lines = wrapped(mounted.name)
    mouths = [
        _mouth(mounted, "inlet", 40, 80, "down", numbered=True),
        _mouth(mounted, "outlet", 40, 0, "up"),
    ]

    def draw(pen: Pen) -> None:
        pen.line((40, 0), (40, 31))
        pen.line((40, 55), (40, 80))
        check_sign(pen, 40, 40, down=False)
        pen.words(72, 46 - 11 * (len(lines) - 1), lines)

    return Symbol(mounted.name, 80 + widest(lines), 80, [m for m in mouths if m], draw, "up")


def _crossover(mounted: Mounted) -> Symbol:
    """Two reliefs, each from one line over to the other side, and the checks that fill an empty line."""
    work = [p for p in mounted.connected() if p.role == "work port"]
    lines = wrapped(mounted.name)
    mouths = [
        Mouth(p.name, x, 0, "up", mounted.outside[p.chamber], flow=f"flow:{mounted.name}@{p.name}", numbered=True)
        for p, x in zip(work, (40, 240), strict=True)
    ]
    back = _mouth(mounted, "outlet", 140, 160, "down", numbered=True)

    def draw(pen: Pen) -> None:
        pen.enclosure(8, 8, 264, 146)
        for x, way in ((40, 1), (240, -1)):
            pen.line((x, 0), (x, 120), (140, 120), width=2.5)
            check_sign(pen, x, 84, down=False)
            pen.box(140 - 50 * way - 22, 30, 44, 44)
            pen.line((x, 42), (140 - 50 * way - 22 * way, 42), width=2.5)
            pen.line((140 - 50 * way + 22 * way, 42), (140, 42), width=2.5)
            pen.arrow((140 - 50 * way - 20 * way, 52), (140 - 50 * way + 20 * way, 52), 12)
            pen.line(
                (140 - 50 * way, 74), (140 - 50 * way - 6, 80), (140 - 50 * way + 6, 88), (140 - 50 * way, 94)
            )
        pen.line((140, 42), (140, 160), width=2.5)
        for x in (140,):
            pen.circle(x, 120, 4, fill="#1a1a1a")
        pen.words(284, 76, lines)

    return Symbol(mounted.name, up(290 + widest(lines)), 160, [*mouths, *([back] if back else [])], draw, "up")


def _unloading(mounted: Mounted, seen: Inside) -> Symbol:
    """A check from the pump to the system, and a square that lets the pump run free when the system says so."""
    lines = wrapped(mounted.name)
    mouths = [
        _mouth(mounted, "inlet", 40, TALL, "down", numbered=True),
        _mouth(mounted, "work port", 40, 0, "up", numbered=True),
        _mouth(mounted, "pilot", 120, 0, "up"),
        _mouth(mounted, "outlet", 140, TALL, "down", numbered=True),
        _mouth(mounted, "drain", 220, TALL, "down"),
    ]
    remote = any(p.role == "pilot" for p in mounted.connected())
    said = 32 * seen.staged

    def draw(pen: Pen) -> None:
        pen.enclosure(14, 6, 204 + said, TALL - 12)
        pen.line((40, 0), (40, 31 - 6))
        pen.line((40, 49), (40, TALL))
        check_sign(pen, 40, 34, down=False)
        pen.line((40, 104), (78, 104), (78, 18), (140, 18), (140, 34), width=2.5)
        square(pen, 140, 60, seen.main, down=True, side=52)
        pen.line((140, 86), (140, TALL))
        start = (120, 0) if remote else (40, 14)
        pen.line(start, (start[0], 26), (96, 26), (96, 60), (114, 60), dashed=True)
        _spring_side(pen, 166, mounted, seen, said)
        pen.words(232 + said, 66 - 11 * (len(lines) - 1), lines)

    return Symbol(mounted.name, up(236 + said + widest(lines)), TALL, [m for m in mouths if m], draw, "up")


_SIDES = {
    "inlet": "down", "outlet": "down", "drain": "down", "work port": "up", "pilot": "left", "vent": "left",
}  # fmt: skip


def _box(mounted: Mounted) -> Symbol:
    """A box with the letters of its ports: work ports above, inlet and outlet below, pilot at its left."""
    by_side: dict[str, list[PortOf]] = {"up": [], "down": [], "left": []}
    for port in mounted.connected():
        by_side[_SIDES[port.role]].append(port)
    lines = wrapped(mounted.name, 18)
    across = max(len(by_side["up"]), len(by_side["down"]))
    width = max(2 * GRID * (across + 1), widest(lines) + 20, 120)
    height = max(up(60 + 22 * len(lines)), 40 * (len(by_side["left"]) + 1), 100)
    mouths, letters = [], []
    for side, row in by_side.items():
        for k, port in enumerate(row):
            at = 40 * (k + 1)
            x, y = (at, 0) if side == "up" else (at, height) if side == "down" else (0, at)
            flow = f"flow:{mounted.name}@{port.name}"
            thin = port.role in ("drain", "vent", "pilot")
            mouths.append(
                Mouth(
                    port.name,
                    x,
                    y,
                    side,
                    mounted.outside[port.chamber],
                    thin,
                    flow,
                    numbered=port.role == "outlet",
                )
            )
            lift = 14 if side == "up" else -6 if side == "down" else 5
            letters.append((x + (12 if side == "left" else 0), y + lift, port.name))

    def draw(pen: Pen) -> None:
        pen.box(0, 0, width, height, fill=PAPER)
        for x, y, letter in letters:
            pen.words(x, y, [letter], 14, text_anchor="middle")
        pen.words(width / 2, height / 2 + 6 - 11 * (len(lines) - 1), lines, text_anchor="middle")

    return Symbol(mounted.name, width, height, mouths, draw, "up")
