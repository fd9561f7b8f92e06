"""Power: what goes in comes out, as flow, torque, slip or heat."""

from __future__ import annotations

import math

import pytest

from oilway.laws import power


def test_shaft_power_is_hydraulic_power() -> None:
    displacement, speed, dp = 40e-6, 30.0, 2e7
    shaft = power.pump_torque(displacement, dp) * 2 * math.pi * speed
    assert shaft == pytest.approx(power.hydraulic_power(dp, power.pump_flow(displacement, speed)))


def test_throttled_power_warms_the_stream() -> None:
    dp, q, rho, c = 2e7, 1e-3, 870.0, 1970.0
    heated = rho * q * c * power.throttling_temperature_rise(dp, rho, c)
    assert heated == pytest.approx(power.hydraulic_power(dp, q))


def test_hot_oil_slips_more() -> None:
    g = power.laminar_slip_conductance(0.92, 40e-6, 30.0, 2e7, 0.03)
    rated = g * 2e7 / 0.03
    assert rated == pytest.approx(0.08 * 40e-6 * 30.0)
    assert g * 2e7 / 0.01 == pytest.approx(3 * rated)


def test_a_tight_pump_does_not_slip() -> None:
    assert power.laminar_slip_conductance(1.0, 40e-6, 30.0, 2e7, 0.03) == 0.0
