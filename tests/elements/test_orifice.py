"""Orifice: flow and drop against the law worked by hand."""

from __future__ import annotations

import math

import pytest

BAR = 1e5


def test_turbulent_flow_by_hand(between, oil) -> None:
    state = between("{kind: orifice, diameter: 1 mm}")
    rho, area = oil.mean(100 * BAR, 0), math.pi / 4 * 1e-6
    by_hand = rho * area * oil.orifice_speed(1e-3, 100 * BAR, rho)
    assert state.flow_through("part") == pytest.approx(by_hand, rel=1e-9)
    # Q = Cd A sqrt(2 dp / rho) (CK02, from memory: Merritt ch. 3); viscosity still takes a little off.
    ideal = rho * 0.61 * area * math.sqrt(2 * 100 * BAR / rho)
    assert 0.97 * ideal < state.flow_through("part") < ideal


def test_small_drop_in_laminar_flow_by_hand(between, oil) -> None:
    state = between("{kind: orifice, diameter: 0.2 mm}", high="1 Pa")
    # Far below the transition the square term goes: u = 2 Cd^2 Dh dp / (Rt mu).
    u = 2 * 0.61**2 * 0.2e-3 * 1 / (9.33 * oil.mu)
    assert state.flow_through("part") == pytest.approx(oil.rho0 * math.pi / 4 * 0.04e-6 * u, rel=1e-3)


def test_four_times_the_drop_gives_twice_the_turbulent_flow(between) -> None:
    # CK03; the oil is denser at 40 bar and less laminar, hence the room.
    flows = [between("{kind: orifice, diameter: 8 mm}", high=f"{p} bar").flow_through("part") for p in (10, 40)]
    assert flows[1] / flows[0] == pytest.approx(2.0, rel=0.01)


def test_no_drop_no_flow_and_no_flow_no_drop(between) -> None:
    state = between("{kind: orifice, diameter: 3 mm}", high="50 bar", low="50 bar")
    assert state.flow_through("part") == 0.0
    assert state.pressures["branch"] == pytest.approx(50 * BAR, abs=1e-3)
    assert state.flow_through("tap") == pytest.approx(0.0, abs=1e-9)


def test_flow_turns_round_with_the_drop(between) -> None:
    there = between("{kind: orifice, diameter: 1 mm}", high="30 bar", low="10 bar").flow_through("part")
    back = between("{kind: orifice, diameter: 1 mm}", high="10 bar", low="30 bar").flow_through("part")
    assert back == pytest.approx(-there, rel=1e-12)


def test_all_of_the_drop_becomes_heat(between, oil) -> None:
    state = between("{kind: orifice, diameter: 1 mm}")
    heat = [e.value for e in state.power if e.part == "part" and e.label == "heat"]
    assert heat == [pytest.approx(state.flow_through("part") * oil.work(100 * BAR), rel=1e-9)]


def test_coefficients_of_the_file_count(between) -> None:
    # Thick or thin, the laminar end goes with Cd^2 / Rt.
    plain = between("{kind: orifice, diameter: 0.2 mm}", high="1 Pa").flow_through("part")
    other = between(
        "{kind: orifice, diameter: 0.2 mm, discharge coefficient: 0.8, transition Reynolds number: 20}",
        high="1 Pa",
    ).flow_through("part")
    assert other / plain == pytest.approx((0.8 / 0.61) ** 2 * 9.33 / 20, rel=1e-3)


def test_drop_at_a_given_flow(solve, oil) -> None:
    state = solve("""
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 L/min}
        hole: {kind: orifice, from: line, to: tank, diameter: 2 mm}
        """)
    rho = oil.mean(state.pressures["line"], 0)
    u = oil.rho0 * 10e-3 / 60 / (rho * math.pi / 4 * 4e-6)
    # dp = rho / (2 Cd^2) (u^2 + nu Rt / d u)
    drop = rho / (2 * 0.61**2) * (u**2 + oil.mu / rho * 9.33 / 2e-3 * u)
    assert state.pressures["line"] == pytest.approx(drop, rel=1e-8)
