"""Viscosity: the line through its points, the index and its inverse, the grades."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from oilway.laws import viscosity as v

CST = v.CENTISTOKE


@given(nu=st.floats(3.0, 1000.0), thinner=st.floats(0.05, 0.9), t=st.floats(-20.0, 60.0), apart=st.floats(10, 80))
def test_the_line_goes_through_its_points(nu: float, thinner: float, t: float, apart: float) -> None:
    assume(nu * thinner > 1.0)
    line = v.walther_constants(nu * CST, t, nu * thinner * CST, t + apart)
    assert float(v.viscosity_at(t, *line)) == pytest.approx(nu * CST, rel=1e-9)
    assert float(v.viscosity_at(t + apart, *line)) == pytest.approx(nu * thinner * CST, rel=1e-9)


def test_the_line_is_straight_on_the_chart_of_the_standard() -> None:
    """log10 log10(nu + 0.7) against log10(T): the middle temperature has the middle ordinate."""
    line = v.walther_constants(46 * CST, 40.0, 6.8 * CST, 100.0)
    middle = math.sqrt((40.0 + 273.15) * (100.0 + 273.15)) - 273.15

    def ordinate(t: float) -> float:
        return math.log10(math.log10(float(v.viscosity_at(t, *line)) / CST + 0.7))

    assert ordinate(middle) == pytest.approx((ordinate(40.0) + ordinate(100.0)) / 2, rel=1e-12)


@pytest.mark.parametrize(("nu100", "low", "high"), [(2.00, 7.994, 6.394), (10.0, 147.7, 82.87)])
def test_reference_oils_meet_the_table(nu100: float, low: float, high: float) -> None:
    """Rows of the table of ASTM D2270, from memory."""
    assert [nu / CST for nu in v.reference_oils(nu100 * CST)] == pytest.approx([low, high], rel=2e-4)


def test_the_fits_meet_at_their_seams() -> None:
    for seam in (3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0, 40.0, 55.0, 70.0):
        below, above = v.reference_oils(seam * (1 - 1e-12) * CST), v.reference_oils(seam * (1 + 1e-12) * CST)
        assert below == pytest.approx(above, rel=2e-3), seam


@pytest.mark.parametrize("nu100", [2.0, 5.0, 11.0, 50.0, 90.0])
def test_reference_oils_have_index_0_and_100(nu100: float) -> None:
    low, high = v.reference_oils(nu100 * CST)
    assert v.viscosity_index_of(low, nu100 * CST) == pytest.approx(0.0, abs=1e-9)
    assert v.viscosity_index_of(high, nu100 * CST) == pytest.approx(100.0)
    assert v.viscosity_index_of(high * (1 - 1e-9), nu100 * CST) == pytest.approx(100.0, abs=1e-5)


@given(nu40=st.floats(15.0, 1500.0), index=st.floats(0.0, 250.0))
def test_the_inverse_gives_back_the_index(nu40: float, index: float) -> None:
    try:
        nu100 = v.nu100_from_index(nu40 * CST, index)
    except ValueError:
        assume(False)
    assert 2.0 * CST <= nu100 < nu40 * CST
    # the seams of the table are steps of up to 0.2 % in viscosity, about one unit of index
    assert v.viscosity_index_of(nu40 * CST, nu100) == pytest.approx(index, abs=1.5)


def test_a_higher_index_keeps_the_oil_thicker_when_hot() -> None:
    hot = [v.nu100_from_index(46 * CST, index) for index in (0.0, 50.0, 100.0, 150.0, 200.0)]
    assert hot == sorted(hot)
    assert len(set(hot)) == 5


def test_too_thin_for_an_index() -> None:
    with pytest.raises(ValueError, match="2 mm2/s"):
        v.reference_oils(1.9 * CST)
    with pytest.raises(ValueError, match="3 mm2/s at 40 °C and viscosity index 100"):
        v.nu100_from_index(3.0 * CST, 100.0)


def test_grades_do_not_overlap() -> None:
    limits = [v.iso_vg_limits(grade) for grade in v.ISO_VG]
    assert all(high < low for (_, high), (low, _) in pairwise(limits))


def test_a_number_between_grades_is_none() -> None:
    with pytest.raises(KeyError):
        v.iso_vg_limits(45)
