"""Density against temperature."""

from __future__ import annotations

import pytest

from oilway.laws.density import density_at_temperature


def test_at_15_degrees_it_is_what_was_given() -> None:
    assert float(density_at_temperature(870.0, 15.0)) == 870.0


def test_it_falls_by_the_usual_expansion_of_oil() -> None:
    """Common practice: 0.0007 per kelvin; over 35 K the two differ by a thousandth."""
    assert float(density_at_temperature(870.0, 50.0)) == pytest.approx(870.0 * (1 - 7e-4 * 35), rel=2e-3)


def test_cold_oil_is_heavier() -> None:
    densities = [float(density_at_temperature(870.0, t)) for t in (-40.0, 0.0, 40.0, 100.0, 150.0)]
    assert densities == sorted(densities, reverse=True)
