"""Reducing valve: wide open below its setting, then it holds its outlet whatever stands in the main line."""

from __future__ import annotations

import math

import pytest

from oilway.errors import ImpossibleCircuit
from oilway.quantity import PSI

TURNS = {"main spring.turns": "8 turns"}
STOP = 3.5e-3  # m of travel


def spring(coil, lift: float) -> float:
    """Force (N) at a lift: 3 mm wire, 15 mm, 7 coils; pressed together by 3.5 mm and 8 turns of 1 mm at lift 0."""
    return float(coil(3, 15, 7) * (3.5e-3 + 8e-3 - lift))


def test_it_leaves_its_stop_where_outlet_and_spring_balance(smooth, at, circle, coil) -> None:
    # 33.99 N/mm x 8 mm = 272 N on 78.54 mm2: 502 psi
    leaves = spring(coil, STOP) / circle(10) / PSI
    assert leaves == pytest.approx(502.2, abs=0.2)
    valve = smooth("reducing")
    for main, word in ((leaves - 2, "at its stop"), (leaves + 2, "open")):
        state = at(valve, {**TURNS, "main line.pressure": f"{main} psi", "consumer.flow": "0 gpm"})
        assert state.statuses["spool"].word == word
        # wide open it does nothing: the outlet follows the main line
        assert state.pressures["clamp line"] == pytest.approx(main * PSI, abs=0.5 * PSI)


def test_its_balance_term_by_term(smooth, at, circle, coil) -> None:
    state = at(smooth("reducing"), {**TURNS, "consumer.flow": "4 gpm"})
    lift, outlet = state.statuses["spool"].lift, state.pressures["clamp line"]
    area = 3 * 4e-3 * (lift - 1.6e-3)  # three notches, 4 mm wide
    jet = 2 * 0.61 * 0.98 * area * (state.pressures["main line"] - outlet) * math.cos(math.radians(69))
    assert outlet == pytest.approx((spring(coil, lift) - jet) / circle(10), rel=1e-3)
    # and that opening passes the 4 gpm: Q = Cd A sqrt(2 dp / rho)
    flow = 0.61 * area * math.sqrt(2 * (state.pressures["main line"] - outlet) / state.parameter("oil.rho0"))
    assert flow == pytest.approx(4 * 3.785411784e-3 / 60, rel=0.02)


def test_the_main_line_hardly_counts_and_the_drain_counts_one_to_one(smooth, at) -> None:
    valve = smooth("reducing")
    here, lower, backed = (
        at(valve, words).pressures["clamp line"]
        for words in ({}, {"main line.pressure": "1200 psi"}, {"tank.pressure": "60 psi"})
    )
    assert lower == pytest.approx(here, abs=12 * PSI)  # of 800 psi less in the main line
    assert backed - here == pytest.approx(60 * PSI, abs=PSI)


def test_nothing_drawn_it_lets_the_leak_out_by_its_drain(smooth, at) -> None:
    state = at(smooth("reducing"), {"consumer.flow": "0 gpm"})
    assert state.pressures["clamp line"] < 650 * PSI
    into_drain = state.flow_through("drain passage")
    assert into_drain == pytest.approx(state.flow_through("reducing edge"), rel=1e-4)
    # by hand: pi D c^3 dp / (12 mu L) along the 8 um fit
    dp, mu = state.pressures["sense chamber"], state.parameter("oil.mu")
    by_hand = math.pi * 0.010 * (8e-6) ** 3 * dp / (12 * mu * 0.010)
    assert state.at_no_pressure(into_drain) == pytest.approx(by_hand, rel=0.01)


def test_a_blocked_drain_lets_the_outlet_rise_to_the_inlet(machine, at) -> None:
    """Fault: the spring chamber fills past the spool and pushes it open again."""
    state = at(
        machine("""
        tank: {kind: tank}
        main line: {kind: tank, pressure: 2000 psi}
        clamp: {kind: chamber}
        blocked: {kind: chamber}
        reducing: {kind: valve, valve: reducing, P: main line, A: clamp, Y: blocked}
        """)
    )
    assert state.statuses["reducing.spool"].word == "at its stop"
    assert state.pressures["clamp"] == pytest.approx(2000 * PSI, rel=1e-3)


def test_oil_pushed_back_is_trapped_by_one_and_let_out_by_the_other(smooth, at, circle, coil) -> None:
    words = {**TURNS, "consumer.flow": "0 gpm", "push back.flow": "1 gpm"}
    with pytest.raises(ImpossibleCircuit, match="dead-headed"):
        at(smooth("reducing"), words)
    state = at(smooth("reducing", {"outlet": "relieving"}), words)
    lift = state.statuses["spool"].lift
    assert 0 < lift < 1.2e-3  # in the band where the relieving edge is open and the other shut
    # the jet of the relieving edge now pushes the spool open, away from what lets the oil out
    area = 2 * 2e-3 * (1.2e-3 - lift)
    jet = 2 * 0.61 * 0.98 * area * state.pressures["clamp line"] * math.cos(math.radians(69))
    assert state.pressures["clamp line"] == pytest.approx((spring(coil, lift) + jet) / circle(10), rel=2e-3)
