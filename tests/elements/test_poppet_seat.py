"""Poppet seat: area of the frustum, flow and jet force at a lift known from the stop, and nothing when shut."""

from __future__ import annotations

import math

import pytest

ANGLE = math.radians(30)
D, LIFT = 10e-3, 0.3e-3
PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}
    load: {kind: test load, from: line, to: tank, load pressure: 680 bar}
    poppet: {kind: moving part, mass: 50 g, travel: 0.3 mm}
    face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
    seat: {kind: poppet seat, on: poppet, from: line, to: tank, diameter: 10 mm, half angle: 30 deg}
    spring: {kind: spring, on: poppet, rate: 10 N/mm, compression: 50 mm}
    """


def test_flow_at_a_known_lift_by_hand(solve, oil) -> None:
    # 500 N of spring are beaten at once, so the stop sets the lift.
    state = solve(PARTS.replace("compression: 50 mm", "compression: 0 mm"))
    assert state.statuses["poppet"].word == "at its stop"
    p = state.pressures["line"]
    gap = LIFT * math.sin(ANGLE)
    area = math.pi * gap * (D - gap * math.cos(ANGLE))  # conical frustum
    rho = oil.mean(p, 0)
    u = oil.orifice_speed(2 * gap, p, rho, cd=0.77)
    assert state.flow_through("seat") == pytest.approx(rho * area * u, rel=1e-9)
    assert state.flow_through("seat") == pytest.approx(oil.rho0 * 30e-3 / 60, rel=1e-9)


def test_jet_force_by_hand(solve, oil, force) -> None:
    state = solve(PARTS.replace("compression: 50 mm", "compression: 0 mm"))
    p = state.pressures["line"]
    gap = LIFT * math.sin(ANGLE)
    area, rho = math.pi * gap * (D - gap * math.cos(ANGLE)), oil.mean(p, 0)
    mass = oil.rho0 * 30e-3 / 60
    jet = mass / (rho * area) * 0.98 / 0.77  # the jet narrows, so it is faster than Q / A
    assert force(state, "poppet", "flow force") == pytest.approx(-mass * jet * math.cos(ANGLE), rel=1e-8)
    # The turbulent form 2 Cd Cv A dp cos(a) (Merritt ch. 5, from memory) is close by.
    rule = 2 * 0.77 * 0.98 * area * p * math.cos(ANGLE)
    assert force(state, "poppet", "flow force") == pytest.approx(-rule, rel=0.05)


def test_part_of_the_jet_may_be_recovered(solve, force) -> None:
    stopped = PARTS.replace("compression: 50 mm", "compression: 0 mm")
    plain, lipped = (
        force(solve(stopped.replace("30 deg", f"30 deg{more}")), "poppet", "flow force")
        for more in ("", ", recovered jet: 75 %")
    )
    assert lipped == pytest.approx(plain / 4, rel=1e-9)


def test_shut_it_leaks_exactly_nothing(solve) -> None:
    # 500 N hold against 50 bar on 78.5 mm2 (393 N).
    state = solve(PARTS, {"load pressure": "50 bar"})
    assert state.statuses["poppet"].word == "seated"
    assert state.statuses["poppet"].lift == 0.0
    assert state.flow_through("seat") == 0.0
    assert state.flow_through("load") == pytest.approx(state.flow_through("pump"), rel=1e-9)


def test_a_scored_seat_leaks_through_its_gap(solve, oil) -> None:
    state = solve(PARTS.replace("30 deg", "30 deg, worn gap: 5 um"), {"load pressure": "50 bar"})
    assert state.statuses["poppet"].word == "seated"
    p = state.pressures["line"]
    gap = 5e-6 * math.sin(ANGLE)
    area, rho = math.pi * gap * (D - gap * math.cos(ANGLE)), oil.mean(p, 0)
    by_hand = rho * area * oil.orifice_speed(2 * gap, p, rho, cd=0.77)
    assert state.flow_through("seat") == pytest.approx(by_hand, rel=1e-9)


def test_far_open_the_bore_of_the_seat_is_the_narrowest_place(solve, oil) -> None:
    wide = PARTS.replace("travel: 0.3 mm", "travel: 20 mm").replace("compression: 50 mm", "compression: 0 mm")
    wide = wide.replace("rate: 10 N/mm", "rate: 1 N/m").replace("30 deg", "30 deg, recovered jet: 100 %")
    state = solve(wide, {"pump flow": "300 L/min"})
    assert state.statuses["poppet"].word == "at its stop"
    p = state.pressures["line"]
    rho, area = oil.mean(p, 0), math.pi / 4 * D**2
    by_hand = rho * area * oil.orifice_speed(D, p, rho, cd=0.77)
    assert state.flow_through("seat") == pytest.approx(by_hand, rel=1e-8)
