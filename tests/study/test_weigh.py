"""Weighing: the Gaussian against scipy's, either way round; a wrong gauge; what is learnt of tolerances."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import chi2, multivariate_normal

from oilway.study.hypotheses import Said
from oilway.study.weigh import WRONG, distances, learnt, rarity, weigh

RNG = np.random.default_rng(11)


def said_of(mean: np.ndarray, slope: np.ndarray) -> Said:
    every = np.ones(len(mean), dtype=bool)
    return Said(mean, slope, np.zeros_like(mean), every, every)


@pytest.mark.parametrize(("n", "k"), [(3, 6), (6, 3)])
def test_it_is_the_bell_curve_of_any_text_book(n: int, k: int) -> None:
    mean, slope = RNG.normal(size=(1, n)), RNG.normal(size=(1, n, k))
    spread, values = RNG.uniform(0.5, 2, (1, n)), RNG.normal(size=n)
    covariance = slope[0] @ slope[0].T + np.diag(spread[0] ** 2)
    found = weigh(said_of(mean, slope), spread, values, np.zeros(n, dtype=int), np.full(n, 1e-9), ["stop-watch"])
    assert found.log[0] == pytest.approx(multivariate_normal(mean[0], covariance).logpdf(values))
    left = values - mean[0]
    assert distances(slope, spread, left[None])[0] == pytest.approx(left @ np.linalg.solve(covariance, left))


def test_one_gauge_against_two_is_the_wrong_one() -> None:
    mean, slope = np.zeros((1, 3)), np.ones((1, 3, 1))
    values = np.array([0.1, -0.1, 40.0])
    found = weigh(said_of(mean, slope), np.ones((1, 3)), values, np.arange(3), np.full(3, 50.0), ["a", "b", "c"])
    assert found.best[0] == 3
    assert found.wrong[0, 2] > 0.99
    agreed = weigh(
        said_of(mean, slope), np.ones((1, 3)), np.zeros(3), np.arange(3), np.full(3, 50.0), ["a", "b", "c"]
    )
    assert agreed.wrong[0].max() < WRONG


def test_a_stop_watch_is_never_blamed() -> None:
    found = weigh(
        said_of(np.zeros((1, 2)), np.ones((1, 2, 1))), np.ones((1, 2)), np.array([0.0, 40.0]),
        np.arange(2), np.full(2, 50.0), ["a", "stop-watch"],
    )  # fmt: skip
    assert found.wrong[0, 1] == 0.0


@pytest.mark.parametrize("count", [1, 4, 20])
def test_rarity_is_the_tail_of_chi_square(count: int) -> None:
    for x in (0.5 * count, count, 2 * count, 3 * count):
        assert rarity(x, count) == pytest.approx(chi2.sf(x, count), abs=0.02)


def test_a_reading_narrows_what_it_depends_on() -> None:
    mean, covariance = learnt(np.array([[1.0, 0.0]]), np.array([1e-3]), np.array([0.7]))
    assert mean == pytest.approx([0.7, 0.0], abs=1e-5)
    assert covariance[0, 0] < 1e-5
    assert covariance[1, 1] == pytest.approx(1.0)
