"""Doubt: class, rectangular, combined, expanded."""

from __future__ import annotations

import math

import numpy as np
import pytest

from oilway.laws.uncertainty import combined, expanded, mean_scatter, rectangular, span_limit, zoned_limit


def test_a_class_of_the_span_is_the_same_everywhere() -> None:
    assert span_limit(0.016, 5000.0) == pytest.approx(80.0)


def test_grades_by_zone_change_at_a_quarter_and_three_quarters() -> None:
    limits = [zoned_limit(0.01, 0.02, 0.0, 100.0, p) for p in (24.9, 25.0, 75.0, 75.1)]
    assert limits == pytest.approx([2.0, 1.0, 1.0, 2.0])


def test_a_rectangular_error_has_the_deviation_of_a_drawn_one() -> None:
    drawn = np.random.default_rng(3).uniform(-6.0, 6.0, 200_000)
    assert float(rectangular(6.0)) == pytest.approx(drawn.std(), rel=0.01)


def test_scatter_of_a_mean_falls_with_the_root_of_the_number() -> None:
    assert mean_scatter([0.0, 2.0] * 50) == pytest.approx(1.0 / math.sqrt(99))
    assert combined([3.0, 4.0]) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("limits", "scatters"),
    [([80.0], []), ([80.0, 80.0], []), ([80.0, 20.0], [5.0]), ([1.0, 1.0, 1.0, 1.0], []), ([3.0], [10.0])],
)
def test_the_expanded_uncertainty_covers_what_it_says(limits: list[float], scatters: list[float]) -> None:
    """Drawn errors stay inside U about 95 times of 100 or more, and U is not a wild exaggeration."""
    rng = np.random.default_rng(5)
    total = sum(rng.uniform(-a, a, 100_000) for a in limits) + sum(rng.normal(0, s, 100_000) for s in scatters)
    inside = float(np.mean(np.abs(total) <= expanded(limits, scatters)))
    assert inside >= 0.935
    k_two = 2 * combined([*(float(rectangular(a)) for a in limits), *scatters])
    assert expanded(limits, scatters) <= k_two


def test_one_gauge_alone_counts_with_its_class() -> None:
    assert expanded([80.0], []) == 80.0
    assert expanded([], []) == 0.0
