"""Load check: oil to the load, none back."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import PSI

LOW = {"other way.diameter": "20 mm"}


def test_lifting_the_inlet_stands_above_the_load_by_the_spring_and_the_jet(smooth, at, circle) -> None:
    state = at(smooth("load check"))
    lift = state.statuses["poppet"].lift
    drop = state.pressures["pump line"] - state.pressures["load line"]
    sine = math.sin(math.pi / 4)
    area = math.pi * lift * sine * (18e-3 - lift * sine * sine)
    jet = 0.5 * 2 * 0.77 * 0.98 * area * drop * math.cos(math.pi / 4)
    assert drop == pytest.approx((1.4e3 * (10e-3 + lift) + jet) / circle(18), rel=5e-3)
    assert drop > 14 / circle(18)  # 14 N on 254 mm2: 8 psi before anything passes


def test_a_lower_pump_line_takes_nothing_from_the_load(smooth, at) -> None:
    state = at(smooth("load check"), LOW)
    assert state.statuses["poppet"].word == "seated"
    assert state.flow_through("seat") == 0.0
    assert state.pressures["pump line"] < 10 * PSI


def test_the_load_itself_holds_it_shut(smooth, at, force, circle) -> None:
    state = at(smooth("load check"), LOW)
    held = (1500 * PSI - state.pressures["pump line"]) * circle(18) + 14
    assert force(state, "poppet", "seat") == pytest.approx(held, rel=1e-6)


def test_a_scored_seat_lets_the_load_come_back(smooth, at) -> None:
    state = at(smooth("load check"), {**LOW, "seat.worn gap": "5 um"})
    back = -state.at_no_pressure(state.flow_through("seat"))
    area = math.pi * 18e-3 * 5e-6 * math.sin(math.pi / 4)
    turbulent = 0.77 * area * math.sqrt(2 * 1500 * PSI / state.parameter("oil.rho0"))
    assert 0.4 * turbulent < back < turbulent  # so narrow a ring is partly laminar
