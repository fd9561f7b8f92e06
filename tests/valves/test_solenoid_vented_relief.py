"""Solenoid-vented relief: de-energised it idles the pump, energised it keeps the setting."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.quantity import PSI


def test_energised_it_reads_its_setting(at) -> None:
    state = at(oilway.load("solenoid vented relief"), {"lever": "1"})
    assert state.pressures["pump line"] == pytest.approx(2300 * PSI, abs=PSI)
    # past the shut spool: Q = pi D c^3 dp / (12 mu L) over 1 mm of overlap, 8 mm, 4 um
    lost = state.at_no_pressure(state.flow_through("vent edge"))
    dp, mu = state.pressures["vent line"], state.parameter("oil.mu")
    by_hand = math.pi * 0.008 * (4e-6) ** 3 * dp / (12 * mu * 1e-3)
    assert lost == pytest.approx(by_hand, rel=0.02)


def test_de_energised_the_pump_idles_at_the_main_spring(smooth, at) -> None:
    state = at(smooth("solenoid vented relief"), {"lever": "0"})
    assert state.statuses["relief.pilot poppet"].word == "seated"
    # by hand: 108 N of preload on 452.39 mm2, then rate x lift and what the collar leaves of the jet
    lift = state.statuses["relief.main part"].lift
    jet = -sum(e.value for e in state.forces["relief.main part"] if e.label == "flow force")
    drop = state.pressures["pump line"] - state.pressures["vent line"]
    assert drop == pytest.approx((108 + 6e3 * lift + jet) / 452.39e-6, rel=1e-4)
    assert state.pressures["pump line"] < 45 * PSI


def test_a_drain_under_pressure_adds_to_the_idle(smooth, at) -> None:
    valve = smooth("solenoid vented relief")
    clear = at(valve, {"lever": "0"}).pressures["pump line"]
    # here drain and tank are one line, so both ends of the balance rise: 1:1
    assert at(valve, {"lever": "0", "tank.pressure": "80 psi"}).pressures["pump line"] - clear == pytest.approx(
        80 * PSI, abs=0.5 * PSI
    )
