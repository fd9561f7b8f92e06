"""Face: pressure times area, round or ring-shaped, open or shut."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

# A stepped part: 20 mm under the line, a ring 20/16 mm under the tank's 10 bar, 16 mm under the pilot's 40 bar.
PARTS = """
    tank: {kind: tank, pressure: 10 bar}
    pilot: {kind: tank, pressure: 40 bar}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 L/min}
    load: {kind: test load, from: line, to: tank, load pressure: 15 bar}
    part: {kind: moving part, mass: 100 g}
    front: {kind: face, on: part, chamber: line, diameter: 20 mm, pushes: open}
    ring: {kind: face, on: part, chamber: tank, diameter: 20 mm, inner diameter: 16 mm, pushes: shut}
    back: {kind: face, on: part, chamber: pilot, diameter: 16 mm, pushes: shut}
    """
QUARTER = math.pi / 4 * 1e-6


def test_each_face_by_hand(solve) -> None:
    state = solve(PARTS)
    by_part = {e.part: e.value for e in state.forces["part"] if e.label == "pressure"}
    assert by_part["front"] == pytest.approx(QUARTER * 400 * state.pressures["line"])
    assert by_part["ring"] == pytest.approx(-QUARTER * (400 - 256) * 10e5)
    assert by_part["back"] == pytest.approx(-QUARTER * 256 * 40e5)
    seat = next(e.value for e in state.forces["part"] if e.label == "seat")
    assert seat == pytest.approx(QUARTER * (144 * 10e5 + 256 * 40e5 - 400 * state.pressures["line"]), rel=1e-6)
    assert seat > 0


def test_a_part_opens_where_the_areas_balance(solve) -> None:
    # 400 p = 144 x 10 + 256 x 40 bar
    turning = (144 * 10 + 256 * 40) / 400
    for p, word in ((turning - 0.1, "seated"), (turning + 0.1, "at its stop")):
        assert solve(PARTS, {"load pressure": f"{p} bar"}).statuses["part"].word == word


def test_at_rest_a_face_takes_no_oil(solve) -> None:
    assert solve(PARTS).flow_through("front") == 0.0


def test_the_ring_is_thicker_than_nothing(machine) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:12: ring: inner diameter is not smaller than diameter"):
        machine(PARTS.replace("inner diameter: 16 mm", "inner diameter: 20 mm"))


def test_which_way_it_pushes_must_be_said(machine) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:11: front: missing key 'pushes' \(.*: open or shut\)"):
        machine(PARTS.replace(", diameter: 20 mm, pushes: open", ", diameter: 20 mm"))
