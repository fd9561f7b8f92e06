"""Branches of a sweep, and what they read where."""

from __future__ import annotations

import numpy as np
import pytest

from oilway.study.branches import branches, read_at


def test_three_noisy_sweeps_have_six_ways() -> None:
    way = np.linspace(0, 20, 300)
    swept = np.concatenate([way, way[::-1]] * 3) + np.random.default_rng(4).normal(0, 0.2, 1800)
    found = branches(swept)
    assert [branch.rising for branch in found] == [True, False] * 3
    assert all(290 <= len(branch.rows) <= 312 for branch in found)


@pytest.mark.parametrize("swept", [[], [5.0], [0.0, 0.0], [9.0, 10.0, 9.5]])
def test_what_does_not_sweep_has_no_branches(swept: list[float]) -> None:
    assert branches(np.array(swept)) == []


def test_a_way_down_first_is_a_falling_branch() -> None:
    assert [b.rising for b in branches(np.array([10.0, 6.0, 0.5, 6.0, 10.0]))] == [False, True]


def test_no_row_no_reading() -> None:
    x, y = np.array([2.0, 8.0]), np.array([100.0, 160.0])
    assert read_at(x, y, 1.0) is None
    assert read_at(x, y, 9.0) is None
    point = read_at(x, y, 8.1)  # within 2 % of the last row: read there
    assert point is not None
    assert (point.value, point.slope) == pytest.approx((160.0, 10.0))


def test_many_noisy_rows_are_read_from_a_line_with_an_honest_scatter() -> None:
    """The scatter of the value is found again when the same noise is drawn often, and never understated."""
    rng = np.random.default_rng(6)
    x = np.linspace(0, 20, 1000)
    points = [read_at(x, 50 + 3 * x + rng.normal(0, 4, 1000), 10.0) for _ in range(200)]
    values = [point.value for point in points if point]
    assert np.mean(values) == pytest.approx(80.0, abs=0.2)
    assert np.mean([point.scatter for point in points if point]) >= np.std(values)


def test_two_rows_at_one_place_do_not_stop_it() -> None:
    point = read_at(np.array([0.0, 5.0, 5.0, 10.0]), np.array([0.0, 50.0, 52.0, 100.0]), 5.0)
    assert point is not None
    assert 50.0 <= point.value <= 52.0
    assert np.isfinite(point.slope)
