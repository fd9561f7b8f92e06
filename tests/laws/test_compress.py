"""Compressibility: density, slope and work belong to one law, and it stays sane where no oil can be."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from oilway.laws import compress

RHO0, MODULUS, AIR, AMBIENT, N = 870.0, 1.5e9, 0.005, 101325.0, 1.4
OIL = (RHO0, MODULUS, AIR, AMBIENT, N)
BOTTOM = compress.FLOOR - AMBIENT  # gauge pressure at the floor of the gas law
PRESSURES = [-5e5, BOTTOM - 1.0, BOTTOM + 1.0, -9e4, -1e4, 1e5, 3e6, 3e7]

pressures = st.floats(-1e6, 5e7)


@given(p=pressures, air=st.floats(0.0, 0.3))
def test_mass_is_kept(p: float, air: float) -> None:
    ratio = float(compress.mixture_volume_ratio(p, MODULUS, air, AMBIENT, N))
    assert ratio * float(compress.density(p, RHO0, MODULUS, air, AMBIENT, N)) == pytest.approx(RHO0)


def test_nothing_is_compressed_at_ambient_pressure() -> None:
    assert float(compress.mixture_volume_ratio(0.0, MODULUS, AIR, AMBIENT, N)) == pytest.approx(1.0)
    assert float(compress.flow_work(0.0, *OIL)) == 0.0


@given(p=pressures, step=st.floats(1.0, 1e6))
def test_density_rises_with_pressure(p: float, step: float) -> None:
    assert compress.density(p + step, *OIL) > compress.density(p, *OIL) > 0.0


@pytest.mark.parametrize("p", PRESSURES)
def test_slope_is_that_of_the_density(p: float) -> None:
    h = 1e-3 * max(abs(p + AMBIENT), 1e2)
    if abs(p - BOTTOM) < 2:
        h = 0.1  # stay on one side of the floor
    slope = (compress.density(p + h, *OIL) - compress.density(p - h, *OIL)) / (2 * h)
    assert float(compress.density_slope(p, *OIL)) == pytest.approx(float(slope), rel=1e-3)


@pytest.mark.parametrize("p", PRESSURES)
@pytest.mark.parametrize("n", [1.0, 1.2, 1.4])
def test_work_is_the_integral_of_volume_over_pressure(p: float, n: float) -> None:
    oil = (RHO0, MODULUS, AIR, AMBIENT, n)
    corners = [BOTTOM] if p < BOTTOM else None
    work, _ = quad(lambda x: 1 / float(compress.density(x, *oil)), 0.0, p, points=corners, limit=500, epsabs=1e-9)
    assert float(compress.flow_work(p, *oil)) == pytest.approx(work, rel=1e-6)


@pytest.mark.parametrize("p", [1e5, 1e6, 2e7])
def test_tangent_modulus_is_the_effective_bulk_modulus(p: float) -> None:
    """The formula of the book takes the liquid's share as 1; with 0.5 % of air that is its whole error."""
    gas = AIR * (AMBIENT / (p + AMBIENT)) ** (1 / N)
    share = gas / float(compress.mixture_volume_ratio(p, MODULUS, AIR, AMBIENT, N))
    tangent = float(compress.density(p, *OIL) / compress.density_slope(p, *OIL))
    book = float(compress.effective_bulk_modulus(MODULUS, share, p + AMBIENT, N))
    assert tangent == pytest.approx(book, rel=AIR)


def test_air_softens_at_low_pressure_and_hardly_at_high() -> None:
    soft, hard = (float(compress.density(p, *OIL) / compress.density_slope(p, *OIL)) / MODULUS for p in (1e5, 3e7))
    assert soft < 0.1
    assert hard > 0.95


def test_without_air_the_surroundings_do_not_matter() -> None:
    sea, mountain = (compress.density(1e7, RHO0, MODULUS, 0.0, ambient, N) for ambient in (101325.0, 70e3))
    assert sea == mountain


def test_the_softer_part_rules_a_series() -> None:
    assert compress.series_bulk_modulus(1.5e9, 1.5e9) == pytest.approx(0.75e9)
    assert compress.series_bulk_modulus(1.5e9, 1.0) == pytest.approx(1.0)


def test_water_hammer_is_the_kinetic_energy_of_the_column() -> None:
    """rho v^2 / 2 per volume becomes dp^2 / (2 B)."""
    c = float(compress.sound_speed(MODULUS, RHO0))
    rise = compress.joukowsky_rise(RHO0, c, 5.0)
    assert rise**2 / (2 * MODULUS) == pytest.approx(RHO0 * 5.0**2 / 2)


def test_closed_volume_rises_by_the_modulus_for_its_own_volume() -> None:
    assert compress.pressure_rise_rate(MODULUS, 1e-3, 1e-3) == pytest.approx(MODULUS)


def test_hydraulic_spring_is_two_oil_columns() -> None:
    """Each half of Vt has the stiffness B A^2 / (Vt / 2), and both push on the mass."""
    area, volume, mass = 2e-3, 1e-3, 500.0
    stiffness = 2 * MODULUS * area**2 / (volume / 2)
    expected = math.sqrt(stiffness / mass)
    assert float(compress.hydraulic_natural_frequency(MODULUS, area, volume, mass)) == pytest.approx(expected)
