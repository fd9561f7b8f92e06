"""Two-stage reducing valve: the pilot holds the back chamber, the spool the outlet one light spring above it."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import GALLON, MINUTE, PSI

TURNS = {"pilot spring.turns": "5 turns"}


def test_below_its_setting_the_pilot_is_shut_and_no_oil_is_drained(smooth, at) -> None:
    state = at(smooth("pilot reducing"), {"main line.pressure": "500 psi", "consumer.flow": "4 gpm"})
    assert {k: s.word for k, s in state.statuses.items()} == {
        "main spool": "at its stop",
        "pilot poppet": "seated",
    }
    assert state.flow_through("drain passage") == 0.0
    for chamber in ("sense chamber", "back chamber", "pilot chamber"):
        assert state.pressures[chamber] == pytest.approx(state.pressures["reduced line"], abs=1.0)


def test_the_pilot_opens_where_its_spring_and_seat_balance(smooth, at, circle) -> None:
    cracks = 20e3 * 5e-3 / circle(5) / PSI  # 100 N on 19.63 mm2: 738.7 psi
    assert cracks == pytest.approx(738.7, abs=0.1)
    valve = smooth("pilot reducing")
    for main, word in ((cracks - 1, "seated"), (cracks + 1, "open")):
        state = at(valve, {**TURNS, "main line.pressure": f"{main} psi", "consumer.flow": "0 gpm"})
        assert state.statuses["pilot poppet"].word == word


def test_the_outlet_stands_one_light_spring_above_the_back_chamber(smooth, at, circle) -> None:
    state = at(smooth("pilot reducing"), {"consumer.flow": "8 gpm"})
    lift, outlet = state.statuses["main spool"].lift, state.pressures["reduced line"]
    area = 4 * 5e-3 * (lift - 1e-3)
    dp = state.pressures["main line"] - outlet
    jet = 0.4 * 2 * 0.61 * 0.98 * area * dp * math.cos(math.radians(69))  # 60 % given back by the neck
    by_hand = (8e3 * (16e-3 - lift) - jet) / circle(20)
    assert outlet - state.pressures["back chamber"] == pytest.approx(by_hand, rel=5e-3)


def test_the_drain_carries_what_the_orifice_lets_through(smooth, at) -> None:
    state = at(smooth("pilot reducing"), {"consumer.flow": "8 gpm"})
    drained = state.flow_through("drain passage")
    assert drained == pytest.approx(state.flow_through("main orifice"), rel=1e-6)
    dp = state.pressures["reduced line"] - state.pressures["back chamber"]
    turbulent = 0.61 * math.pi / 4 * 0.8e-3**2 * math.sqrt(2 * dp / state.parameter("oil.rho0"))
    assert 0.9 * turbulent < state.at_no_pressure(drained) < turbulent  # the hole is small: a little laminar


def test_it_is_flatter_than_a_direct_acting_one(smooth, at) -> None:
    """1 to 6 gpm drawn: the light spring and the pilot give way less than the stiff spring of the direct valve."""

    def sag(name: str, line: str, setting: str) -> float:
        valve = smooth(name, {"setting": setting})
        low, high = (at(valve, {"consumer.flow": f"{q} gpm"}).pressures[line] for q in (1, 6))
        return low - high

    two_stage = sag("pilot reducing", "reduced line", "600 psi at 2 gpm")
    direct = sag("reducing", "clamp line", "600 psi at 2 gpm")
    assert 0 < two_stage < direct / 3


def test_a_blocked_drain_lets_the_outlet_rise_to_the_inlet(machine, at) -> None:
    state = at(
        machine("""
        tank: {kind: tank}
        main line: {kind: tank, pressure: 2200 psi}
        outlet: {kind: chamber}
        blocked: {kind: chamber}
        draw: {kind: orifice, from: outlet, to: tank, diameter: 1 mm}
        reducing: {kind: valve, valve: pilot reducing, P: main line, A: outlet, Y: blocked}
        """)
    )
    assert state.statuses["reducing.main spool"].word == "at its stop"
    assert state.pressures["outlet"] == pytest.approx(2200 * PSI, rel=1e-3)
    assert state.at_no_pressure(state.flow_through("draw")) > GALLON / MINUTE
