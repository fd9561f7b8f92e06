"""Where everything of a cutaway lies: columns side by side, restrictions between them, ports, labels, lines."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise, product

import numpy as np
from numpy.typing import NDArray

from oilway.draw.cutaway_column import ROOM, SEAT, Column, columns, number, owned_gaps
from oilway.draw.cutaway_order import in_order, sides_of
from oilway.draw.cutaway_place import CELL, Box, Field, Numbers, Shape, Spot, shapes
from oilway.draw.cutaway_plan import Mouth, Pipe, Plan, Room, Standing, Station, Tag, crossings
from oilway.draw.cutaway_tags import crosses, dial_box, in_two, leader, meet, wanted_tags
from oilway.draw.cutaway_valve import Shown
from oilway.draw.kept import Kept
from oilway.draw.router import Point, Router
from oilway.elements.base import Part

POCKET = 7  # cells a room reaches aside, for its number
LARGEST, SMALLEST = 76.0, 34.0  # px: radius of the widest part, and the least of the widest diameter of any
# Cells beside the columns, and about every restriction, tried in turn.
TRIES = ((8, 2), (10, 2), (8, 1), (10, 1), (12, 2), (12, 1), (16, 2))
REACH = 18  # cells from a part within which its words stand
ENOUGH = 3  # plans of which the tidiest is taken
BESIDE = 2.0  # steps that not running along words or a room is worth
CROSSED = 200.0  # px of detour that not crossing another thin line is worth
CARRIED = ("face", "poppet seat", "spool edge", "spring")


_PLANS: Kept[Plan] = Kept()


def lay_out(shown: Shown) -> Plan:
    """The plan of a valve: the closest one in which everything finds its place.

    It is not to be changed: the same valve gets the same one.  Errors: :class:`ValueError` when it finds none.
    """
    return _PLANS.get(shown.content, lambda: _laid_out(shown))


def _laid_out(shown: Shown) -> Plan:
    found = columns(shown.parts, shown.volumes)
    drawn = owned_gaps(found) | {c.part.name for c in found}
    loose = [p for n, p in shown.parts.items() if p.kind not in CARRIED and n not in drawn]
    plans, trouble = [], ""
    for lane, apart in TRIES if loose else [(3, 1), *TRIES]:
        try:
            plans.append(_Layout(shown, found, loose, lane, apart).plan())
        except ValueError as err:
            trouble = str(err)
        if len(plans) == ENOUGH:
            break
    if not plans:
        raise ValueError(f"the cutaway finds no place: {trouble}")
    return min(plans, key=_untidy)


class _Layout:
    """One attempt, with ``lane`` cells beside columns and ``apart`` cells about restrictions."""

    def __init__(self, shown: Shown, found: list[Column], loose: list[Part], lane: int, apart: int) -> None:
        self.shown, self.loose, self.lane, self.apart = shown, loose, lane, apart
        self.out = Plan(shown)
        self.columns = in_order(found, loose)

    def plan(self) -> Plan:
        self._stand_columns()
        self._cut_rooms()
        self._block()
        self._place_alone()
        self._place_stations()
        self._place_tags()
        self._crop()
        self._lay_lines()
        return self.out

    # -- columns ----------------------------------------------------------------------------------------------
    def _stand_columns(self) -> None:
        widest = max((c.widest for c in self.columns), default=0.01)
        common = 2 * LARGEST / widest
        margin, lane = 5, self.lane
        count = len(self.columns)
        outside = (lane if count < 2 or self.loose else 3) + margin
        i, offsets = outside, self._offsets()
        for k, column in enumerate(self.columns):
            standing = Standing(column, 0, 0, max(common, 2 * SMALLEST / column.widest))
            left = POCKET if k == 0 else 0
            standing.i = i + left + standing.widest
            i = standing.i + standing.widest + 1 + (POCKET if k or count == 1 else 0)
            i += lane + 3 if k < count - 1 else 0
            self.out.standing.append(standing)
        least = min(offsets, default=0)
        high = max((c.high + o for c, o in zip(self.columns, offsets, strict=True)), default=8) - least
        extra = 6 if self.loose else 2
        above, below = margin + 5, extra
        for standing, offset in zip(self.out.standing, offsets, strict=True):
            standing.j = above + high - 1 - (offset - least)
        if not self.columns:
            i += 24
        self.out.across = i + outside
        self.out.down = above + high + below + margin
        self.out.body = Box(margin, margin - 1, self.out.across - 2 * margin, self.out.down - 2 * margin + 1)

    def _offsets(self) -> list[int]:
        """How far up each column stands, so that the rooms it is joined to are level with its own."""
        out: list[int] = []
        for k, column in enumerate(self.columns):
            wanted = []
            for a, b in product(column.rooms, [(r, j) for j in range(k) for r in self.columns[j].rooms]):
                room, j = b
                if a.chamber == room.chamber != "" or self._joined(a.chamber, room.chamber):
                    wanted.append(out[j] + room.low - a.low + (room.high - a.high) // 2)
            wanted.sort()
            middle = wanted[len(wanted) // 2] if wanted else 0
            out.append(max(min(middle, 14), -14))
        return out

    def _joined(self, a: str, b: str) -> bool:
        return any({a, b} <= set(p.nodes.values()) for p in self.loose)

    # -- rooms ------------------------------------------------------------------------------------------------
    def _cut_rooms(self) -> None:
        sides = self._sides()
        for k, standing in enumerate(self.out.standing):
            for n, slot in enumerate(standing.column.slots):
                if slot.kind == ROOM:
                    half = standing.half(n)
                    box = Box(standing.i - half, standing.j - slot.low - slot.high + 1, 2 * half + 1, slot.high)
                    room = Room(slot.chamber, box, side=sides[k, n])
                    standing.rooms[n] = room
                    self.out.rooms.append(room)
        for name in self.shown.chambers:
            mine = [(s, n, r) for s in self.out.standing for n, r in s.rooms.items() if r.chamber == name]
            if mine:
                self._number(*min(mine, key=lambda m: self._worth(*m)))

    def _worth(self, standing: Standing, n: int, room: Room) -> tuple[bool, bool, int]:
        """Where a number stands best: under a poppet, else where no spring is, else as low as may be."""
        under = self._holds_plate(standing, n, room)
        return not under, bool(standing.column.slots[n].springs), standing.column.slots[n].low

    def _holds_plate(self, standing: Standing, n: int, room: Room) -> bool:
        slots = standing.column.slots
        under = n + 1 < len(slots) and slots[n + 1].kind == SEAT and n == 0
        return under and room.box.across >= POCKET and not slots[n].springs

    def _number(self, standing: Standing, n: int, room: Room) -> None:
        box = room.box
        if self._holds_plate(standing, n, room):
            room.plate = Box(box.i, box.j + 2, box.across, 2)
            room.caption = Box(box.i, box.j + box.down - 1, box.across, 1)
            return
        i = box.i + box.across if room.side > 0 else box.i - POCKET
        j = box.j + (box.down - 3) // 2
        room.pocket = room.plate = Box(i, j, POCKET, 3)
        room.caption = Box(i, j - 1, POCKET, 1)

    def _sides(self) -> dict[tuple[int, int], int]:
        """The side of each room's pocket: outwards, and in a single column joined rooms on the same side."""
        count = len(self.columns)
        out = {}
        for k, column in enumerate(self.columns):
            groups = sides_of(column, self.loose)
            for n, slot in enumerate(column.slots):
                alone = groups.get(slot.chamber, 1)
                out[k, n] = alone if count == 1 else -1 if k == 0 else 1
        return out

    # -- what has no place of its own -------------------------------------------------------------------------
    def _block(self) -> None:
        out = self.out
        self.field = Field(out.across, out.down)
        self.hard: list[Box] = []
        self._wall()
        for standing in out.standing:
            for slot in standing.column.slots:
                half = max(math.ceil((standing.radius(slot.diameter) + 8 - CELL / 2) / CELL), 1)
                row = standing.j - slot.low - slot.high + 1
                self.field.take(Box(standing.i - half, row, 2 * half + 1, slot.high))
            self._block_ends(standing)
        for room in out.rooms:
            self._take_room(room)

    def _take_room(self, room: Room) -> None:
        for box in (room.box, room.pocket, room.caption):
            if box is not None:
                self.field.take(box)
        self.hard += [b for b in (room.plate, room.caption) if b is not None]

    def _block_ends(self, standing: Standing) -> None:
        """The dial of an adjuster, or the knob of a lever, above or below its column."""
        for spring in standing.column.springs:
            if number(spring, "pitch"):
                box = dial_box(standing, spring)
                self.field.take(Box(box.i, box.j - 1, box.across, box.down + 2))
                self.hard.append(box)
        if standing.column.part.kind == "lever":
            top = standing.j - standing.column.high + 1
            box = Box(standing.i - 1, top - 4, 3, 4)
            self.field.take(box)
            self.hard.append(box)

    def _ways(self, chamber: str) -> Numbers:
        return self.field.distances(m for r in self.out.rooms if r.chamber == chamber for m in r.mouths())

    def _place_alone(self) -> None:
        """Chambers that no moving part touches: a room of their own near what they are joined to."""
        for name in self.shown.chambers:
            if any(r.chamber == name for r in self.out.rooms):
                continue
            near = {c for p in self.loose if name in p.nodes.values() for c in p.nodes.values() if c != name}
            near = {c for c in near if any(r.chamber == c for r in self.out.rooms)}
            middle = ((3, 2), (0, 0))
            shape = Shape(POCKET, 4, (middle,) * len(near), Box(0, 0, POCKET, 1))
            spot = self.field.best([shape], [self._ways(c) for c in sorted(near)], self.apart)
            if spot is None:
                raise ValueError(f"no room for chamber '{name}'")
            i, j = spot[1]
            room = Room(name, Box(i, j + 1, POCKET, 3))
            room.plate, room.caption = room.box, Box(i, j, POCKET, 1)
            self.out.rooms.append(room)
            self._take_room(room)

    def _place_stations(self) -> None:
        todo = [(self._length(p), p.name, p) for p in self.loose]
        for _, _, part in sorted(todo, key=lambda t: t[:2]):
            nodes = [c for c in part.nodes.values() if c in self.shown.chambers]
            rows = 4 if len(in_two(self.shown.called(part.name))) > 1 else 3
            found = self.field.best(shapes(len(nodes), rows), [self._ways(c) for c in nodes], self.apart)
            if found is None:
                raise ValueError(f"no room for '{part.name}'")
            shape, (i, j) = found
            box = Box(i, j, shape.across, shape.down)
            self.out.stations.append(Station(part, shape, box))
            self.field.take(box)
            self.hard.append(box)

    def _length(self, part: Part) -> float:
        nodes = [c for c in part.nodes.values() if c in self.shown.chambers]
        if len(nodes) < 2:
            return 0.0
        way = self._ways(nodes[0])
        return min((float(way[m]) for r in self.out.rooms if r.chamber == nodes[1] for m in r.mouths()), default=0)

    def _keep_mouths(self) -> Field:
        """The field with the cells before every mouth taken too: words may not stand in the way of lines."""
        field = Field(self.out.across, self.out.down)
        field.taken = self.field.taken.copy()
        for station in self.out.stations:
            for k, (_, (di, dj)) in enumerate(station.shape.mouths):
                i, j = station.mouth(k)
                field.take(Box(i + di, j + dj, 1, 1).grown(1))
        for room in self.out.rooms:
            for i, j in room.main_mouths():
                field.take(Box(i - 2, j, 5, 1))
        return field

    def _place_tags(self) -> None:
        field = self._keep_mouths()
        lines: list[tuple[Point, Point]] = []
        for name, anchors, across, down in wanted_tags(self.out):
            tag = self._best_tag(field.room_for(across, down, 0), anchors, (across, down), lines)
            if tag is None:
                raise ValueError(f"no room for the words of '{name}'")
            self.out.tags[name] = tag
            lines.append((leader(tag.box, tag.anchor), tag.anchor))
            self.field.take(tag.box)
            field.take(tag.box)
            self.hard.append(tag.box)

    def _best_tag(
        self, free: NDArray[np.bool_], anchors: list[Point], size: Spot, lines: list[tuple[Point, Point]]
    ) -> Tag | None:
        """The nearest place for words from which a straight line to an anchor meets no other words."""
        cells = np.argwhere(free)
        tried = [(cost, anchor, cell) for anchor in anchors for cost, cell in _reached(cells, size, anchor)]
        best: tuple[float, Tag] | None = None
        for cost, anchor, (i, j) in sorted(tried, key=lambda t: t[0]):
            if best is not None and cost >= best[0]:
                break
            box = Box(i, j, *size)
            end = leader(box, anchor)
            if not any(crosses(end, anchor, h) for h in self.hard):
                cost += CROSSED * sum(meet((end, anchor), line) for line in lines)
                if best is None or cost < best[0]:
                    best = cost, Tag(box, anchor)
        return None if best is None else best[1]

    def _crop(self) -> None:
        """Draw the body no larger than what lies in it, with a lane all round."""
        body = self.out.body
        boxes = [*self.hard, *(b for r in self.out.rooms for b in (r.box, r.pocket) if b is not None)]
        left = max(min((b.i for b in boxes), default=0) - 3, body.i)
        top = max(min((b.j for b in boxes), default=0) - 2, body.j)
        right = min(max((b.i + b.across for b in boxes), default=1) + 3, body.i + body.across)
        foot = min(max((b.j + b.down for b in boxes), default=1) + 3, body.j + body.down)
        self.out.body = Box(left, top, right - left, foot - top)
        self._wall()

    def _wall(self) -> None:
        """Keep everything within the body."""
        out, body = self.out, self.out.body
        for edge in (
            Box(0, 0, out.across, body.j),
            Box(0, body.j + body.down, out.across, out.down),
            Box(0, 0, body.i, out.down),
            Box(body.i + body.across, 0, out.across, out.down),
        ):
            self.field.take(edge)

    # -- lines ------------------------------------------------------------------------------------------------
    def _lay_lines(self) -> None:
        out = self.out
        self.router = Router(out.across * CELL, out.down * CELL, CELL)
        self.router.wall((i, j) for i, j in np.argwhere(self.field.taken).tolist())
        rooms = [b for r in out.rooms for b in (r.box, r.pocket) if b is not None]
        for box in [*self.hard, *rooms]:
            left, top, wide, high = box.grown(1).px
            self.router.shun(left + 1, top + 1, wide - 2, high - 2, price=BESIDE)
        for station in out.stations:
            nodes = [c for c in station.part.nodes.values() if c in self.shown.chambers]
            for k, name in enumerate(nodes):
                self._pipe(name, [station.mouth(k)], self._mouths(name))
        for name in self.shown.chambers:
            mine = [r for r in out.rooms if r.chamber == name]
            for k, room in enumerate(mine[1:], 1):
                self._pipe(name, room.mouths(), [m for r in mine[:k] for m in r.mouths()])
        self._lay_ports()

    def _lay_ports(self) -> None:
        body = self.out.body
        edges = _edge(body)
        for outlet in self.shown.ports:
            starts = [m for r in self.out.rooms if r.chamber == outlet.chamber for m in r.main_mouths()]
            if not starts:
                continue
            pipe = self._pipe(outlet.chamber, starts, edges)
            pipe.wide = 20.0
            spot = _spot(pipe.corners[-1])
            self.out.mouths.append(Mouth(outlet, spot, edges[spot]))
            edges = {s: way for s, way in edges.items() if max(abs(s[0] - spot[0]), abs(s[1] - spot[1])) > 3}

    def _mouths(self, chamber: str) -> list[Spot]:
        return [m for r in self.out.rooms if r.chamber == chamber for m in r.mouths()]

    def _pipe(self, net: str, starts: Iterable[Spot], ends: Iterable[Spot]) -> Pipe:
        begin, end = ([(i * CELL, j * CELL) for i, j in spots] for spots in (starts, ends))
        pipe = Pipe(net, self.router.between(net, begin, end))
        self.out.pipes.append(pipe)
        return pipe


def _edge(body: Box) -> dict[Spot, Spot]:
    """Cells along the inside of the body's edge, corners left out, with the way out of each."""
    right, foot = body.i + body.across - 1, body.j + body.down - 1
    rows, across = range(body.j + 2, foot - 1), range(body.i + 2, right - 1)
    out = {(body.i, j): (-1, 0) for j in rows} | {(right, j): (1, 0) for j in rows}
    return out | {(i, foot): (0, 1) for i in across}


def _reached(cells: NDArray[np.int_], size: Spot, anchor: Point) -> list[tuple[float, Spot]]:
    """Of first cells (n, 2) for a box of a size, those near an anchor, with the cost of the line to it."""
    (across, down), (x, y) = size, anchor
    i, j = cells.T
    near = (abs(i + across / 2 - x / CELL) < REACH) & (abs(j - y / CELL) < REACH)
    i, j = i[near], j[near]
    left, top = (i - 0.5) * CELL, (j - 0.5) * CELL
    wide, high = across * CELL, down * CELL
    over = (left <= x) & (x <= left + wide)
    dx = np.where(over, 0.0, np.where(x < left, left - x, left + wide - x))
    dy = np.where(over, np.where(y < top, top, top + high), top + high / 2) - y
    costs = np.hypot(dx, dy) + 0.5 * abs(dy)
    return list(zip(costs.tolist(), zip(i.tolist(), j.tolist(), strict=True), strict=True))


def _spot(point: Point) -> Spot:
    return round(point[0] / CELL), round(point[1] / CELL)


def _untidy(plan: Plan) -> float:
    """How much there is to follow with the eye: lengths and bends of lines, crossings, size; in cells."""
    length = sum(math.dist(a, b) for p in plan.pipes for a, b in pairwise(p.corners)) / CELL
    bends = sum(max(len(p.corners) - 2, 0) for p in plan.pipes)
    leads = sum(math.dist(leader(t.box, t.anchor), t.anchor) for t in plan.tags.values()) / CELL
    return length + 2 * bends + leads + 10 * len(crossings(plan.pipes)) + plan.body.across + plan.body.down
