"""What a cutaway shows of one moving part: the rooms, lands, seats and edges along its bore, from the data alone.

Opening is up.  From bottom to top: the rooms of faces that push open, with a seat or the edges of a spool above
them, lands that guide and seal, and the rooms of faces that push shut.  No coordinates yet, only the order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, permutations

from oilway.elements.base import Part

ROOM, LAND, SEAT, EDGE = "room", "land", "seat", "edge"
HIGH = {ROOM: 3, LAND: 2, SEAT: 1, EDGE: 2}  # cells
AIR, UNDER_SEAT, WITH_SPRING = 2, 5, 7  # cells of such a room
MOST_PIECES = 4  # of one part whose order is tried out


@dataclass
class Slot:
    """One stretch of a bore.

    A room holds oil of its ``chamber`` (empty: air); ``ends`` and ``begins`` say that a piece of the part has its
    upper or its lower end in it.  Other stretches have the ``diameter`` (m) of the part in them, and the ``part``
    of the file that they are: a seat or an edge.
    """

    kind: str
    chamber: str = ""
    diameter: float = 0.0
    part: Part | None = None
    high: int = 0
    ends: bool = False
    begins: bool = False
    springs: list[Part] = field(default_factory=list)
    gaps: list[Part] = field(default_factory=list)
    low: int = 0  # cells below it in its column

    def __post_init__(self) -> None:
        """The height of its kind, unless given."""
        self.high = self.high or HIGH[self.kind]


@dataclass
class Column:
    """A moving part or a lever with everything along its bore, bottom first."""

    part: Part
    slots: list[Slot]
    faces: list[Part]
    springs: list[Part]

    @property
    def rooms(self) -> list[Slot]:
        """The rooms, bottom first."""
        return [s for s in self.slots if s.kind == ROOM]

    @property
    def widest(self) -> float:
        """The largest diameter of the part, m."""
        return max((s.diameter for s in self.slots), default=0.0) or 0.01

    @property
    def high(self) -> int:
        """Its height in cells."""
        return sum(s.high for s in self.slots)

    def chambers(self) -> set[str]:
        """The chambers that have a room here."""
        return {s.chamber for s in self.rooms if s.chamber}


def number(part: Part, record: str) -> float:
    """A quantity of a part, SI; what was left out counts 0."""
    value = part.values.get(record)
    return float(value) if value is not None else 0.0


def columns(parts: Mapping[str, Part], volumes: Mapping[str, float]) -> list[Column]:
    """A column for each moving part and each lever that carries an edge, in the order of their names.

    ``volumes`` of chambers (m3) tell the room of a spring from a damping chamber, where a part has both.
    """
    found = []
    for name in sorted(parts):
        carried = [parts[n] for n in sorted(parts) if parts[n].values.get("on") == name]
        edges = [p for p in carried if p.kind == "spool edge"]
        if parts[name].kind == "moving part" or edges:
            found.append(_Builder(parts, volumes, parts[name], carried, edges).column())
    return found


def owned_gaps(found: Sequence[Column]) -> set[str]:
    """Names of the annular gaps that lie along a part's own bore."""
    return {gap.name for column in found for slot in column.slots for gap in slot.gaps}


class _Builder:
    """Builds one column."""

    def __init__(
        self, parts: Mapping[str, Part], volumes: Mapping[str, float],
        part: Part, carried: list[Part], edges: list[Part],
    ) -> None:  # fmt: skip
        self.parts, self.volumes, self.part, self.edges = parts, volumes, part, edges
        self.faces = [p for p in carried if p.kind == "face"]
        self.seats = [p for p in carried if p.kind == "poppet seat"]
        self.springs = [p for p in carried if p.kind == "spring"]
        self.slots: list[Slot] = []

    def column(self) -> Column:
        pieces = self._pieces()
        seats, edges = self._dealt(pieces)
        for k, (lower, upper) in enumerate(pieces):
            self._lower(lower, seats[k])
            self._chain(edges[k])
            self._upper(upper)
        if not any(s.kind == SEAT or s.kind == LAND or s.kind == EDGE for s in self.slots):
            self.slots.insert(1, Slot(LAND, diameter=0.01))
        self._put_springs()
        self._put_gaps()
        low = 0
        for slot in self.slots:
            if slot.kind == ROOM and not slot.chamber and not slot.springs:
                slot.high = AIR
            slot.low, low = low, low + slot.high
        return Column(self.part, self.slots, self.faces, self.springs)

    # -- pieces: a disc pushing open below, a disc pushing shut above, with rings round either -----------------
    def _pieces(self) -> list[tuple[list[Part], list[Part]]]:
        """Pairs of faces below (innermost first) and above (innermost first), so that equal chambers meet."""
        lowers, uppers = (self._stacks(way) for way in ("open", "shut"))
        count = max(len(lowers), len(uppers), 1)
        lowers += [[]] * (count - len(lowers))
        uppers += [[]] * (count - len(uppers))
        if count > MOST_PIECES:
            return list(zip(lowers, uppers, strict=True))
        tried = [(low, up) for low in permutations(lowers) for up in permutations(uppers)]
        low, up = max(tried, key=lambda pair: _fit(*pair))
        return list(zip(low, up, strict=True))

    def _stacks(self, way: str) -> list[list[Part]]:
        """Faces pushing one way, each ring with the face that it surrounds."""
        own = [f for f in self.faces if f.values["pushes"] == way]
        stacks: list[list[Part]] = []
        for face in sorted(own, key=lambda f: (number(f, "inner diameter"), number(f, "diameter"), f.name)):
            inner = number(face, "inner diameter")
            near = [s for s in stacks if inner and abs(number(s[-1], "diameter") - inner) < 0.1 * inner]
            if near:
                near[0].append(face)
            else:
                stacks.append([face])
        return stacks

    def _dealt(self, pieces: list[tuple[list[Part], list[Part]]]) -> tuple[list[list[Part]], list[list[Part]]]:
        """The seats and the edges of each piece: seats where their chamber is below, edges by diameter."""
        seats: list[list[Part]] = [[] for _ in pieces]
        edges: list[list[Part]] = [[] for _ in pieces]
        for seat in self.seats:
            fits = [k for k, (low, _) in enumerate(pieces) if low and chamber(low[0]) in seat.nodes.values()]
            seats[fits[0] if fits else 0].append(seat)
        for edge in self.edges:
            widest = [max((number(f, "diameter") for f in low + up), default=0.0) for low, up in pieces]
            wanted = number(edge, "diameter")
            edges[min(range(len(pieces)), key=lambda k: (abs(widest[k] - wanted), k))].append(edge)
        return seats, edges

    # -- one piece --------------------------------------------------------------------------------------------
    def _lower(self, faces: list[Part], seats: list[Part]) -> None:
        for k, face in enumerate(faces):
            self._room(chamber(face))
            self.slots[-1].begins |= k == 0
            if k == 0:
                self._seats(seats, chamber(face))
            self._land(number(face, "diameter"))
        if not faces:
            self._room(seats[0].nodes["from"] if seats else "")
            self.slots[-1].begins = True
            self._seats(seats, self.slots[-1].chamber)
            self._land(max((number(e, "diameter") for e in [*seats, *self.edges, *self.faces]), default=0.01))

    def _seats(self, seats: list[Part], below: str) -> None:
        for seat in seats:
            under, over = seat.nodes["from"], seat.nodes["to"]
            if over == below:
                under, over = over, under
            if self.slots[-1].chamber != under:
                self._land(number(seat, "diameter"))
                self._room(under)
            elif self.slots[-1].high < UNDER_SEAT:
                self.slots[-1].high = UNDER_SEAT
            self.slots.append(Slot(SEAT, diameter=number(seat, "diameter"), part=seat))
            self._room(over)
            below = over

    def _chain(self, edges: list[Part]) -> None:
        """Galleries and the webs between them: a walk over the chambers that uses every edge once."""
        for walk in _walks(edges):
            wide = max(number(e, "diameter") for e, _ in walk)
            self._land(wide)
            for k, (edge, (lower, upper)) in enumerate(walk):
                if k == 0:
                    self.slots.append(Slot(ROOM, lower))
                self.slots.append(Slot(EDGE, diameter=number(edge, "diameter"), part=edge))
                self.slots.append(Slot(ROOM, upper))
            self._land(wide)

    def _upper(self, faces: list[Part]) -> None:
        outwards = list(reversed(faces))
        last = self.slots[-1]
        open_to = self.slots[-2].chamber if last.kind == LAND and len(self.slots) > 1 else None
        # A poppet whose gallery is the room above it needs no land between the two.
        if outwards and open_to == chamber(outwards[0]) and len(self.slots) > 2 and self.slots[-3].kind == SEAT:
            self.slots.pop()
        for k, face in enumerate(outwards):
            if k:
                self._land(number(face, "diameter"))
            self._room(chamber(face))
        if not faces:
            self._room("")
        self.slots[-1].ends = True

    def _room(self, of: str) -> None:
        if not self.slots or self.slots[-1].kind != ROOM or self.slots[-1].chamber != of:
            if self.slots and self.slots[-1].kind == ROOM:
                self._land(self.slots[-2].diameter if len(self.slots) > 1 else 0.0)
            self.slots.append(Slot(ROOM, of))

    def _land(self, diameter: float) -> None:
        if self.slots and self.slots[-1].kind == LAND:
            self.slots[-1].diameter = max(diameter, self.slots[-1].diameter)
        else:
            self.slots.append(Slot(LAND, diameter=diameter))

    # -- what lies in rooms and lands -------------------------------------------------------------------------
    def _put_springs(self) -> None:
        for spring in self.springs:
            way = str(spring.values["pushes"])
            felt = {chamber(f) for f in self.faces if f.values["pushes"] == way}
            rooms = [(k, s) for k, s in enumerate(self.slots) if s.kind == ROOM and s.chamber in felt]
            rooms = [(k, s) for k, s in rooms if self._spring_side(k, way)]
            if not rooms:
                rooms = [(0, self.slots[0]) if way == "open" else (len(self.slots) - 1, self.slots[-1])]
            sign = 1 if way == "shut" else -1
            room = max(rooms, key=lambda r: (self.volumes.get(r[1].chamber, 0.0), sign * r[0]))[1]
            room.springs.append(spring)
            room.high = max(room.high, WITH_SPRING)

    def _spring_side(self, k: int, way: str) -> bool:
        """Whether the part has a face of that way in this room: a step or an end."""
        slot = self.slots[k]
        below = self.slots[k - 1].diameter if k else 0.0
        above = self.slots[k + 1].diameter if k + 1 < len(self.slots) else 0.0
        return slot.ends or above < below if way == "shut" else slot.begins or above > below

    def _put_gaps(self) -> None:
        """Annular gaps between the rooms below and above a land are its clearance."""
        rooms = [k for k, s in enumerate(self.slots) if s.kind == ROOM]
        taken: set[str] = set()
        for low, high in pairwise(rooms):
            between = self.slots[low + 1 : high]
            ends = {self.slots[low].chamber, self.slots[high].chamber}
            for gap in (self.parts[n] for n in sorted(self.parts)):
                fits = gap.kind == "annular gap" and set(gap.nodes.values()) == ends and len(ends) == 2
                if fits and len(between) == 1 and between[0].kind == LAND and gap.name not in taken:
                    between[0].gaps.append(gap)
                    taken.add(gap.name)


def chamber(face: Part) -> str:
    """The chamber of a face."""
    return face.nodes["chamber"]


def _fit(lowers: Sequence[list[Part]], uppers: Sequence[list[Part]]) -> float:
    """How many pieces meet in one chamber, less what their faces differ in diameter."""
    met = sum(
        bool(up) and bool(low) and chamber(up[0]) == chamber(low[0])
        for up, low in zip(uppers, lowers[1:], strict=False)
    )
    differ = sum(
        abs(number(low[-1], "diameter") - number(up[-1], "diameter"))
        for low, up in zip(lowers, uppers, strict=True)
        if low and up
    )
    return met - 10 * differ


Walk = list[tuple[Part, tuple[str, str]]]


def _walks(edges: list[Part]) -> list[Walk]:
    """The edges as few walks as a simple search finds, each edge with its lower and its upper chamber."""
    left, walks = sorted(edges, key=lambda e: e.name), []
    while left:
        degree: dict[str, int] = {}
        for edge in left:
            for end in edge.nodes.values():
                degree[end] = degree.get(end, 0) + 1
        starts = sorted(degree, key=lambda c: (degree[c] % 2 == 0, degree[c], c))
        walk = max((_longest(start, left) for start in starts[:4]), key=len)
        used = {edge.name for edge, _ in walk}
        left = [e for e in left if e.name not in used]
        walks.append(walk)
    return walks


def _longest(here: str, left: list[Part], budget: int = 6) -> Walk:
    """The longest walk from a chamber over edges not yet used."""
    best: Walk = []
    for edge in left:
        a, b = edge.nodes["from"], edge.nodes["to"]
        if here not in (a, b):
            continue
        there = b if here == a else a
        rest = _longest(there, [e for e in left if e is not edge], budget - 1) if budget else []
        walk = [(edge, (here, there)), *rest]
        if len(walk) > len(best):
            best = walk
    return best
