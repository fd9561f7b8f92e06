"""Symbols with one way through (orifices, checks, lines, filters, meters, loads), and the shuttle."""

from __future__ import annotations

from collections.abc import Callable

from oilway.draw.picture import PAPER
from oilway.draw.symbols import GRID, Mouth, Pen, Symbol, widest, wrapped
from oilway.elements.base import Part

AXIS, TALL = 40, 80  # px: where the line runs through, and how tall these symbols are


def through(part: Part, *, down: bool) -> Symbol:
    """The symbol of a part with a ``from`` and a ``to``, its oil running down or up."""
    lines = wrapped(part.name)
    flow = f"flow:{part.name}" if part.nodes["from"] != part.nodes["to"] else ""
    aside = GRID if part.kind == "filter" else 0  # room for its bypass
    x, width = AXIS + aside, AXIS + aside + 40 + widest(lines)
    ends = ("up", 0, "down", TALL) if down else ("down", TALL, "up", 0)
    mouths = [
        Mouth("from", x, int(ends[1]), str(ends[0]), part.nodes["from"], flow=flow, numbered=True),
        Mouth("to", x, int(ends[3]), str(ends[2]), part.nodes["to"]),
    ]

    def draw(pen: Pen) -> None:
        WITHIN[part.kind](pen.inside(transform=f"translate({aside} 0)"), down)
        pen.words(x + 36, 46 - 11 * (len(lines) - 1), lines)

    return Symbol(part.name, width, TALL, mouths, draw, "down" if down else "up")


def check_sign(pen: Pen, x: float, y: float, *, down: bool) -> None:
    """A ball on its seat with its middle at (x, y); oil passes down or up."""
    way = 1 if down else -1
    pen.circle(x, y, 9)
    pen.line((x - 14, y - 1 * way), (x, y - 15 * way), (x + 14, y - 1 * way))


def _check(pen: Pen, down: bool) -> None:
    pen.line((AXIS, 0), (AXIS, 25 if down else 31))
    pen.line((AXIS, 49 if down else 55), (AXIS, TALL))
    check_sign(pen, AXIS, 40, down=down)


def _orifice(pen: Pen, down: bool) -> None:
    pen.line((AXIS, 0), (AXIS, TALL))
    pen.path(f"M{AXIS - 16} 24Q{AXIS - 4} 40 {AXIS - 16} 56")
    pen.path(f"M{AXIS + 16} 24Q{AXIS + 4} 40 {AXIS + 16} 56")


def _variable(pen: Pen, down: bool) -> None:
    """An opening that a spool or poppet makes."""
    _orifice(pen, down)
    pen.arrow((AXIS - 22, 60), (AXIS + 22, 20), 12)


def _gap(pen: Pen, down: bool) -> None:
    """A clearance that leaks: long and narrow, its line dashed."""
    pen.line((AXIS, 0), (AXIS, TALL), dashed=True)
    for side in (-1, 1):
        pen.line((AXIS + 8 * side, 22), (AXIS + 8 * side, 58))


def _line(pen: Pen, down: bool) -> None:
    pen.line((AXIS, 0), (AXIS, TALL), width=5)
    for y in (14, TALL - 14):
        pen.line((AXIS - 10, y), (AXIS + 10, y))


def _hose(pen: Pen, down: bool) -> None:
    pen.path(f"M{AXIS} 0L{AXIS} 14C{AXIS - 34} 24 {AXIS - 34} 56 {AXIS} 66L{AXIS} {TALL}", 4)
    for y in (14, 66):
        pen.circle(AXIS, y, 5)


def _filter(pen: Pen, down: bool) -> None:
    """The diamond with its dashed element, and the bypass check beside it."""
    pen.line((AXIS, 0), (AXIS, TALL))
    pen.path(f"M{AXIS} 14L{AXIS + 26} 40L{AXIS} 66L{AXIS - 26} 40Z", fill=PAPER)
    pen.line((AXIS - 26, 40), (AXIS + 26, 40), dashed=True)
    pen.line((AXIS, 7), (AXIS - 32, 7), (AXIS - 32, 73), (AXIS, 73), width=2)
    check_sign(pen, AXIS - 32, 40, down=down)


def _cooler(pen: Pen, down: bool) -> None:
    """The diamond, with heat leaving it on both sides."""
    pen.line((AXIS, 0), (AXIS, TALL))
    pen.path(f"M{AXIS} 14L{AXIS + 26} 40L{AXIS} 66L{AXIS - 26} 40Z", fill=PAPER)
    for side in (-1, 1):
        pen.arrow((AXIS + 4 * side, 40), (AXIS + 24 * side, 40), 11)


def _flow_control(pen: Pen, down: bool) -> None:
    """A restrictor in its box: adjustable, and compensated by pressure (the small arrow along the line)."""
    pen.box(AXIS - 30, 10, 60, 60)
    _variable(pen, down)
    pen.arrow((AXIS + 22, 62), (AXIS + 22, 44), 9)


def _meter(pen: Pen, down: bool) -> None:
    pen.line((AXIS, 0), (AXIS, TALL))
    pen.circle(AXIS, 40, 24)
    pen.arrow((AXIS, 58), (AXIS, 24), 14)
    for side in (-1, 1):
        pen.path(f"M{AXIS + 12 * side} 26Q{AXIS + 5 * side} 40 {AXIS + 12 * side} 54", 2)


def _test_load(pen: Pen, down: bool) -> None:
    """Oil taken against a pressure: a restrictor that carries a weight."""
    pen.line((AXIS, 0), (AXIS, TALL))
    pen.box(AXIS - 30, 12, 60, 56)
    pen.line((AXIS - 18, 54), (AXIS + 18, 54))
    pen.path(f"M{AXIS - 16} 54L{AXIS - 10} 28L{AXIS + 10} 28L{AXIS + 16} 54Z", 2.5, fill="#efe7da")


WITHIN: dict[str, Callable[[Pen, bool], None]] = {
    "check valve": _check,
    "orifice": _orifice,
    "spool edge": _variable,
    "poppet seat": _variable,
    "annular gap": _gap,
    "line": _line,
    "hose": _hose,
    "filter": _filter,
    "cooler": _cooler,
    "flow control": _flow_control,
    "flow meter": _meter,
    "test load": _test_load,
}


def shuttle(part: Part) -> Symbol:
    """The shuttle: the higher of two pressures from above goes on below."""
    lines = wrapped(part.name)
    mouths = [
        Mouth("first", 20, 0, "up", part.nodes["first"], thin=True),
        Mouth("second", 100, 0, "up", part.nodes["second"], thin=True),
        Mouth("to", 60, TALL, "down", part.nodes["to"], thin=True),
    ]

    def draw(pen: Pen) -> None:
        pen.line((20, 0), (20, 40), (100, 40), (100, 0), width=2.5)
        pen.line((60, 40), (60, TALL), width=2.5)
        pen.box(30, 22, 60, 36)
        pen.line((42, 30), (34, 40), (42, 50))
        pen.line((78, 30), (86, 40), (78, 50))
        pen.circle(50, 40, 9)
        pen.words(124, 46 - 11 * (len(lines) - 1), lines)

    return Symbol(part.name, 140 + widest(lines), TALL, mouths, draw, "down")
