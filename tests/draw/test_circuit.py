"""The circuit of every example and every valve on its stand: complete, joined as the file says, legible, true."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from xml.etree import ElementTree as ET

import pytest
from tests.draw.drawn import (
    FILES,
    FULL,
    NAMES,
    Box,
    box,
    drawing,
    machine,
    of_class,
    overlap,
    painted,
    points,
    state,
    tag,
    walk,
    words_of,
)  # fmt: skip
from tests.model.test_order import read_shuffled

from oilway.draw.circuit import circuit
from oilway.draw.colours import colour
from oilway.draw.paint import paint
from oilway.model.machine import Machine
from oilway.quantity import show
from oilway.solve.point import solve_point
from oilway.study.frame import channels, frame

INSIDES = ("chamber", "tank", "moving part", "face", "spring", "lever")  # no symbol of their own
every_machine = pytest.mark.parametrize("name", NAMES)


def outside(made: Machine, part: str) -> bool:
    """Whether a part stands in the machine itself."""
    return not any(m.holds(part) for m in made.mounted)


def ends_of(made: Machine) -> Iterator[tuple[str, str, str]]:
    """What the file joins: (part or valve, port, chamber), read from parts and mounted valves."""
    for name, part in made.parts.items():
        if outside(made, name):
            yield from ((name, port, chamber) for port, chamber in part.nodes.items() if part.kind != "face")
    for mounted in made.mounted:
        if outside(made, mounted.prefix.rstrip(".") or "no part"):
            for port in mounted.valve.ports.values():
                chamber = mounted.outside[port.chamber]
                if not port.plugged or chamber != mounted.prefix + port.chamber:
                    yield mounted.name, port.name, chamber


@every_machine
def test_every_part_of_the_machine_can_be_touched(name: str) -> None:
    made = machine(name)
    shown = {e.get("data-part") for e in painted(name).iter()}
    wanted = {n for n, part in made.parts.items() if outside(made, n) and part.kind not in INSIDES}
    wanted |= {part for part, _, _ in ends_of(made)} | {chamber for _, _, chamber in ends_of(made)}
    assert wanted <= shown


@every_machine
def test_every_binding_follows_a_channel_of_the_state(name: str) -> None:
    known = {c.name for c in channels(state(name))}
    followed = {b.channel for b in drawing(name).picture.bindings}
    assert followed <= known


@every_machine
def test_every_id_stands_once(name: str) -> None:
    ids = [e.get("id") for e in painted(name).iter() if e.get("id")]
    assert len(ids) == len(set(ids))


def segments(name: str, chamber: str) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """The straight pieces drawn for a chamber, read from the picture."""
    found = []
    for group in of_class(painted(name), "lines")[0]:
        if group.get("data-part") == chamber:
            for path in (e for e in group if tag(e) == "path"):
                found += [(tuple(a), tuple(b)) for a, b in pairwise(points(path.get("d", "")).tolist())]
    return [(a, b) for a, b in found if a != b]


def on(point: tuple[float, float], piece: tuple[tuple[float, float], tuple[float, float]]) -> bool:
    (ax, ay), (bx, by) = piece
    x, y = point
    across = min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by)
    return across and (x - ax) * (by - ay) == (y - ay) * (bx - ax)


@every_machine
def test_the_lines_of_a_chamber_join_exactly_its_ports(name: str) -> None:
    made, drawn = machine(name), drawing(name)
    places = {(s.name, m.port): s.at(m) for s in drawn.symbols for m in s.mouths}
    wanted: dict[str, set[tuple[float, float]]] = {}
    for part, port, chamber in ends_of(made):
        wanted.setdefault(chamber, set()).add(tuple(map(float, places.pop((part, port)))))
    assert not places, "a mouth that no port of the file stands for"
    mouths = {point for found in wanted.values() for point in found}
    for chamber, ends in wanted.items():
        pieces = segments(name, chamber)
        assert {p for p in mouths if any(on(p, piece) for piece in pieces)} == ends, chamber
        if made.parts[chamber].kind != "tank":
            assert joined(pieces), chamber


def joined(pieces: list[tuple[tuple[float, float], tuple[float, float]]]) -> bool:
    """Whether every piece touches another at an end of one of them, in one whole."""
    todo, seen = [pieces[0]], {pieces[0]}
    while todo:
        here = todo.pop()
        for other in pieces:
            touch = any(on(p, other) for p in here) or any(on(p, here) for p in other)
            if other not in seen and touch:
                seen.add(other)
                todo.append(other)
    return len(seen) == len(set(pieces))


@every_machine
def test_lines_of_two_chambers_only_cross(name: str) -> None:
    """At right angles and inside both: an end on another line, or a corner, would look like a joint."""
    made = machine(name)
    lines = {c: segments(name, c) for _, _, c in ends_of(made) if made.parts[c].kind != "tank"}
    for a, b in combinations(sorted(lines), 2):
        for here in lines[a]:
            for there in lines[b]:
                assert not any(on(p, there) for p in here), (a, b)
                assert not any(on(p, here) for p in there), (a, b)


@every_machine
def test_a_dot_stands_wherever_three_pieces_meet_and_nowhere_else(name: str) -> None:
    made = machine(name)
    for net in drawing(name).nets:
        group = next(g for g in of_class(painted(name), "lines")[0] if g.get("data-part") == net.chamber)
        dots = {(float(e.get("cx", 0)), float(e.get("cy", 0))) for e in group if tag(e) == "circle"}
        pieces = set(segments(name, net.chamber))
        ends = {p for piece in pieces for p in piece}
        meeting = {p for p in ends if sum(1 + (p not in q) for q in pieces if on(p, q)) > 2}
        assert dots == meeting, (made.title, net.chamber)


# -- nothing overlaps -----------------------------------------------------------------------------------------
def plates(name: str) -> list[tuple[str, Box]]:
    """Plates and flow numbers: what they say, and where their frame stands."""
    found = []
    for group in [*of_class(painted(name), "plate"), *of_class(painted(name), "flow")]:
        for element, at in walk(group):
            if tag(element) == "rect":
                found.append((str(group.get("aria-label")), box(element, at)))
    return found


def symbol_boxes(name: str) -> list[tuple[str, Box]]:
    drawn = drawing(name)
    return [(s.name, (s.x, s.y, s.x + s.width, s.y + s.height)) for s in drawn.symbols]


@every_machine
def test_symbols_and_plates_stand_clear_of_each_other(name: str) -> None:
    boxes = [*symbol_boxes(name), *plates(name)]
    assert not [(a, b) for (a, ab), (b, bb) in combinations(boxes, 2) if overlap(ab, bb)]


@every_machine
def test_no_line_runs_through_a_symbol_or_a_plate(name: str) -> None:
    boxes = [*symbol_boxes(name), *plates(name)]
    for chamber in {c for _, _, c in ends_of(machine(name))}:
        for (ax, ay), (bx, by) in segments(name, chamber):
            line = (min(ax, bx) - 3, min(ay, by) - 3, max(ax, bx) + 3, max(ay, by) + 3)
            assert not [w for w, b in boxes if overlap(line, b, slack=3.5)], chamber


@every_machine
def test_what_is_drawn_of_a_symbol_stays_in_its_box(name: str) -> None:
    """Its shapes and its words as the font draws them, wherever its cylinder stands: the boxes above are true."""
    made = machine(name)
    cylinders = [n for n, p in made.parts.items() if p.kind == "cylinder"]
    for share in (0.0, 1.0):
        strokes = {f"{c}.position": share * float(made.parts[c].values["stroke"] or 0) for c in cylinders}
        root = ET.fromstring(paint(drawing(name).picture, solve_point(made, strokes), FULL))
        for group, (_, room) in zip(of_class(root, "symbols")[0], symbol_boxes(name), strict=True):
            for element, at in walk(group):
                found = box(element, at)
                if found is not None:
                    x0, y0, x1, y1 = found
                    said = (group.get("data-part"), tag(element), element.text, found, room)
                    assert x0 >= room[0] - 2 and y0 >= room[1] - 2, said  # noqa: PT018
                    assert x1 <= room[2] + 2 and y1 <= room[3] + 2, said  # noqa: PT018
        if not cylinders:
            break


@every_machine
def test_words_of_a_symbol_stand_clear_of_each_other(name: str) -> None:
    for group in of_class(painted(name), "symbols")[0]:
        texts = [(words_of(e), box(e, at)) for e, at in walk(group) if tag(e) == "text"]
        assert not [(a, b) for (a, ab), (b, bb) in combinations(texts, 2) if overlap(ab, bb)]


@every_machine
def test_words_stay_on_their_plate(name: str) -> None:
    for group in [*of_class(painted(name), "plate"), *of_class(painted(name), "flow")]:
        found = [(e, box(e, at)) for e, at in walk(group)]
        frame_ = next(b for e, b in found if tag(e) == "rect")
        for element, at in found:
            if tag(element) == "text":
                assert at[0] >= frame_[0] and at[2] <= frame_[2], element.text  # noqa: PT018
                assert at[1] >= frame_[1] - 1 and at[3] <= frame_[3] + 1, element.text  # noqa: PT018


@every_machine
def test_everything_lies_in_the_picture(name: str) -> None:
    x, y, w, h = map(float, painted(name).get("viewBox", "").split())
    for element, at in walk(painted(name)):
        found = box(element, at)
        if found is not None:
            assert found[0] >= x and found[1] >= y and found[2] <= x + w and found[3] <= y + h  # noqa: PT018


@every_machine
def test_pressures_are_24_px_on_the_projector(name: str) -> None:
    _x, _y, w, h = map(float, painted(name).get("viewBox", "").split())
    scale = min(1920 / w, 1080 / h, 1.0)
    for group in of_class(painted(name), "plate"):
        sizes = [float(e.get("font-size", 0)) for e in group.iter() if tag(e) == "text"]
        assert max(sizes) * scale >= 23.5


# -- what it says -----------------------------------------------------------------------------------------------
@every_machine
def test_the_painted_numbers_are_those_of_the_state(name: str) -> None:
    at, made, seen = state(name), machine(name), set()
    for group in of_class(painted(name), "plate"):
        chamber = str(group.get("data-part"))
        texts = [words_of(e) for e in group.iter() if tag(e) == "text"]
        assert texts == [chamber, show(at.pressures[chamber], "pressure")]
        seen.add(chamber)
    assert seen == {chamber for _, _, chamber in ends_of(made)}
    for gauge in (n for n, p in made.parts.items() if p.kind == "gauge"):
        group = next(g for g in of_class(painted(name), "symbols")[0] if g.get("data-part") == gauge)
        assert show(*reversed(at.readings[gauge])) in [words_of(e) for e in group.iter() if tag(e) == "text"]


@every_machine
def test_a_line_has_the_colour_of_its_pressure(name: str) -> None:
    at = state(name)
    for group in of_class(painted(name), "lines")[0]:
        chamber = str(group.get("data-part"))
        assert colour(at.pressures[chamber], FULL) in {e.get("stroke") for e in group}


def test_flows_are_written_without_their_sign_and_the_arrow_tells_the_way() -> None:
    name = "tipping_hoist"
    values = dict(zip((c.name for c in channels(state(name))), frame(state(name)).values, strict=True))
    rod = values["flow:hoist cylinder@rod"]
    assert rod < 0, "going out, oil leaves the rod end"
    groups = [g for g in of_class(painted(name), "flow") if "at rod of" in str(g[0].text)]
    assert [words_of(e) for e in groups[0].iter() if tag(e) == "text"] == [show(-rod, "flow")]


def test_the_flow_through_a_valve_is_that_of_its_chamber() -> None:
    at = state("tipping_hoist")
    values = dict(zip((c.name for c in channels(at)), frame(at).values, strict=True))
    ports = [values[f"flow:lever valve@{port}"] for port in "PTAB"]
    assert values["flow:lever valve@A"] == pytest.approx(-values["flow:hoist cylinder@cap"], rel=1e-6)
    assert sum(ports) == pytest.approx(0.0, abs=1e-3 * max(ports))


@pytest.mark.parametrize("name", ["tipping_hoist", "tractor_loader", "swing_drive", "stand of lever valve"])
def test_the_order_of_the_file_changes_nothing(name: str) -> None:
    plain = circuit(machine(name), key="c")
    other = circuit(read_shuffled(FILES[name], 3), key="c")
    assert other.svg() == plain.svg()
    assert other.bindings == plain.bindings


def test_names_stay_text() -> None:
    root = ET.fromstring(circuit(machine("everything"), key="c").svg())
    assert not [e for e in root.iter() if tag(e) == "b"]
    texts = {words_of(e) for e in root.iter() if tag(e) == "text"}
    assert {"last <b>bold</b>", "pump <1> & co"} <= texts


def test_the_key_keeps_two_pictures_apart() -> None:
    a, b = (circuit(machine("tipping_hoist"), key=key) for key in ("a", "b"))
    ids = [{e.get("id") for e in p.root.iter() if e.get("id")} for p in (a, b)]
    assert not ids[0] & ids[1]
