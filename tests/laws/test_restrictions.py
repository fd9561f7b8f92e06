"""Restrictions against the forms they solve and the limits they join."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.laws import restrictions as r

RHO, MU, CD, RT = 870.0, 0.04, 0.61, 9.33


@given(dp=st.floats(-4e7, 4e7), dh=st.floats(1e-5, 2e-2), mu=st.floats(1e-3, 1.0))
def test_orifice_velocity_satisfies_its_form(dp: float, dh: float, mu: float) -> None:
    u = float(r.orifice_velocity(dh, dp, RHO, mu))
    back = RHO / (2 * CD**2) * (u * abs(u) + mu / RHO * RT / dh * u)
    assert back == pytest.approx(dp, rel=1e-9, abs=1e-9)


def test_orifice_becomes_the_turbulent_law() -> None:
    """At Re = 1000 Rt the viscous term is a thousandth of the drop; the flow lies half of that below."""
    area, dp, dh = 1e-6, 1e7, 1e-3
    turbulent = float(r.turbulent_orifice_flow(area, dp, RHO))
    mu = RHO * turbulent / area * dh / (1000 * RT)
    assert float(r.orifice_flow(area, dh, dp, RHO, mu)) == pytest.approx(turbulent * (1 - 0.0005), rel=1e-6)


def test_orifice_becomes_laminar_at_small_drops() -> None:
    """Cd = delta sqrt(Re) put into Q = Cd A sqrt(2 dp / rho) gives u = 2 delta^2 Dh dp / mu."""
    delta, dh, dp = 0.2, 1e-3, 1e-5
    u = float(r.orifice_velocity(dh, dp, RHO, MU, CD, (CD / delta) ** 2))
    assert u == pytest.approx(2 * delta**2 * dh * dp / MU, rel=1e-6)


@pytest.mark.parametrize("law", [r.orifice_velocity, lambda dh, dp, *oil: r.orifice_flow(1e-6, dh, dp, *oil)])
def test_orifice_flow_is_exactly_zero_without_drop_or_opening(law) -> None:
    assert law(1e-3, 0.0, RHO, MU) == 0.0
    assert law(0.0, 1e7, RHO, MU) == 0.0


def test_orifice_flow_turns_round_with_the_drop() -> None:
    assert r.orifice_velocity(1e-3, -1e6, RHO, MU) == -r.orifice_velocity(1e-3, 1e6, RHO, MU)
    assert r.turbulent_orifice_flow(1e-6, -1e6, RHO) == -r.turbulent_orifice_flow(1e-6, 1e6, RHO)


def test_cold_oil_passes_less() -> None:
    flows = [float(r.orifice_flow(1e-6, 1e-3, 1e6, RHO, mu)) for mu in (0.01, 0.1, 1.0)]
    assert flows == sorted(flows, reverse=True)


def test_gap_goes_with_the_cube_of_clearance_and_inversely_with_viscosity() -> None:
    one = r.annular_gap_flow(0.02, 5e-6, 0.01, 1e7, MU)
    assert r.annular_gap_flow(0.02, 10e-6, 0.01, 1e7, MU) == pytest.approx(8 * one)
    assert r.annular_gap_flow(0.02, 5e-6, 0.01, 1e7, 2 * MU) == pytest.approx(one / 2)


def test_gap_is_the_parallel_plates_unrolled() -> None:
    """Mean velocity between plates, dp c^2 / (12 mu L), times the unrolled section pi D c."""
    mean = 1e7 * 5e-6**2 / (12 * MU * 0.01)
    assert r.annular_gap_flow(0.02, 5e-6, 0.01, 1e7, MU) == pytest.approx(mean * math.pi * 0.02 * 5e-6)


def test_touching_part_leaks_two_and_a_half_times_as_much() -> None:
    centred = r.annular_gap_flow(0.02, 5e-6, 0.01, 1e7, MU)
    assert r.annular_gap_flow(0.02, 5e-6, 0.01, 1e7, MU, 1.0) == pytest.approx(2.5 * centred)


@given(dp=st.floats(-1e7, 1e7))
def test_check_valve_stays_between_shut_and_open(dp: float) -> None:
    opening = float(r.check_opening(dp, 0.3e5, 1e5))
    assert 0.0 <= opening <= 1.0
    assert (opening == 0.0) == (dp <= 0.3e5)


@given(dp=st.floats(-1e7, 3e7), more=st.floats(1e3, 1e6))
def test_a_flow_control_never_gives_less_at_more_drop(dp: float, more: float) -> None:
    less, full = (float(r.regulated_flow(p, 2e-4, 8e5, 3e-9)) for p in (dp, dp + more))
    assert full > less
    assert math.copysign(1.0, less) == math.copysign(1.0, dp) or less == 0.0


def test_a_flow_control_needs_its_least_drop() -> None:
    flows = [float(r.regulated_flow(p, 2e-4, 8e5)) for p in (0.0, 7.9e5, 8e5, 300e5)]
    assert flows[0] == 0.0
    assert flows[1] < 2e-4
    assert flows[2:] == pytest.approx([2e-4, 2e-4], rel=1e-12)
