"""What stands on and beside the section of a cutaway: restrictions, ports, and the words with their thin lines."""

from __future__ import annotations

from collections.abc import Callable
from xml.etree import ElementTree as ET

from oilway.draw.cutaway_place import CELL, Box
from oilway.draw.cutaway_plan import Plan, Station, Tag
from oilway.draw.cutaway_tags import in_two, leader
from oilway.draw.picture import INK, PAPER, Picture
from oilway.draw.router import Point
from oilway.study.frame import SIZED

NAME, SMALLER, FLOW = 16.0, 11.5, 20.0  # px: names, the smallest a long one becomes, flow numbers
LETTER = 0.59  # mean width of a letter, in sizes
METAL = "#c2c6c9"
HALO = {"paint_order": "stroke", "stroke": PAPER, "stroke_width": 5, "stroke_linejoin": "round"}
STATUSES = ("seated", "open", "at its stop")


def fitted(
    picture: Picture, parent: ET.Element | None, x: float, y: float, words: str, wide: float, **given: str
) -> ET.Element:
    """A name in letters small enough for its place; what still does not fit is cut, the whole is its title."""
    size = max(min(NAME, (wide - 4) / (LETTER * max(len(words), 1))), SMALLER)
    most = int((wide - 4) / (LETTER * size) + 1e-6)
    shown = words if len(words) <= most else words[: most - 1].rstrip() + "…"
    element = picture.text(parent, x, y, shown, size, **{**HALO, **given})
    if shown != words:
        picture.add(element, "title").text = words
    return element


def draw_stations(picture: Picture, plan: Plan, full: float, least: float) -> None:
    """Every restriction: its sign in the channel, an arrow, its name, bore and flow."""
    for station in plan.stations:
        group = picture.touchable(picture.add(None, "g", class_="station"), station.part.name)
        x, y = station.middle
        ports = [c for c in station.part.nodes.values() if c in plan.shown.chambers]
        if len(ports) > 1:
            way = _way(station)
            sign = picture.add(group, "g", transform=f"translate({x:g} {y:g}) rotate({way:g})")
            SIGNS.get(station.part.kind, _box)(picture, sign)
            (i, j) = station.mouth(1)
            near = (x + 0.62 * (i * CELL - x), y + 0.62 * (j * CELL - y))
            picture.arrow(group, near, way, f"flow:{station.part.name}", least=least, full=full)
        elif station.part.kind == "gauge":
            _gauge(picture, group, station.middle)
        _words(picture, group, plan, station, flows=len(ports) > 1)


def _way(station: Station) -> float:
    (ia, ja), (ib, jb) = station.mouth(0), station.mouth(1)
    if ja == jb:
        return 0.0 if ib > ia else 180.0
    return 90.0 if jb > ja else -90.0


def _words(picture: Picture, group: ET.Element, plan: Plan, station: Station, *, flows: bool) -> None:
    label = station.shape.label
    left, top, wide, high = Box(station.box.i + label.i, station.box.j + label.j, label.across, label.down).px
    x = left + wide / 2
    part = station.part
    names = in_two(plan.shown.called(part.name))
    gauge = part.kind == "gauge"
    lines = len(names) + (part.kind in SIZED) + (flows or gauge)
    pitch = min(22.0, (high - 2) / lines)
    y = top + (high - pitch * lines) / 2 - 5
    for name in names:
        y += pitch
        fitted(picture, group, x, y, name, wide)
    if part.kind in SIZED:
        y += pitch
        words = picture.text(group, x, y, "", NAME, **HALO)
        picture.bind(words, "text", f"size:{part.name}", kind="length", before="Ø ")
    if flows or gauge:
        y += pitch
        words = picture.text(group, x, y, "", FLOW, font_weight="bold", **HALO)
        channel, kind = ("reading", "pressure") if gauge else ("flow", "flow")
        picture.bind(words, "text", f"{channel}:{part.name}", kind=kind)


# -- signs, drawn along x in a channel 14 px wide about the origin --------------------------------------------
def _neck(picture: Picture, group: ET.Element) -> None:
    for side in (-1, 1):
        points = f"-14,{side * 11} 14,{side * 11} 14,{side * 8} 4,{side * 2.5} -4,{side * 2.5} -14,{side * 8}"
        picture.add(group, "polygon", points=points, fill=METAL, stroke=INK, stroke_width=2)


def _slit(picture: Picture, group: ET.Element) -> None:
    for side in (-1, 1):
        picture.add(group, "rect", x=-18, y=2 if side > 0 else -11, width=36, height=9, fill=METAL, stroke=INK,
                    stroke_width=2)  # fmt: skip


def _check(picture: Picture, group: ET.Element) -> None:
    picture.add(group, "rect", x=-13, y=-12, width=34, height=24, fill=PAPER, stroke=INK, stroke_width=2)
    picture.add(group, "path", d="M-13 -12L-13 -5L-3 -11.5M-13 12L-13 5L-3 11.5", fill=METAL, stroke=INK,
                stroke_width=2)  # fmt: skip
    picture.add(group, "circle", cx=-4, cy=0, r=8, fill=METAL, stroke=INK, stroke_width=2)
    picture.add(group, "path", d="M4 -6L7 6L10 -6L13 6L16 -6L20 6", fill="none", stroke=INK, stroke_width=2)


def _box(picture: Picture, group: ET.Element) -> None:
    picture.add(group, "rect", x=-16, y=-12, width=32, height=24, fill=PAPER, stroke=INK, stroke_width=2)
    picture.add(group, "path", d="M-16 12L16 -12", stroke=INK, stroke_width=2)


def _plain(picture: Picture, group: ET.Element) -> None:
    """A line or a hose is its channel and no more."""


def _sieve(picture: Picture, group: ET.Element) -> None:
    picture.add(group, "rect", x=-16, y=-12, width=32, height=24, fill=PAPER, stroke=INK, stroke_width=2)
    picture.add(group, "path", d="M0 -12V12", stroke=INK, stroke_width=2.5, stroke_dasharray="4 3")


def _gauge(picture: Picture, group: ET.Element, place: Point) -> None:
    x, y = place
    picture.add(group, "circle", cx=x, cy=y, r=11, fill=PAPER, stroke=INK, stroke_width=2)
    picture.add(group, "path", d=f"M{x - 5:g} {y + 5:g}L{x + 6:g} {y - 6:g}", stroke=INK, stroke_width=2)


SIGNS: dict[str, Callable[[Picture, ET.Element], None]] = {
    "orifice": _neck, "flow control": _neck, "annular gap": _slit, "check valve": _check, "filter": _sieve,
    "line": _plain, "hose": _plain,
}  # fmt: skip


# -- words and ports ------------------------------------------------------------------------------------------
def draw_tags(picture: Picture, plan: Plan) -> None:
    """The words beside parts, seats, edges, gaps and springs."""
    kinds = {p.name: p.kind for p in plan.shown.parts.values()}
    for name, tag in plan.tags.items():
        group = picture.touchable(picture.add(None, "g", class_="tag"), name)
        _line(picture, group, tag)
        left, top, wide, high = tag.box.px
        x = left + wide / 2
        picture.add(group, "rect", x=left + 3, y=top + 2, width=wide - 6, height=high - 4, rx=5, fill=PAPER,
                    fill_opacity=0.85, stroke=INK, stroke_width=1)  # fmt: skip
        strong = "bold" if kinds[name] in ("moving part", "lever") else "normal"
        fitted(picture, group, x, top + 18, plan.shown.called(name), wide - 8, font_weight=strong)
        if kinds[name] == "moving part":
            words = picture.text(group, x, top + 40, "", 17)
            picture.bind(words, "text", f"lift:{name}", kind="length", before="lift ")
            for status in STATUSES:
                words = picture.text(group, x, top + 62, status, 18, font_weight="bold")
                picture.bind(words, "status", f"status:{name}", when=status)
        elif kinds[name] == "lever":
            words = picture.text(group, x, top + 44, "", 17)
            picture.bind(words, "text", f"position:{name}", kind="number", before="position ")
        elif kinds[name] in ("poppet seat", "spool edge"):
            words = picture.text(group, x, top + 40, "", FLOW, font_weight="bold")
            picture.bind(words, "text", f"flow:{name}", kind="flow")


def _line(picture: Picture, group: ET.Element, tag: Tag) -> None:
    (xa, ya), (xb, yb) = leader(tag.box, tag.anchor), tag.anchor
    picture.add(group, "line", x1=xa, y1=ya, x2=xb, y2=yb, stroke=PAPER, stroke_width=4)
    picture.add(group, "line", x1=xa, y1=ya, x2=xb, y2=yb, stroke=INK, stroke_width=1.6)
    picture.add(group, "circle", cx=xb, cy=yb, r=4, fill=INK, stroke=PAPER, stroke_width=1.5)


def draw_ports(picture: Picture, plan: Plan) -> None:
    """The letter and the role of each port, outside the body."""
    for mouth in plan.mouths:
        (dx, dy), outlet = mouth.way, mouth.outlet
        x, y = mouth.spot[0] * CELL + dx * 50, mouth.spot[1] * CELL + dy * 50
        if outlet.plugged:
            _plug(picture, (mouth.spot[0] * CELL + dx * 16, mouth.spot[1] * CELL + dy * 16))
        picture.add(None, "circle", cx=x, cy=y, r=21, fill=PAPER, stroke=INK, stroke_width=2.5)
        picture.text(None, x, y + 8, outlet.letter[:3], 24 if len(outlet.letter) < 2 else 16, font_weight="bold")
        role = f"{outlet.role}, plugged" if outlet.plugged else outlet.role
        if dy:
            picture.text(None, x + 27, y + 6, role, NAME, text_anchor="start")
        else:
            fitted(picture, None, x + dx * 12, y + 39, role, 104)


def _plug(picture: Picture, place: Point) -> None:
    x, y = place
    picture.add(None, "rect", x=x - 11, y=y - 11, width=22, height=22, fill=METAL, stroke=INK, stroke_width=2.5)
    picture.add(None, "path", d=f"M{x - 11:g} {y - 11:g}L{x + 11:g} {y + 11:g}M{x + 11:g} {y - 11:g}"
                f"L{x - 11:g} {y + 11:g}", stroke=INK, stroke_width=2.5)  # fmt: skip
