"""The moving parts of a cutaway: their outline along the bore, their springs, faces, seats and adjusters."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from xml.etree import ElementTree as ET

from oilway.draw.cutaway_column import EDGE, LAND, ROOM, SEAT, Slot, number
from oilway.draw.cutaway_marks import fitted
from oilway.draw.cutaway_place import CELL
from oilway.draw.cutaway_plan import Standing
from oilway.draw.cutaway_tags import dial_box
from oilway.draw.picture import INK, PAPER, Picture
from oilway.elements.base import Part
from oilway.elements.spool_edge import DROPS, LIFTS, MIDDLE

STEEL, DARK, SPRING = "#d5dbe1", "#59636d", "#e9edf0"
OUT = 10.0  # px that an end or a step of a part stands out into its room
PIN = 9.0  # px: radius of the rod between two pieces
HEAD = 14.0  # px: height of the head of a poppet above its cone
CONE = 34.0  # px: how far a poppet reaches below its seat at most
SHOWN_LIFT, MOST_LIFT = 32.0, 40.0  # px: the largest lift at rated flow, and any lift
MOST_OVERLAP = 30.0  # px
ADJUSTED = 40.0  # px that an adjuster goes in over its turns


def mover_channel(standing: Standing) -> str:
    """The channel that says where the part of a column stands."""
    part = standing.column.part
    return f"{'position' if part.kind == 'lever' else 'lift'}:{part.name}"


def profile(standing: Standing, gain: float) -> list[tuple[float, float]]:
    """Outline of the part at lift 0: (y, radius) px from its lowest point up; ``gain`` px per m of lift."""
    slots, points = standing.column.slots, []
    chain = _chain(standing, gain)
    radius = 0.0
    for k, slot in enumerate(slots):
        low, high = standing.ends(slot)
        if slot.kind == ROOM:
            after = next((s for s in slots[k + 1 :] if s.kind != ROOM), None)
            top = top_in(standing, k)
            if slot.ends and k:
                points += [(top, radius)]
            if slot.begins:
                if slot.ends and k:
                    points += [(top, PIN)]
                points += list(_lower_end(standing, after, high, pin=slot.ends and k > 0))
                radius = points[-1][1] if points else 0.0
            elif not slot.ends and after is not None and after.kind != EDGE and slots[k - 1].kind != EDGE:
                wider = standing.radius(_guide(slots, k))
                points += [(top, radius), (top, wider)]
                radius = wider
        elif slot.kind == LAND:
            radius = standing.radius(slot.diameter)
            points += [(low, radius), (high, radius)]
        elif slot.kind == EDGE:
            points += chain.pop(slot.low, [])
    return points


def top_in(standing: Standing, k: int) -> float:
    """How high (px down) the thicker part reaches into room ``k``: a step or an end, or the head of a poppet."""
    slots = standing.column.slots
    low = standing.ends(slots[k])[0]
    below = slots[k - 1] if k else None
    if below is None or below.kind != SEAT or below.part is None:
        return low - OUT
    return low - _head(below.part) / math.tan(number(below.part, "half angle")) - HEAD


def _head(seat: Part) -> float:
    """How much wider than its seat a poppet becomes, px."""
    return min(8.0, 8.0 * math.tan(number(seat, "half angle")))


def _guide(slots: list[Slot], k: int) -> float:
    """Diameter of the part above a room: of the next land, or of the seat below where there is none."""
    above = next((s.diameter for s in slots[k + 1 :] if s.kind in (LAND, SEAT)), 0.0)
    return above or next((s.diameter for s in reversed(slots[:k]) if s.kind in (LAND, SEAT)), 0.0)


def _lower_end(standing: Standing, after: Slot | None, high: float, *, pin: bool) -> Iterator[tuple[float, float]]:
    """The flat end of a piston or spool, or the cone of a poppet with its head."""
    if after is None or after.kind != SEAT or after.part is None:
        radius = standing.radius(after.diameter if after is not None else 0.0)
        yield from ([(high + OUT, PIN)] if pin else []) + [(high + OUT, radius)]
        return
    seat = standing.ends(after)[1]
    radius = standing.radius(after.diameter)
    slope = math.tan(number(after.part, "half angle"))
    deep = min(CONE, (radius - 4) / slope)
    if pin:
        yield seat + deep, PIN
    yield seat + deep, max(radius - deep * slope, 4.0)
    head = _head(after.part)
    yield seat - head / slope, radius + head
    yield seat - head / slope - HEAD, radius + head


def _chain(standing: Standing, gain: float) -> dict[int, list[tuple[float, float]]]:
    """Points of a spool along each web between two galleries, by the cells below it."""
    out = {}
    for k, slot in enumerate(standing.column.slots):
        if slot.kind != EDGE or slot.part is None:
            continue
        land = standing.radius(slot.diameter)
        neck = max(0.5 * land, land - 26)
        low, high = standing.ends(slot)
        over = max(min(number(slot.part, "overlap") * gain, MOST_OVERLAP), -MOST_OVERLAP)
        way = slot.part.values["opens"]
        changes = {
            LIFTS: [(high + over, neck, land)],
            DROPS: [(low - over, land, neck)],
            MIDDLE: [(low - over, land, neck), (high + over, neck, land)],
        }[str(way)]
        points = [p for y, a, b in changes for p in ((y, a), (y, b))]
        before, after = points[0][1], points[-1][1]
        # Half-way through the gallery below: from what the edge below left to what this one needs.
        last = _left_by(standing.column.slots, k, land, neck)
        gallery = standing.ends(standing.column.slots[k - 1])
        middle = sum(gallery) / 2
        if last != before:
            points = [(middle, last), (middle, before), *points]
        following = standing.column.slots[k + 2 : k + 3]
        if not (following and following[0].kind == EDGE) and after != land:
            middle = sum(standing.ends(standing.column.slots[k + 1])) / 2
            points += [(middle, after), (middle, land)]
        out[slot.low] = points
    return out


def _left_by(slots: list[Slot], k: int, land: float, neck: float) -> float:
    """Radius with which the edge below leaves its web, or a land where there is none."""
    below = slots[k - 2] if k >= 2 else None
    if below is None or below.kind != EDGE or below.part is None:
        return land
    return neck if below.part.values["opens"] == DROPS else land


def outline(x: float, points: list[tuple[float, float]]) -> str:
    """The closed outline of a round part about a vertical axis at ``x``."""
    right = [(x + r, y) for y, r in points]
    left = [(x - r, y) for y, r in reversed(points)]
    return "M" + "L".join(f"{px:.1f} {py:.1f}" for px, py in right + left) + "Z"


def draw_mover(
    picture: Picture, parent: ET.Element, standing: Standing, gain: float, called: Callable[[str], str]
) -> None:
    """The part of a column with its springs, in a group that moves by its lift."""
    column, x = standing.column, standing.i * CELL
    points = profile(standing, gain)
    for k, slot in enumerate(column.slots):
        for spring in slot.springs:
            _spring(picture, parent, standing, k, spring, gain)
            if number(spring, "pitch"):
                draw_dial(picture, parent, standing, spring, called(spring.name))
    group = picture.add(parent, "g", class_="mover")
    lever = column.part.kind == "lever"
    stroke = number(column.part, "stroke") if lever else 1.0
    picture.bind(group, "move", mover_channel(standing), dx=0.0, dy=-gain * stroke, most=MOST_LIFT)
    shape = picture.add(group, "path", d=outline(x, points), fill=STEEL, stroke=INK, stroke_width=2.5)
    picture.touchable(shape, column.part.name)
    picture.add(group, "line", x1=x, x2=x, y1=points[0][0], y2=points[-1][0], stroke=DARK, stroke_width=1,
                stroke_dasharray="14 4 3 4", pointer_events="none")  # fmt: skip
    if lever:
        _knob(picture, group, standing, points)
    for face in column.faces:
        _face(picture, group, standing, points, face)


def _knob(picture: Picture, group: ET.Element, standing: Standing, points: list[tuple[float, float]]) -> None:
    x, top = standing.i * CELL, points[-1][0]
    end = (standing.j - standing.column.high + 1) * CELL - 1.9 * CELL
    picture.add(group, "rect", x=x - 6, y=end, width=12, height=top - end, fill=STEEL, stroke=INK, stroke_width=2)
    picture.add(group, "circle", cx=x, cy=end, r=16, fill=DARK, stroke=INK, stroke_width=2)


def _face(
    picture: Picture, group: ET.Element, standing: Standing, points: list[tuple[float, float]], face: Part
) -> None:
    """A bar along the face of the part on which a pressure acts."""
    x, down = standing.i * CELL, face.values["pushes"] == "open"
    y = face_height(standing, points, face)
    outer = standing.radius(number(face, "diameter"))
    inner = standing.radius(number(face, "inner diameter")) if number(face, "inner diameter") else 0.0
    outer = min(outer, max((r for py, r in points if abs(py - y) < 2), default=outer))
    spans = [(x - outer, x + outer)] if not inner else [(x - outer, x - inner), (x + inner, x + outer)]
    for a, b in spans:
        bar = picture.add(
            group, "rect", x=a + 2, y=y - 6 if down else y + 1, width=max(b - a - 4, 2), height=5, fill=DARK,
            class_="face",
        )  # fmt: skip
        picture.touchable(bar, face.name)


def face_height(standing: Standing, points: list[tuple[float, float]], face: Part) -> float:
    """Where a face lies on its part, px down: the end or the step in the room of its chamber."""
    slots = standing.column.slots
    down = face.values["pushes"] == "open"
    best, height = -1.0, points[0][0] if down else points[-1][0]
    for k, slot in enumerate(slots):
        if slot.kind != ROOM or slot.chamber != face.nodes["chamber"]:
            continue
        low, high = standing.ends(slot)
        radii = [(y, r) for y, r in points if high - 1 <= y <= low + 1]
        if down and slot.begins and k + 1 < len(slots):
            cone = slots[k + 1].kind == SEAT
            y = min(p[0] for p in points if p[0] > high - CELL) if cone else high + OUT
        else:
            y = top_in(standing, k)
        here = standing.radius(number(face, "diameter"))
        fit = 1 / (1 + abs(here - max((r for _, r in radii), default=0.0)))
        fit += 1.0 * (slot.begins if down and not number(face, "inner diameter") else 0)
        fit += 1.0 * (slot.ends if not down and not number(face, "inner diameter") else 0)
        if fit > best:
            best, height = fit, y
    return height


def _spring(picture: Picture, parent: ET.Element, standing: Standing, k: int, spring: Part, gain: float) -> None:
    x = standing.i * CELL
    low, high = standing.ends(standing.column.slots[k])
    shut = spring.values["pushes"] == "shut"
    adjusted = number(spring, "pitch") != 0
    wide = standing.coil(k)
    anchor = (high + 12 if shut else low - 12) if adjusted else (high if shut else low)
    part_end = top_in(standing, k) if shut else high + OUT
    step = (1 if shut else -1) * turn_px(spring)
    if adjusted:
        _adjuster(picture, parent, standing, spring, (anchor, high if shut else low, wide + 14), step)
    group = picture.touchable(picture.add(parent, "g", class_="spring"), spring.name)
    # A light wire with a dark edge shows on any colour.
    for colour, thick in ((INK, 7.5), (SPRING, 4.5)):
        wire = picture.add(group, "path", fill="none", stroke=colour, stroke_width=thick, stroke_linejoin="round")
        picture.bind(
            wire, "spring", f"lift:{spring.values['on']}", x=x, width=wide, coils=5.0, a=anchor, b=part_end,
            gain=-gain, most=MOST_LIFT, anchor_gain=step if adjusted else 0.0,
            anchor_channel=f"turns:{spring.name}",
        )  # fmt: skip


def turn_px(spring: Part) -> float:
    """How far one turn moves the adjuster in, px."""
    most, turns = number(spring, "most turns"), number(spring, "turns")
    way = math.copysign(1.0, number(spring, "pitch"))
    return way * ADJUSTED / (most if most < 100 else max(1.5 * turns, 8.0))


def _adjuster(
    picture: Picture,
    parent: ET.Element,
    standing: Standing,
    spring: Part,
    place: tuple[float, float, float],
    step: float,
) -> None:
    """The plate under the screw, which goes in with the turns, and the dial that turns."""
    x, (anchor, wall, plate) = standing.i * CELL, place
    _, top, _, high = dial_box(standing, spring).px
    screw = picture.add(parent, "g")
    picture.bind(screw, "move", f"turns:{spring.name}", dx=0.0, dy=step, most=ADJUSTED)
    first = min(anchor, wall)
    picture.add(screw, "rect", x=x - plate / 2, y=first, width=plate, height=11, fill=DARK, stroke=INK,
                stroke_width=1.5)  # fmt: skip
    shut = spring.values["pushes"] == "shut"
    end = (top + high - ADJUSTED) if shut else (top + ADJUSTED)
    reach = standing.ends(standing.column.slots[-1])[1] if shut else standing.ends(standing.column.slots[0])[0]
    if abs(reach - wall) < 1:
        y0, y1 = sorted((end, wall + (2 if shut else -2)))
        picture.add(screw, "rect", x=x - 9, y=y0, width=18, height=y1 - y0, fill=STEEL, stroke=INK, stroke_width=2)


def draw_dial(picture: Picture, parent: ET.Element, standing: Standing, spring: Part, called: str) -> None:
    """The adjuster seen from its end, turning, with the name of its spring and the turns."""
    left, top, wide, high = dial_box(standing, spring).px
    panel = picture.add(parent, "g")
    picture.touchable(panel, spring.name)
    picture.add(panel, "rect", x=left + 2, y=top, width=wide - 4, height=high, rx=8, fill=PAPER, stroke=INK,
                stroke_width=2)  # fmt: skip
    cx, cy = left + 36, top + high / 2
    picture.add(panel, "circle", cx=cx, cy=cy, r=25, fill=STEEL, stroke=INK, stroke_width=2.5)
    slot = picture.add(panel, "g")
    picture.add(slot, "rect", x=cx - 4, y=cy - 23, width=8, height=30, fill=INK)
    picture.bind(slot, "turn", f"turns:{spring.name}", cx=cx, cy=cy)
    fitted(picture, panel, left + 70, top + 27, called, wide - 76, text_anchor="start")
    words = picture.text(panel, left + 70, top + 55, "", 20, text_anchor="start", font_weight="bold")
    picture.bind(words, "text", f"turns:{spring.name}", kind="turns")
