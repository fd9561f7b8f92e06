"""Cleanliness codes."""

from __future__ import annotations

import pytest

from oilway.laws.cleanliness import SIZES, particles_per_ml


def test_each_step_about_doubles_and_begins_where_the_one_below_ends() -> None:
    for number in range(1, 29):
        low, high = particles_per_ml(number)
        assert low == particles_per_ml(number - 1)[1]
        assert 1.9 <= high / low <= 2.1
    assert len(SIZES) == 3


@pytest.mark.parametrize("number", [-1, 29])
def test_a_number_beyond_the_scale_is_refused(number: int) -> None:
    with pytest.raises(ValueError, match="scale number"):
        particles_per_ml(number)
