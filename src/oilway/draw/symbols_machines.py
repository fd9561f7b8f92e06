"""Symbols of what turns, pushes and stores: pumps, motors, cylinders with their loads, accumulators, tanks."""

from __future__ import annotations

from oilway.draw.picture import INK
from oilway.draw.symbols import GRID, NAME, Mouth, Pen, Symbol, up, widest, width_of, wrapped
from oilway.elements.base import Part

BARREL, STROKE = 200, 144  # px of a cylinder
LEAST_SPEED, FULL_SPEED = 1e-5, 0.5  # m/s: the arrow of a speed


def pump(part: Part) -> Symbol:
    """A pump with its drive: fixed, pressure-compensated or load-sensing, told by its control."""
    lines = wrapped(part.name)
    controlled, sensing = part.kind != "fixed pump" and part.kind != "test pump", "load sense" in part.nodes
    turns = "engine speed" in part.values
    x = 160 if turns else 60
    right = x + 60
    width = right + max(widest(lines), 120)
    # Of a pump with two ports the one channel counts from its inlet on, of others each port counts into it.
    mouths = [
        Mouth(
            "outlet",
            x,
            0,
            "up",
            part.nodes["outlet"],
            flow=_flow(part, "outlet"),
            inward=len(part.nodes) > 2,
            numbered=True,
        ),
        Mouth("inlet", x, 120, "down", part.nodes["inlet"]),
    ]
    if controlled:
        mouths.append(Mouth("case", x + 60, 120, "down", part.nodes["case"], thin=True))
    if sensing:
        mouths.append(Mouth("load sense", x + 60, 0, "up", part.nodes["load sense"], thin=True))

    def draw(pen: Pen) -> None:
        if turns:
            _engine(pen, part, x)
        pen.line((x, 0), (x, 120))
        pen.circle(x, 60, 36)
        pen.head(x, 25, (0, -1), 24)
        if controlled:
            _control(pen, x, sensing=sensing)
        if part.kind == "test pump":
            pen.words(x, 72, ["test"], 15, text_anchor="middle")
        pen.words(right, 66 if controlled else 56, lines)

    return Symbol(part.name, width, 120, mouths, draw, "pump")


def _flow(part: Part, port: str) -> str:
    if len(set(part.nodes.values())) < 2:
        return ""
    return f"flow:{part.name}" if len(part.nodes) == 2 else f"flow:{part.name}@{port}"


def _engine(pen: Pen, part: Part, x: float) -> None:
    pen.line((94, 56), (x - 36, 56), width=2)
    pen.line((94, 64), (x - 36, 64), width=2)
    pen.box(18, 36, 76, 48, rx=6)
    pen.words(56, 66, ["engine"], NAME - 1, text_anchor="middle")
    pen.number(56, 108, f"rotation:{part.name}", "rotation", 20, text_anchor="middle")


def _control(pen: Pen, x: float, *, sensing: bool) -> None:
    """The slanted arrow of a pump that changes its stroke, its control, its case drain."""
    pen.arrow((x - 40, 98), (x + 42, 20), 14)
    pen.line((x, 12), (x + 40, 12), (x + 40, 24), dashed=True)
    pen.box(x + 32, 24, 36, 22, stroke_width=2)
    pen.spring(x + 68, 35, 20)
    if sensing:
        pen.line((x + 60, 0), (x + 60, 24), dashed=True)
    pen.line((x + 26, 86), (x + 40, 96), (x + 60, 96), (x + 60, 120), dashed=True)


def motor(part: Part) -> Symbol:
    """A motor that turns either way, the mass on its shaft above, its speed beside it."""
    name, lines = part.name, wrapped(part.name)
    width = 200 + max(widest(lines), 140)
    mouths = [
        Mouth("inlet", 20, 160, "down", part.nodes["inlet"], flow=f"flow:{name}@inlet", numbered=True),
        Mouth("outlet", 180, 160, "down", part.nodes["outlet"], flow=f"flow:{name}@outlet", numbered=True),
        Mouth("case", 100, 160, "down", part.nodes["case"], thin=True),
    ]

    def draw(pen: Pen) -> None:
        pen.line((96, 26), (96, 50), width=2)
        pen.line((104, 26), (104, 50), width=2)
        pen.box(60, 6, 80, 22, rx=4, fill="#d9d9d9")
        pen.line((20, 160), (20, 84), (64, 84))
        pen.line((180, 160), (180, 84), (136, 84))
        pen.line((100, 120), (100, 160), dashed=True)
        pen.circle(100, 84, 38)
        pen.head(82, 84, (1, 0), 20)
        pen.head(118, 84, (-1, 0), 20)
        pen.words(200, 60, lines)
        pen.number(200, 70 + 22 * len(lines), f"reading:{name}", "rotation", 24)

    return Symbol(name, width, 160, mouths, draw, "actuator")


def cylinder(part: Part, loads: list[Part]) -> Symbol:
    """A cylinder whose piston, rod and load stand where it stands; each end in the colour of its pressure."""
    stroke = float(part.values["stroke"] or 1.0)
    lines = [wrapped(load.name, 12) for load in loads]
    push = max([60, *(widest(name) for name in lines)])
    named = width_of(part.name) + 180
    width = up(max(20 + BARREL + STROKE + 30 + push, named))
    mouths = [
        Mouth("cap", 20, 120, "down", part.nodes["cap"], flow=f"flow:{part.name}@cap", numbered=True),
        Mouth("rod", BARREL, 120, "down", part.nodes["rod"], flow=f"flow:{part.name}@rod", numbered=True),
    ]

    def draw(pen: Pen) -> None:
        pen.words(0, 20, [part.name])
        pen.number(width_of(part.name) + 46, 20, f"speed:{part.name}", "velocity")
        _speed(pen, part.name, width_of(part.name) + 24)
        for x in (20, BARREL):
            pen.line((x, 100), (x, 120))
        _barrel(pen, part, STROKE / stroke)
        rod = _moving(pen, part, STROKE / stroke)
        rod.box(46, 63, BARREL - 6, 12, fill="#d9d9d9")
        for load, name in zip(loads, lines, strict=True):
            _load(rod, load, name, push)

    return Symbol(part.name, width, 120, mouths, draw, "actuator")


def _moving(pen: Pen, part: Part, gain: float) -> Pen:
    inside = pen.inside()
    pen.picture.bind(inside.group, "move", f"position:{part.name}", dx=gain, most=STROKE)
    return inside


def _barrel(pen: Pen, part: Part, gain: float) -> None:
    """The barrel with its oil and piston; the oil at the rod end follows the piston, cut off at the barrel."""
    barrel = {"x": 4, "y": 38, "width": BARREL + 12, "height": 62}
    clip = f"{pen.picture.key}-barrel-{sum(1 for _ in pen.picture.root.iter('clipPath'))}"
    pen.picture.add(pen.picture.add(pen.group, "clipPath", id=clip), "rect", **barrel)
    oil = pen.inside(clip_path=f"url(#{clip})")
    cap = oil.box(4, 38, BARREL + 12, 62, stroke="none")
    pen.picture.bind(cap, "fill", f"pressure:{part.nodes['cap']}")
    moving = _moving(oil, part, gain)
    rod = moving.box(44, 38, BARREL + 12, 62, stroke="none")
    pen.picture.bind(rod, "fill", f"pressure:{part.nodes['rod']}")
    moving.box(30, 38, 16, 62, fill="#8a8a8a")
    for end, x in (("cap", 22), ("rod", 46)):
        if part.values[f"{end} cushion length"]:  # the plunger that shuts the way out near the end of the stroke
            moving.box(x, 57, 8, 24, fill="#8a8a8a")
    pen.box(4, 38, BARREL + 12, 62, fill="none")


def _load(rod: Pen, load: Part, name: list[str], push: float) -> None:
    box = rod.inside()
    rod.picture.touchable(box.group, load.name)
    x = 40 + BARREL
    box.box(x, 38 - 4 * (len(name) > 2), push + 8, 62 + 8 * (len(name) > 2), fill="#efe7da", rx=3)
    box.words(x + 4 + push / 2, 69 - 11 * (len(name) - 1) + 6, name, text_anchor="middle")


def _speed(pen: Pen, name: str, x: float) -> None:
    arrow = pen.inside(transform=f"translate({x} 13)")
    head = arrow.path("M-16 -3L2 -3L2 -8L16 0L2 8L2 3L-16 3Z", 1, fill=INK)
    pen.picture.bind(head, "flow", f"speed:{name}", least=LEAST_SPEED, full=FULL_SPEED)


def accumulator(part: Part) -> Symbol:
    """A gas-charged accumulator, standing on its chamber."""
    lines = wrapped(part.name)

    def draw(pen: Pen) -> None:
        pen.line((40, 100), (40, 80))
        pen.box(16, 4, 48, 78, rx=24)
        pen.line((16, 44), (64, 44), width=2)
        pen.head(40, 40, (0, 1), 16, open_=True)
        pen.words(76, 40, lines)
        pen.number(76, 46 + 22 * len(lines), f"reading:{part.name}", "volume", 20)

    width = 80 + max(widest(lines), 140)
    return Symbol(part.name, width, 100, [Mouth("at", 40, 100, "down", part.nodes["at"])], draw, "up")


def gauge(part: Part) -> Symbol:
    """A gauge where it is screwed in, its reading written big above it."""
    width = max(180, width_of(part.name, 17))
    x = GRID * round(width / 2 / GRID)

    def draw(pen: Pen) -> None:
        pen.words(x, 13, [part.name], 17, text_anchor="middle")
        pen.number(x, 50, f"reading:{part.name}", "pressure", 41, text_anchor="middle")
        pen.line((x, 108), (x, 120))
        pen.circle(x, 82, 26)
        pen.arrow((x - 14, 96), (x + 16, 66), 13)

    return Symbol(part.name, width, 120, [Mouth("at", x, 120, "down", part.nodes["at"])], draw, "gauge")


def tank(pen: Pen, x: float, y: float) -> None:
    """The open tank, its line ending at (x, y) in it."""
    pen.line((x - 20, y - 12), (x - 20, y + 4), (x + 20, y + 4), (x + 20, y - 12))


def held(pen: Pen, x: float, y: float, out: tuple[float, float]) -> None:
    """A line held at a pressure: the triangle of a source, pointing into the line that ends at (x, y).

    ``out`` points from the circuit to the source.
    """
    pen.head(x, y, (-out[0], -out[1]), 24, open_=True)
