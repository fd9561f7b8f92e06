"""Areas against numerical integration of the same shapes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from oilway.laws import areas

D = 10e-3
ANGLES = [math.radians(a) for a in (15, 30, 45, 60, 90)]
SHUT = [-1.0, -1e-3, -1e-300, 0.0]


@pytest.mark.parametrize("opening", SHUT)
def test_every_opening_is_exactly_zero_while_shut(opening: float) -> None:
    assert areas.poppet_area(D, opening, ANGLES[2]) == 0.0
    assert areas.poppet_hydraulic_diameter(D, opening, ANGLES[2]) == 0.0
    assert areas.spool_annulus_area(D, opening) == 0.0
    assert areas.spool_annulus_hydraulic_diameter(opening) == 0.0
    assert areas.spool_holes_area(D, 4, opening) == 0.0
    assert areas.spool_holes_hydraulic_diameter(D, opening) == 0.0
    assert areas.spool_notch_area(D, 4, opening) == 0.0
    assert areas.spool_notch_hydraulic_diameter(D, opening) == 0.0


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("lift", [1e-5, 1e-4, 1e-3])
def test_poppet_area_is_the_surface_swept_by_the_shortest_line(angle: float, lift: float) -> None:
    """From the seat's edge square to the cone, turned once about the axis: integral of 2 pi r ds."""
    gap = lift * math.sin(angle)
    swept, _ = quad(lambda s: 2 * math.pi * (D / 2 - s * math.cos(angle)), 0.0, gap)
    assert float(areas.poppet_area(D, lift, angle)) == pytest.approx(swept, rel=1e-9)


@pytest.mark.parametrize("angle", ANGLES)
def test_poppet_area_grows_to_the_bore_and_stays(angle: float) -> None:
    opened = np.array([float(areas.poppet_area(D, lift, angle)) for lift in np.linspace(0.0, 5 * D, 2001)])
    bore = float(areas.circle_area(D))
    assert (np.diff(opened) >= -1e-20).all()
    assert opened.max() <= bore * (1 + 1e-12)
    assert opened[-1] == pytest.approx(bore, rel=1e-12)


def test_flat_disc_opens_a_cylinder() -> None:
    assert float(areas.poppet_area(D, 1e-3, math.pi / 2)) == pytest.approx(math.pi * D * 1e-3)


@pytest.mark.parametrize("angle", ANGLES)
def test_poppet_hydraulic_diameter_is_four_areas_by_the_two_rims(angle: float) -> None:
    lift = 5e-4
    rims = math.pi * D + math.pi * (D - 2 * lift * math.sin(angle) * math.cos(angle))
    expected = 4 * float(areas.poppet_area(D, lift, angle)) / rims
    assert float(areas.poppet_hydraulic_diameter(D, lift, angle)) == pytest.approx(expected)


@given(share=st.floats(1e-6, 1.0))
def test_holes_area_is_the_integral_of_the_chord(share: float) -> None:
    d, r = 4e-3, 2e-3
    chord, _ = quad(lambda a: 2 * r**2 * math.sin(a) ** 2, 0.0, math.acos(1 - 2 * share))
    assert float(areas.spool_holes_area(d, 3, share * d)) == pytest.approx(3 * chord, rel=1e-7)


def test_holes_open_by_the_length_of_the_edge() -> None:
    """The slope of the area is the chord, 2 sqrt(x (d - x))."""
    d, x, h = 4e-3, 1e-3, 1e-8
    slope = (areas.spool_holes_area(d, 1, x + h) - areas.spool_holes_area(d, 1, x - h)) / (2 * h)
    assert float(slope) == pytest.approx(2 * math.sqrt(x * (d - x)), rel=1e-6)


def test_whole_holes_are_circles() -> None:
    assert float(areas.spool_holes_area(4e-3, 5, 1.0)) == pytest.approx(5 * math.pi * 2e-3**2, rel=1e-14)
    assert float(areas.spool_holes_hydraulic_diameter(4e-3, 1.0)) == pytest.approx(4e-3, rel=1e-5)


def test_half_a_hole_has_the_hydraulic_diameter_of_half_a_disc() -> None:
    """4 (pi r^2 / 2) / (pi r + 2 r)."""
    r = 2e-3
    expected = 2 * math.pi * r / (math.pi + 2)
    assert float(areas.spool_holes_hydraulic_diameter(2 * r, r)) == pytest.approx(expected)


def test_slits_have_twice_their_width_as_hydraulic_diameter() -> None:
    x = 1e-4
    assert 4 * areas.spool_annulus_area(D, x) / (2 * math.pi * D) == pytest.approx(
        areas.spool_annulus_hydraulic_diameter(x)
    )
    assert areas.spool_notch_hydraulic_diameter(100.0, x) == pytest.approx(2 * x, rel=1e-5)


def test_notches_add_up() -> None:
    assert areas.spool_notch_area(2e-3, 3, 1e-3) == pytest.approx(3 * 2e-3 * 1e-3)


def test_annulus_is_what_the_rod_leaves_of_the_bore() -> None:
    assert areas.annulus_area(0.05, 0.03) == pytest.approx(areas.circle_area(0.05) - areas.circle_area(0.03))
