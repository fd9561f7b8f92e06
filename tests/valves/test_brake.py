"""Brake valve: po + 8 pi = pset + 9 pd; wide open while the motor is driven, a brake when the load drives."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import PSI

EIGHT = {"main spring.turns": "8 turns"}


@pytest.fixture
def preload(coil) -> float:
    """Eight turns of 1 mm on a 2.5 mm wire, 14 mm, 9 coils (N)."""
    return float(coil(2.5, 14, 9) * 8e-3)  # 15.68 N/mm x 8 mm = 125.4 N


@pytest.mark.parametrize("inlet", [0, 60, 120])
def test_its_balance_term_by_term(smooth, at, circle, coil, preload: float, inlet: int) -> None:
    state = at(smooth("brake"), {**EIGHT, "inlet line.pressure": f"{inlet} psi"})
    lift, outlet = state.statuses["spool"].lift, state.pressures["motor line"]
    # three notches 4 mm wide, open by the lift less 0.8 mm; 60 % of the jet is given back
    jet = 0.4 * 2 * 0.61 * 0.98 * 3 * 4e-3 * (lift - 0.8e-3) * outlet * math.cos(math.radians(69))
    by_hand = (preload + coil(2.5, 14, 9) * lift + jet) / circle(4) - 8 * inlet * PSI
    assert outlet == pytest.approx(by_hand, rel=3e-3)


def test_on_its_seat_remote_counts_eight_times_and_drain_nine(smooth, at, force, circle, preload: float) -> None:
    valve = smooth("brake")

    def seat(remote: int, tank: int) -> float:
        words = {**EIGHT, "motor.flow": "0 gpm", "inlet line.pressure": f"{remote} psi"}
        state = at(valve, {**words, "tank.pressure": f"{tank} psi"})
        # no flow: what stands in the motor line is what the tank line holds
        assert state.pressures["motor line"] == pytest.approx(tank * PSI, abs=6 * PSI)
        own = state.pressures["own chamber"] * circle(4)
        return force(state, "spool", "seat") + own

    assert seat(0, 0) == pytest.approx(preload, rel=1e-4)
    assert seat(0, 0) - seat(100, 0) == pytest.approx(8 * 100 * PSI * circle(4), rel=1e-4)
    assert seat(0, 30) - seat(0, 0) == pytest.approx(9 * 30 * PSI * circle(4), rel=1e-4)


def test_drained_outside_the_return_line_does_not_count(machine, at) -> None:
    text = """
        tank: {{kind: tank}}
        return: {{kind: tank, pressure: {back} psi}}
        inlet line: {{kind: tank, pressure: 100 psi}}
        motor line: {{kind: chamber}}
        motor: {{kind: test pump, inlet: tank, outlet: motor line, flow: 12 gpm}}
        brake: {{kind: valve, valve: brake, M: motor line, T: return, X: inlet line, {drain}}}
        """

    def outlet(back: int, drain: str) -> float:
        return at(machine(text.format(back=back, drain=drain))).pressures["motor line"] / PSI

    internal = outlet(40, "drain: internal") - outlet(0, "drain: internal")
    external = outlet(40, "drain: external, Y: tank") - outlet(0, "drain: external, Y: tank")
    # a higher outlet needs less opening for the same flow, so spring and jet give a little back
    assert internal == pytest.approx(9 * 40, rel=0.1)
    assert abs(external) < 15


def test_driven_it_is_wide_open_and_overrun_it_brakes(smooth, at) -> None:
    valve = smooth("brake")
    driven = at(valve, {"inlet line.pressure": "1200 psi"})
    assert driven.statuses["spool"].word == "at its stop"
    # 12 gpm through three notches 4 mm x 4.2 mm
    by_hand = driven.parameter("oil.rho0") / 2 * (7.571e-4 / (0.61 * 50.4e-6)) ** 2
    assert driven.pressures["motor line"] == pytest.approx(by_hand, rel=0.02)
    overrun = at(valve, {"inlet line.pressure": "0 psi"})
    assert overrun.statuses["spool"].word == "open"
    assert overrun.pressures["motor line"] > 1600 * PSI


def test_turning_the_other_way_oil_passes_the_check(machine, at) -> None:
    built = machine("""
        tank: {kind: tank}
        motor line: {kind: tank}
        return: {kind: chamber}
        back: {kind: test pump, inlet: tank, outlet: return, flow: 12 gpm}
        brake: {kind: valve, valve: brake, M: motor line, T: return, X: tank}
        """)
    state = at(built)
    assert state.flow_through("brake.reverse check") == pytest.approx(state.flow_through("back"), rel=1e-3)
