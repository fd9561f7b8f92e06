"""Springs: how rate and force go with what the wire is."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.laws import springs


def test_rate_goes_with_the_wire_to_the_fourth_and_the_coil_to_the_third() -> None:
    rate = springs.spring_rate(79e9, 2e-3, 15e-3, 6)
    assert springs.spring_rate(79e9, 4e-3, 15e-3, 6) == pytest.approx(16 * rate)
    assert springs.spring_rate(79e9, 2e-3, 30e-3, 6) == pytest.approx(rate / 8)
    assert springs.spring_rate(79e9, 2e-3, 15e-3, 12) == pytest.approx(rate / 2)


def test_rate_is_that_of_the_wire_twisted_as_a_torsion_bar() -> None:
    """A straight bar of length L = pi D N under torque F D / 2: x = F D^2 L / (4 G J), J = pi d^4 / 32."""
    g, d, mean, coils = 79e9, 2e-3, 15e-3, 6
    compliance = mean**2 * (math.pi * mean * coils) / (4 * g * math.pi * d**4 / 32)
    assert springs.spring_rate(g, d, mean, coils) == pytest.approx(1 / compliance)


@given(compression=st.floats(-0.1, 0.1))
def test_a_spring_never_pulls(compression: float) -> None:
    assert float(springs.spring_force(2e4, compression)) == max(2e4 * compression, 0.0)


def test_solid_coils_stand_on_each_other() -> None:
    assert springs.solid_length(3e-3, 8) == pytest.approx(24e-3)


def test_four_times_the_mass_swings_half_as_fast() -> None:
    assert springs.natural_frequency(2e4, 0.4) == pytest.approx(springs.natural_frequency(2e4, 0.1) / 2)
