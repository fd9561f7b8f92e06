"""The oil: what a grade, an index or two measured viscosities make of it."""

from __future__ import annotations

import math
from dataclasses import FrozenInstanceError

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.errors import InputError, QuantityError
from oilway.laws import compress
from oilway.laws.viscosity import ISO_VG, viscosity_index_of
from oilway.oil import Oil

CST = 1e-6
WORKING = st.floats(-40.0, 150.0)


def nu(oil: Oil, t: float) -> float:
    """Kinematic viscosity in mm2/s."""
    return oil.at(t).nu / CST


@pytest.mark.parametrize("grade", ISO_VG)
def test_a_grade_says_the_viscosity_at_40_degrees(grade: int) -> None:
    try:
        oil = Oil(grade)
    except QuantityError:
        assert grade <= 5  # too thin for a viscosity index; the next test gives a second viscosity
        return
    assert nu(oil, 40.0) == pytest.approx(ISO_VG[grade])


def test_a_thin_grade_takes_a_second_viscosity() -> None:
    assert nu(Oil(5, viscosities=((1.6 * CST, 100.0),)), 100.0) == pytest.approx(1.6)


def test_a_46_oil_of_index_100_has_6_8_at_100_degrees() -> None:
    """6.8 mm2/s: from memory, what is printed for such oils."""
    assert nu(Oil(46, viscosity_index=100.0), 100.0) == pytest.approx(6.8, abs=0.05)


def test_the_index_given_is_the_index_of_the_oil() -> None:
    """The worked example of ASTM D2270 (from memory) has index 92 from 73.30 and 8.86 mm2/s."""
    oil = Oil(viscosities=((73.30 * CST, 40.0),), viscosity_index=92.43)
    assert nu(oil, 100.0) == pytest.approx(8.86, abs=0.01)
    assert viscosity_index_of(oil.at(40.0).nu, oil.at(100.0).nu) == pytest.approx(92.43, abs=0.01)


def test_measured_viscosities_are_met() -> None:
    oil = Oil(viscosities=((350.0 * CST, 5.0), (9.0 * CST, 90.0)))
    assert (nu(oil, 5.0), nu(oil, 90.0)) == pytest.approx((350.0, 9.0))


def test_one_measured_viscosity_stands_beside_the_grade() -> None:
    oil = Oil(46, viscosities=((8.0 * CST, 100.0),))
    assert (nu(oil, 40.0), nu(oil, 100.0)) == pytest.approx((46.0, 8.0))


def test_a_viscosity_measured_at_40_degrees_replaces_the_one_of_the_grade() -> None:
    assert nu(Oil(46, viscosities=((42.0 * CST, 40.0),)), 40.0) == pytest.approx(42.0)


def test_defaults_in_use_are_named() -> None:
    assert Oil(46).defaults == (
        "viscosity_index",
        "density15",
        "modulus",
        "air",
        "p_ambient",
        "n",
        "air_temperature",
    )
    assert Oil(46, viscosity_index=100.0, density15=870.0, air=0.005).defaults == (
        "modulus",
        "p_ambient",
        "n",
        "air_temperature",
    )
    assert "viscosity_index" not in Oil(46, viscosities=((8.0 * CST, 100.0),)).defaults
    assert "viscosity_index" in Oil(viscosities=((42.0 * CST, 40.0),)).defaults


@given(cold=WORKING, hot=WORKING)
def test_heating_thins_lightens_and_softens(cold: float, hot: float) -> None:
    if hot - cold < 0.01:
        return
    a, b = Oil(46).at(cold), Oil(46).at(hot)
    assert a.mu > b.mu > 0.0
    assert a.rho0 > b.rho0 > 0.0
    assert a.modulus > b.modulus > 0.0


@given(t=WORKING, grade=st.sampled_from([g for g in ISO_VG if g >= 7]), index=st.floats(60.0, 160.0))
def test_an_oil_is_finite_at_every_temperature(t: float, grade: int, index: float) -> None:
    try:
        state = Oil(grade, viscosity_index=index).at(t)
    except QuantityError:
        assert grade == 7  # a poor index would take it below 2 mm2/s at 100 degrees
        return
    assert all(math.isfinite(value) and value > 0 for value in (state.mu, state.rho0, state.modulus))


def test_air_makes_the_mixture_lighter_but_not_the_liquid_thinner() -> None:
    clean, foamy = Oil(46, air=0.0).at(50.0), Oil(46, air=0.1).at(50.0)
    assert foamy.rho0 == pytest.approx(0.9 * clean.rho0)
    assert foamy.mu == clean.mu
    assert foamy.nu == pytest.approx(clean.nu)


def test_the_state_is_what_the_laws_take() -> None:
    """At high pressure the air is gone, and the liquid alone is left: rho_liquid exp(p / modulus)."""
    s, p = Oil(46).at(50.0), 3e7
    rho = float(compress.density(p, s.rho0, s.modulus, s.air, s.p_ambient, s.n))
    assert rho == pytest.approx(s.rho0 / (1 - s.air) * math.exp(p / s.modulus), rel=1e-3)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"grade": 45}, "ISO VG 45 is no grade.*46"),
        ({"grade": -3}, "ISO VG -3 is no grade"),
        ({}, "how thick the oil is"),
        ({"viscosities": ((8 * CST, 100.0),)}, "how thick the oil is"),
        ({"viscosities": ((46 * CST, 40.0), (46 * CST, 100.0))}, "must fall"),
        ({"grade": 46, "viscosities": ((60 * CST, 80.0),)}, "must fall"),
        ({"grade": 46, "viscosities": ((45 * CST, 41.0),)}, "5 °C apart"),
        ({"grade": 46, "viscosities": ((8 * CST, 100.0),), "viscosity_index": 100.0}, "contradicts"),
        ({"grade": 46, "viscosities": ((20 * CST, 60.0), (8 * CST, 100.0))}, "too many"),
        ({"grade": 46, "viscosities": ((46.0, 100.0),)}, "cannot be used"),
        ({"grade": 46, "viscosities": ((math.nan, 100.0),)}, "cannot be used"),
        ({"grade": 3}, "3.2 mm2/s at 40 °C and viscosity index 100.*second viscosity"),
        ({"grade": 46, "viscosity_index": -5.0}, "viscosity index -5"),
        ({"grade": 46, "viscosity_index": math.nan}, "viscosity index nan"),
        ({"grade": 46, "density15": 7.3}, "density.*700"),
        ({"grade": 46, "modulus": 1.5e6}, "modulus"),
        ({"grade": 46, "air": 5.0}, "air.*50 %"),
        ({"grade": 46, "p_ambient": 0.0}, "absolute"),
        ({"grade": 46, "n": 0.9}, "polytropic"),
    ],
)
def test_nonsense_is_refused(given: dict, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        Oil(**given)


@pytest.mark.parametrize("temperature", [-41.0, 151.0, math.nan])
def test_temperatures_beyond_the_line_are_refused(temperature: float) -> None:
    with pytest.raises(InputError, match="-40 to 150"):
        Oil(46).at(temperature)


def test_an_oil_does_not_change() -> None:
    with pytest.raises(FrozenInstanceError):
        Oil(46).air = 0.1
