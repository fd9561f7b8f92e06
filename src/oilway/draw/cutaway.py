"""The cutaway of a valve, drawn from its data: body, rooms filled by pressure, parts at their computed lift.

No valve is drawn by hand.  :mod:`oilway.draw.cutaway_column` finds what lies along the bore of each moving part,
:mod:`oilway.draw.cutaway_layout` gives everything its place, and here it becomes a picture that follows a state.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from xml.etree import ElementTree as ET

from oilway import quantity
from oilway.draw.cutaway_column import EDGE, ROOM, SEAT, Slot, number
from oilway.draw.cutaway_layout import lay_out
from oilway.draw.cutaway_marks import draw_ports, draw_stations, draw_tags, fitted
from oilway.draw.cutaway_parts import SHOWN_LIFT, draw_mover
from oilway.draw.cutaway_place import CELL
from oilway.draw.cutaway_plan import Pipe, Plan, Standing, crossings
from oilway.draw.cutaway_valve import shown
from oilway.draw.picture import INK, PAPER, Picture
from oilway.elements.spool_edge import DROPS, LIFTS
from oilway.errors import QuantityError
from oilway.model.machine import Machine
from oilway.model.mount import Mounted

BODY, LINES = "#e4e4e1", "#b9b9b4"
NUMBER = 38.0  # px: size of the pressures
LEVER_STROKE = 28.0  # px
RATED = 1e-3  # m3/s, where a valve file names no rated flow
LEAST = 1e-3  # share of the rated flow below which no arrow shows
NOTE = 20.0  # px between lines of notes
BESIDE, ABOVE, BELOW = 116.0, 60.0, 34.0  # px round the body: ports, the title, notes
PORTS = 50.0  # px below the body for the ports there


def cutaway(machine: Machine, mounted: Mounted, *, key: str, reach: Mapping[str, float] | None = None) -> Picture:
    """The cutaway of a mounted valve, valves inside it included; ``key`` keeps its ids apart from others'.

    ``reach`` gives the largest lift (m) by moving part, :func:`oilway.study.reach.reaches`; without, its travel.
    Errors: :class:`ValueError` when the valve cannot be laid out.
    """
    return _Drawer(machine, mounted, key, reach or {}).picture


class _Drawer:
    def __init__(self, machine: Machine, mounted: Mounted, key: str, reach: Mapping[str, float]) -> None:
        self.valve = shown(machine, mounted)
        self.plan = lay_out(self.valve)
        self.reach, self.full = reach, _rated(mounted)
        self.notes = self._notes()
        left, top, wide, high = self.plan.body.px
        left, top = left - BESIDE, top - ABOVE
        below = BELOW + PORTS * any(m.way[1] for m in self.plan.mouths)
        wide, high = wide + 2 * BESIDE, high + ABOVE + below + NOTE * len(self.notes)
        self.picture = Picture(mounted.name, wide, high, key, corner=(left, top))
        self.picture.notes = self.notes
        self._body(mounted.valve.title)
        self._oil()
        for standing in self.plan.standing:
            self._standing(standing)
        draw_stations(self.picture, self.plan, self.full, LEAST * self.full)
        self._plates()
        draw_tags(self.picture, self.plan)
        draw_ports(self.picture, self.plan)

    def gain(self, standing: Standing) -> float:
        """Px per m of lift."""
        part = standing.column.part
        if part.kind == "lever":
            return LEVER_STROKE / number(part, "stroke")
        reach = self.reach.get(part.name, 0.0)
        return SHOWN_LIFT / (reach if reach > 0 else number(part, "travel"))

    def _notes(self) -> list[str]:
        out = []
        scales = [s.scale for s in self.plan.standing]
        for standing in self.plan.standing:
            name, said = self.valve.called(standing.column.part.name), ""
            if standing.scale > 1.05 * min(scales):
                said = f"drawn at {standing.scale / min(scales):.2g} times the scale of the widest part, "
            times = self.gain(standing) / standing.scale
            way = "stroke" if standing.column.part.kind == "lever" else "lift"
            out.append(f"{name}: {said}its {way} at {times:.2g} times the scale of its diameter")
        return out

    def _body(self, title: str) -> None:
        picture, (left, top, wide, high) = self.picture, self.plan.body.px
        x, y = picture.corner
        picture.add(None, "rect", x=x, y=y, width=picture.width, height=picture.height, fill=PAPER)
        lines = picture.lined("steel", 11, LINES, 1.6, BODY)
        picture.add(None, "rect", x=left, y=top, width=wide, height=high, rx=6, fill=f"url(#{lines})", stroke=INK,
                    stroke_width=3)  # fmt: skip
        picture.text(None, x + 16, y + 34, title, 24, text_anchor="start", font_weight="bold")
        for k, note in enumerate(reversed(self.notes)):
            foot = y + picture.height - 12 - NOTE * k
            picture.text(None, x + 16, foot, note, 15, text_anchor="start", class_="note")

    # -- oil --------------------------------------------------------------------------------------------------
    def _oil(self) -> None:
        """Outlines of all rooms, then all lines (the later over the earlier), then the oil of the rooms."""
        rooms = {name: list(self._cavities(name)) for name in ["", *self.valve.chambers]}
        edge = self.picture.add(None, "g", fill=INK, stroke=INK, stroke_width=4)
        for shapes in rooms.values():
            self._rects(edge, shapes)
        self._rects(self.picture.add(None, "g", fill=PAPER), rooms.pop(""))
        for name in self.valve.chambers:
            pipes = [r for p in [*self.plan.pipes, *_inside(self.plan)] if p.chamber == name for r in _channel(p)]
            self._rects(self.picture.add(None, "g", fill=BODY), list(_bridges(self.plan.pipes, name)))
            self._rects(self.picture.add(None, "g", fill=INK, stroke=INK, stroke_width=4), pipes)
            self._filled(name, pipes)
        for name, shapes in rooms.items():
            self._filled(name, shapes)

    def _rects(self, parent: ET.Element, rects: list[tuple[float, float, float, float]]) -> None:
        for x, y, wide, high in rects:
            self.picture.add(parent, "rect", x=x, y=y, width=wide, height=high)

    def _filled(self, chamber: str, rects: list[tuple[float, float, float, float]]) -> None:
        if not rects:
            return
        real = self.valve.chambers[chamber]
        oil = self.picture.add(None, "g", class_="oil")
        self.picture.bind(oil, "fill", f"pressure:{real}")
        self.picture.touchable(oil, real, self._chamber_name(chamber))
        self._rects(oil, rects)
        print_ = self.picture.add(None, "g", class_="hatch", pointer_events="none", fill="none")
        self.picture.bind(print_, "hatch", f"pressure:{real}")
        self._rects(print_, rects)

    def _chamber_name(self, chamber: str) -> str:
        real, own = self.valve.chambers[chamber], self.valve.called(chamber)
        return own if own == real else f"{own} ({real})"

    def _cavities(self, chamber: str) -> Iterator[tuple[float, float, float, float]]:
        """Rectangles of the oil of a chamber in rooms, pockets and bores."""
        for room in self.plan.rooms:
            if room.chamber == chamber:
                yield room.box.px
                if room.pocket is not None:
                    left, top, wide, high = room.pocket.px
                    yield left - (4 if room.side > 0 else 0), top, wide + 4, high
        for standing in self.plan.standing:
            for k, slot in enumerate(standing.column.slots):
                for name, rect in _bore(standing, k, slot):
                    if name == chamber:
                        yield rect

    # -- parts ------------------------------------------------------------------------------------------------
    def _standing(self, standing: Standing) -> None:
        group = self.picture.add(None, "g", class_="column")
        for slot in standing.column.slots:
            if slot.part is not None:
                self._corners(group, standing, slot)
            for k, gap in enumerate(slot.gaps):
                low, high = standing.ends(slot)
                aside = standing.radius(slot.diameter)
                for x in (standing.i * CELL - aside - 5, standing.i * CELL + aside - 3):
                    line = self.picture.add(group, "rect", x=x, y=high, width=8, height=(low - high) / (k + 1),
                                            fill=INK, fill_opacity=0)  # fmt: skip
                    self.picture.touchable(line, gap.name)
        draw_mover(self.picture, group, standing, self.gain(standing), self.valve.called)
        for k, slot in enumerate(standing.column.slots):
            if slot.part is not None:
                self._arrows(group, standing, k, slot)

    def _corners(self, group: ET.Element, standing: Standing, slot: Slot) -> None:
        """The seat or the edge in the body, both sides of the bore."""
        assert slot.part is not None
        low, high = standing.ends(slot)
        radius = standing.radius(slot.diameter)
        both = self.picture.touchable(self.picture.add(group, "g", class_=slot.kind), slot.part.name)
        for side in (-1, 1):
            x = standing.i * CELL + side * radius
            points = f"{x},{high} {x + side * 14},{high} {x + side * 14},{high + 6} {x},{low}"
            if slot.kind == EDGE:
                points = f"{x},{high} {x + side * 10},{high} {x + side * 10},{low} {x},{low}"
            self.picture.add(both, "polygon", points=points, fill="#8a8f94", stroke=INK, stroke_width=1.5)

    def _arrows(self, group: ET.Element, standing: Standing, k: int, slot: Slot) -> None:
        assert slot.part is not None
        low, high = standing.ends(slot)
        radius, x = standing.radius(slot.diameter), standing.i * CELL
        upwards = slot.part.nodes["from"] == standing.column.slots[k - 1].chamber
        for side in (-1, 1):
            if slot.kind == SEAT:
                way = (0 if side > 0 else 180) + (0 if upwards else 180)
                place = x + side * (radius + 13), high - 12
            else:
                way = -90 if upwards else 90
                place = x + side * (radius - 12), (low + high) / 2
            self.picture.arrow(
                group, place, way, f"flow:{slot.part.name}", least=LEAST * self.full, full=self.full
            )

    def _plates(self) -> None:
        for room in self.plan.rooms:
            if room.plate is None or room.caption is None:
                continue
            left, top, wide, high = room.plate.px
            real = self.valve.chambers[room.chamber]
            self.picture.number(None, left + wide / 2, top + high / 2, f"pressure:{real}", size=NUMBER)
            left, top, wide, high = room.caption.px
            fitted(self.picture, None, left + wide / 2, top + high - 6, self.valve.called(room.chamber), wide)


def _rated(mounted: Mounted) -> float:
    text = mounted.valve.rated_flow
    try:
        return quantity.parse(text.text, "flow") if text is not None else RATED
    except QuantityError:
        return RATED


def _bore(standing: Standing, k: int, slot: Slot) -> Iterator[tuple[str, tuple[float, float, float, float]]]:
    """Chamber and rectangle of the oil that shows in a bore where the part leaves it free."""
    if slot.kind == ROOM:
        return
    slots, x = standing.column.slots, standing.i * CELL
    low, high = standing.ends(slot)
    radius = standing.radius(slot.diameter) + (3 if slot.gaps else 0)
    below = next(s.chamber for s in reversed(slots[:k]) if s.kind == ROOM)
    above = next(s.chamber for s in slots[k + 1 :] if s.kind == ROOM)
    border = (low + high) / 2
    if slot.kind == SEAT:
        border = high
    elif slot.kind == EDGE and slot.part is not None:
        border = {LIFTS: high, DROPS: low}.get(str(slot.part.values["opens"]), border)
    yield below, (x - radius, border, 2 * radius, low - border)
    yield above, (x - radius, high, 2 * radius, border - high)


def _channel(pipe: Pipe) -> Iterator[tuple[float, float, float, float]]:
    """The rectangles of a line."""
    half = pipe.wide / 2
    for (xa, ya), (xb, yb) in pairwise(pipe.corners):
        yield min(xa, xb) - half, min(ya, yb) - half, abs(xa - xb) + 2 * half, abs(ya - yb) + 2 * half


def _bridges(pipes: list[Pipe], over: str) -> Iterator[tuple[float, float, float, float]]:
    """What hides the lines of other chambers beside a line of this one that crosses them."""
    for crossing in crossings(pipes):
        if crossing.chambers[0] == over:
            (x, y), (wide, other) = crossing.point, crossing.wide
            along, aside = other / 2 + 3, wide / 2 + 5
            half = (along, aside) if crossing.flat else (aside, along)
            yield x - half[0], y - half[1], 2 * half[0], 2 * half[1]


def _inside(plan: Plan) -> Iterator[Pipe]:
    """The channels within the restrictions, each half with the oil of its end, and those out through the wall."""
    for station in plan.stations:
        nodes = [c for c in station.part.nodes.values() if c in plan.shown.chambers]
        for k, name in enumerate(nodes):
            (i, j), middle = station.mouth(k), station.middle
            near = i * CELL, j * CELL
            size = abs(near[0] - middle[0]) + abs(near[1] - middle[1])
            share = max(size - 7, 0) / size if size else 0.0
            end = near[0] + share * (middle[0] - near[0]), near[1] + share * (middle[1] - near[1])
            yield Pipe(name, [near, end])
    for mouth in plan.mouths:
        x, y = mouth.spot[0] * CELL, mouth.spot[1] * CELL
        yield Pipe(mouth.outlet.chamber, [(x, y), (x + 16 * mouth.way[0], y + 16 * mouth.way[1])], 20.0)
