"""The layout of every shipped valve: words apart, lines beside them, every room reached."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from tests.draw.gallery import VALVES, Rect, overlap, painted, picture, plan, texts, valve

from oilway.draw.cutaway_place import CELL, Box
from oilway.draw.cutaway_plan import Plan, Room, crossings
from oilway.draw.cutaway_tags import crosses, leader
from oilway.quantity import Units


def lines(drawn: Plan) -> list[tuple[str, Rect]]:
    """Chamber and rectangle of all lines between rooms, restrictions and ports."""
    out = []
    for pipe in drawn.pipes:
        half = pipe.wide / 2
        for (xa, ya), (xb, yb) in pairwise(pipe.corners):
            rect = min(xa, xb) - half, min(ya, yb) - half, max(xa, xb) + half, max(ya, yb) + half
            out.append((pipe.chamber, rect))
    return out


@pytest.mark.parametrize("name", VALVES)
@pytest.mark.parametrize("units", ["shop", "metric"])
def test_no_words_lie_on_others_and_all_lie_in_the_picture(name: str, units: Units) -> None:
    drawn = picture(name)
    found = texts(painted(name, -1, units))
    left, top = drawn.corner
    for element, box in found:
        inside = left <= box[0] and box[2] <= left + drawn.width and top <= box[1] and box[3] <= top + drawn.height
        assert inside, element.text
    for (one, a), (other, b) in combinations(found, 2):
        assert not overlap(a, b), (one.text, other.text)


@pytest.mark.parametrize("name", VALVES)
def test_no_line_runs_through_words(name: str) -> None:
    """Words within a room stand on its oil, which covers the end of a line of the same oil."""
    rooms = [(r.chamber, _rect(b)) for r in plan(name).rooms for b in (r.box, r.pocket) if b is not None]
    for element, box in texts(painted(name)):
        within = {chamber for chamber, rect in rooms if overlap(box, rect)}
        for chamber, line in lines(plan(name)):
            assert chamber in within or not overlap(box, line, 1.0), element.text


def _rect(box: Box) -> Rect:
    left, top, wide, high = box.px
    return left, top, left + wide, top + high


@pytest.mark.parametrize("name", VALVES)
def test_every_number_lies_in_its_plate(name: str) -> None:
    root = painted(name, -1, "metric")
    boxes = dict(texts(root))
    for plate in (e for e in root.iter() if e.get("class") == "number"):
        rect, words = list(plate)
        x, y, wide, high = (float(rect.get(k, "0")) for k in ("x", "y", "width", "height"))
        left, top, right, foot = boxes[words]
        assert x < left
        assert right < x + wide
        assert y < top
        assert foot < y + high


@pytest.mark.parametrize("name", VALVES)
def test_rooms_restrictions_and_words_share_no_cell(name: str) -> None:
    drawn = plan(name)
    boxes = [(t, tag.box) for t, tag in drawn.tags.items()] + [(s.part.name, s.box) for s in drawn.stations]
    boxes += [(r.chamber, b) for r in drawn.rooms for b in (r.box, r.pocket) if b is not None]
    for (one, a), (other, b) in combinations(boxes, 2):
        assert not a.meets(b), (one, other)


@pytest.mark.parametrize("name", VALVES)
def test_lines_of_two_chambers_never_run_in_the_same_cell_but_to_cross(name: str) -> None:
    drawn = plan(name)
    crossed = {c.point for c in crossings(drawn.pipes)}
    for one, other in combinations(drawn.pipes, 2):
        if one.chamber == other.chamber:
            continue
        for point in cells(one.corners) & cells(other.corners):
            assert point in crossed, (one.chamber, other.chamber, point)


def cells(corners: list[tuple[float, float]]) -> set[tuple[float, float]]:
    """The middles of the cells that a line passes."""
    out = set()
    for (xa, ya), (xb, yb) in pairwise(corners):
        steps = int(max(abs(xb - xa), abs(yb - ya)) / CELL)
        out |= {(xa + (xb - xa) * k / max(steps, 1), ya + (yb - ya) * k / max(steps, 1)) for k in range(steps + 1)}
    return out


@pytest.mark.parametrize("name", VALVES)
def test_everything_that_holds_one_oil_hangs_together(name: str) -> None:
    """All rooms of a chamber, its ports and the mouths of its restrictions are joined by its own lines."""
    drawn = plan(name)
    for chamber in valve(name).chambers:
        pieces = [set(_cells_of(room)) for room in drawn.rooms if room.chamber == chamber]
        pieces += [cells(p.corners) for p in drawn.pipes if p.chamber == chamber]
        joined = pieces.pop(0)
        while touching := [p for p in pieces if p & joined]:
            for piece in touching:
                joined |= piece
                pieces.remove(piece)
        assert not pieces, chamber


def _cells_of(room: Room) -> list[tuple[float, float]]:
    return [(i * CELL, j * CELL) for b in (room.box, room.pocket) if b is not None for i, j in b.cells()]


@pytest.mark.parametrize("name", VALVES)
def test_every_port_leaves_through_the_edge_of_the_body(name: str) -> None:
    drawn = plan(name)
    assert {m.outlet.letter for m in drawn.mouths} == set(_ports(name))
    body = drawn.body
    for mouth in drawn.mouths:
        i, j = mouth.spot[0] + mouth.way[0], mouth.spot[1] + mouth.way[1]
        assert not (body.i <= i < body.i + body.across and body.j <= j < body.j + body.down)


def _ports(name: str) -> list[str]:
    return [p.letter for p in valve(name).ports]


@pytest.mark.parametrize("name", VALVES)
def test_no_thin_line_passes_through_other_words(name: str) -> None:
    tags = plan(name).tags
    for one, tag in tags.items():
        end = leader(tag.box, tag.anchor)
        others = [t.box for other, t in tags.items() if other != one] + [s.box for s in plan(name).stations]
        assert not any(crosses(end, tag.anchor, box) for box in others), one
