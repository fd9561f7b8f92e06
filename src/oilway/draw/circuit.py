"""The circuit of a machine, or of a valve on its test stand, with symbols after ISO 1219-1."""

from __future__ import annotations

from contextlib import suppress
from itertools import pairwise

from oilway.draw.circuit_layout import place
from oilway.draw.circuit_lines import Net, before, lay, sign_box, sign_line
from oilway.draw.circuit_parts import is_held, symbols_of, tank_lines
from oilway.draw.circuit_words import SIDES, Board, nearest
from oilway.draw.picture import INK, PAPER, Picture
from oilway.draw.symbols import FULL_FLOW, LEAST_FLOW, NAME, WAYS, Mouth, Pen, Point, Rect, Symbol, length_of
from oilway.draw.symbols_machines import held, tank
from oilway.model.machine import Machine

LINE, THIN, EDGE = 6.0, 4.0, 3.0  # px: a line, a pilot line, and the dark edge on both together
BIG, FLOW = 26.0, 20.0  # px on the screen: the pressure of a line, the flow at a mouth
SCREEN = 1080, 770  # px: the page on a projector shrinks a larger picture, so its numbers are written larger
FRAME = 24  # px round the picture
TRIES = (1.0, 1.4, 2.0, 3.0)  # aisles are widened until every line and plate finds its place


def circuit(machine: Machine, *, key: str) -> Picture:
    """Draw the circuit of a machine; ``key`` keeps its ids apart from those of other pictures on a page.

    Errors: :class:`ValueError` where the lines find no way however wide the aisles are.
    """
    return draw(machine, key=key).picture


def draw(machine: Machine, *, key: str) -> Drawing:
    """The circuit with what stands where in it; see :func:`circuit`."""
    for spread in TRIES[:-1]:
        with suppress(ValueError):
            return Drawing(machine, key, spread)
    return Drawing(machine, key, TRIES[-1])


class Drawing:
    """A circuit with everything in its place: ``symbols``, ``signs`` of tanks, ``nets``, and what plates cover."""

    def __init__(self, machine: Machine, key: str, spread: float) -> None:
        self.machine = machine
        self.tanks = {name for name, part in machine.parts.items() if part.kind == "tank"}
        self.symbols = symbols_of(machine)
        for symbol in self.symbols:
            sides = {m.side for m in symbol.mouths if m.chamber in self.tanks}
            symbol.pads = (60 if "left" in sides else 0, 60 if "right" in sides else 0)
        width, height = place(self.symbols, self.tanks, tank_lines(machine), spread)
        ends = [(symbol, mouth) for symbol in self.symbols for mouth in symbol.mouths]
        self.signs = [(s, m, is_held(machine, m.chamber)) for s, m in ends if m.chamber in self.tanks]
        boxes = [sign_box(s, m, is_held=source) for s, m, source in self.signs]
        self.nets = lay(self.symbols, self.tanks, boxes, width, height)
        self.picture = Picture(machine.title, width, height, key)
        self.board = Board(width, height)
        self._take_room()
        self.larger = max(1.0, *(size / room for size, room in zip(self._bounds()[2:], SCREEN, strict=True)))
        self._draw()
        x, y, w, h = self._bounds()
        self.picture.root.set("viewBox", f"{x:g} {y:g} {w:g} {h:g}")
        self.picture.width, self.picture.height = w, h

    def _bounds(self) -> Rect:
        """The part of the picture in which something stands, with a frame."""
        left, top = (min(r[k] for r in self.board.taken) - FRAME for k in (0, 1))
        right, bottom = (max(r[k] + r[k + 2] for r in self.board.taken) + FRAME for k in (0, 1))
        return left, top, right - left, bottom - top

    def _draw(self) -> None:
        pen = Pen(self.picture, self.picture.root)
        lines = pen.inside(class_="lines")
        for net in self.nets:
            self._net(lines, net)
        symbols = pen.inside(class_="symbols")
        for symbol in self.symbols:
            group = symbols.inside(transform=f"translate({symbol.x} {symbol.y})")
            self.picture.touchable(group.group, symbol.name, f"{symbol.name}: {self._about(symbol.name)}")
            symbol.draw(group)
        plates = pen.inside(class_="plates")
        self._flows(plates)
        for net in self.nets:
            self._plate(plates, net.chamber, _along(net))
        self._signs(lines, plates)

    def _about(self, name: str) -> str:
        """What a part is, or a valve by the title of its file."""
        if name in self.machine.parts:
            return self.machine.parts[name].kind
        return next(m.valve.title for m in self.machine.mounted if m.name == name)

    def _take_room(self) -> None:
        for symbol in self.symbols:
            self.board.take((symbol.x, symbol.y, symbol.width, symbol.height), 4)
            self.board.solid.append((symbol.x, symbol.y, symbol.width, symbol.height))
        for symbol, mouth, is_source in self.signs:
            self.board.take(sign_box(symbol, mouth, is_held=is_source))
        for net in self.nets:
            for points, _ in net.lines:
                for a, b in pairwise(points):
                    self.board.take(_rect(a, b), 5)

    # -- lines --------------------------------------------------------------------------------------------
    def _net(self, pen: Pen, net: Net) -> None:
        group = pen.inside(stroke_linecap="round")
        self.picture.touchable(group.group, net.chamber)
        self._strokes(group, net.chamber, net.lines)
        for x, y in net.dots:
            group.circle(x, y, 7, fill=INK, stroke="none")

    def _strokes(self, pen: Pen, chamber: str, lines: list[tuple[list[Point], bool]]) -> None:
        for points, thin in lines:
            pen.path(_path(points), (THIN if thin else LINE) + EDGE, **_dash(thin))
        for points, thin in lines:
            stroke = pen.path(_path(points), THIN if thin else LINE, **_dash(thin))
            self.picture.bind(stroke, "stroke", f"pressure:{chamber}")

    def _signs(self, lines: Pen, plates: Pen) -> None:
        """Tanks (and held pressures) at every mouth that opens into one; the number stands once for each."""
        signs: dict[str, list[Rect]] = {}
        for symbol, mouth, is_source in self.signs:
            signs.setdefault(mouth.chamber, []).append(sign_box(symbol, mouth, is_held=is_source))
            points = sign_line(symbol, mouth, is_held=is_source)
            group = lines.inside(stroke_linecap="round")
            self.picture.touchable(group.group, mouth.chamber)
            self._strokes(group, mouth.chamber, [(points, mouth.thin)])
            if is_source:
                held(group, *points[-1], WAYS[mouth.side])
            else:
                tank(group, *points[-1])
        for chamber, boxes in signs.items():
            middles = [(x + w / 2, y + h - 4) for x, y, w, h in boxes]
            edges = [(e, y + h - 8) for x, y, w, h in boxes for e in (x, x + w)]
            self._plate(plates, chamber, middles + edges)

    # -- words --------------------------------------------------------------------------------------------
    def _plate(self, pen: Pen, chamber: str, points: list[Point]) -> None:
        """Name and pressure of a chamber beside its line."""
        big, small = BIG * self.larger, NAME - 2 + 6 * (self.larger - 1)
        width = max(length_of(chamber, small), 4.2 * big) + 12
        rect, lead = self.board.beside(points, width, 1.2 * (big + small) + 2)
        group = pen.inside(class_="plate")
        self.picture.touchable(group.group, chamber)
        self._lead(group, rect, lead)
        x, y, w, h = rect
        group.box(x, y, w, h, rx=6, stroke_width=1.5)
        group.words(x + w / 2, y + 1.1 * small, [chamber], small, text_anchor="middle")
        group.number(x + w / 2, y + h - 0.3 * big, f"pressure:{chamber}", "pressure", big, text_anchor="middle")

    def _flows(self, pen: Pen) -> None:
        """An arrow on the line at every mouth whose flow is known, its number where it matters."""
        places = [(symbol, mouth) for symbol in self.symbols for mouth in symbol.mouths if mouth.flow]
        for symbol, mouth in places:
            self.board.take(_round(before(symbol, mouth, 16), 13))
        for symbol, mouth in places:
            x, y = before(symbol, mouth, 16)
            turn = {"up": 90, "down": -90, "left": 0, "right": 180}[mouth.side] + (0 if mouth.inward else 180)
            arrow = pen.inside(transform=f"translate({x:g} {y:g}) rotate({turn})")
            shape = arrow.path("M-9 -10L12 0L-9 10Z", 1.5, fill=INK, stroke=PAPER)
            self.picture.bind(shape, "flow", mouth.flow, least=LEAST_FLOW, full=FULL_FLOW)
            if mouth.numbered:
                self._flow_number(pen, symbol, mouth)

    def _flow_number(self, pen: Pen, symbol: Symbol, mouth: Mouth) -> None:
        points = [before(symbol, mouth, away) for away in (20, 30, 40, 50)]
        size = FLOW * min(self.larger, 1.1)  # larger ones would not fit between two lines
        gap = 28 if mouth.chamber in self.tanks else 15
        same = [m.x for m in symbol.mouths if m.side == mouth.side]
        is_left = mouth.side != "left" and mouth.x < max(same)
        sides = ("left", "right", "up", "down") if is_left else SIDES
        rect, lead = self.board.beside(points, 6.6 * size, 1.3 * size, sides, gap)
        x, y, w, h = rect
        group = pen.inside(class_="flow")
        self.picture.touchable(group.group, symbol.name, f"flow at {mouth.port} of {symbol.name}")
        self._lead(group, rect, lead)
        group.box(x, y, w, h, rx=h / 2, stroke_width=1)
        text = self.picture.text(group.group, x + w / 2, y + size, "", size)
        self.picture.bind(text, "text", mouth.flow, kind="flow", unsigned=1)

    def _lead(self, pen: Pen, rect: Rect, point: Point | None) -> None:
        """A thin line to what a plate names, where it stands further off."""
        if point is not None:
            pen.line(point, nearest(rect, point), width=1)


def _along(net: Net) -> list[Point]:
    """Points of a net where its plate may stand, the middle of its longest straight piece first."""
    pieces = [(a, b) for points, thin in net.lines for a, b in pairwise(points)]
    pieces.sort(key=lambda ab: -_length(*ab))
    found = []
    for a, b in pieces:
        n = max(1, round(_length(a, b) / 30))
        for k in sorted(range(n + 1), key=lambda k: abs(2 * k - n)):
            found.append((a[0] + k / n * (b[0] - a[0]), a[1] + k / n * (b[1] - a[1])))
    return found or [before(*net.ends[0], 10)]


def _length(a: Point, b: Point) -> float:
    return abs(a[0] - b[0]) + abs(a[1] - b[1])


def _rect(a: Point, b: Point) -> Rect:
    return min(a[0], b[0]), min(a[1], b[1]), abs(a[0] - b[0]), abs(a[1] - b[1])


def _round(p: Point, r: float) -> Rect:
    return p[0] - r, p[1] - r, 2 * r, 2 * r


def _path(points: list[Point]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)


def _dash(thin: bool) -> dict[str, str]:
    return {"stroke_dasharray": "11 7", "stroke_linecap": "butt"} if thin else {}
