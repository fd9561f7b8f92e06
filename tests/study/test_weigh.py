"""Weighing: the Gaussian against scipy's, either way round; a wrong gauge; what is learnt of tolerances."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.stats import chi2, multivariate_normal

from oilway.study.hypotheses import Said
from oilway.study.weigh import WRONG, distances, learnt, rarity, weigh

RNG = np.random.default_rng(11)


def taken_of(
    slope: np.ndarray,
    spread: np.ndarray,
    values: np.ndarray,
    owner: np.ndarray,
    wide: float,
    names: list[str],
    mean: np.ndarray | None = None,
) -> Any:
    """Readings of conditions that are given, none of which blames an instrument itself."""
    mean = np.zeros_like(spread) if mean is None else mean
    every = np.ones(len(mean), dtype=bool)
    return SimpleNamespace(
        said=Said(mean, slope, np.zeros_like(mean), every, every), spread=spread, values=values, owner=owner,
        wide=np.full(len(values), wide), instruments=names, barred=np.zeros((len(mean), len(names)), dtype=bool),
        claimed=np.full(len(mean), -1), conditions=SimpleNamespace(free=~every),
    )  # fmt: skip


@pytest.mark.parametrize(("n", "k"), [(3, 6), (6, 3)])
def test_it_is_the_bell_curve_of_any_text_book(n: int, k: int) -> None:
    mean, slope = RNG.normal(size=(1, n)), RNG.normal(size=(1, n, k))
    spread, values = RNG.uniform(0.5, 2, (1, n)), RNG.normal(size=n)
    covariance = slope[0] @ slope[0].T + np.diag(spread[0] ** 2)
    found = weigh(taken_of(slope, spread, values, np.zeros(n, dtype=int), 1e-9, ["stop-watch"], mean))
    assert found.log[0] == pytest.approx(multivariate_normal(mean[0], covariance).logpdf(values))
    left = values - mean[0]
    assert distances(slope, spread, left[None])[0] == pytest.approx(left @ np.linalg.solve(covariance, left))


def test_one_gauge_against_two_is_the_wrong_one() -> None:
    slope, spread, names = np.ones((1, 3, 1)), np.ones((1, 3)), ["a", "b", "c"]
    found = weigh(taken_of(slope, spread, np.array([0.1, -0.1, 40.0]), np.arange(3), 50.0, names))
    assert found.best[0] == 3
    assert found.wrong[0, 2] > 0.99
    agreed = weigh(taken_of(slope, spread, np.zeros(3), np.arange(3), 50.0, names))
    assert agreed.wrong[0].max() < WRONG


def test_a_stop_watch_is_never_blamed() -> None:
    slope, values, names = np.ones((1, 2, 1)), np.array([0.0, 40.0]), ["a", "stop-watch"]
    found = weigh(taken_of(slope, np.ones((1, 2)), values, np.arange(2), 50.0, names))
    assert found.wrong[0, 1] == 0.0


def test_what_is_a_cause_by_itself_is_not_weighed_beside_one_again() -> None:
    slope, values, names = np.ones((1, 3, 1)), np.array([0.1, -0.1, 40.0]), ["a", "b", "c"]
    taken = taken_of(slope, np.ones((1, 3)), values, np.arange(3), 50.0, names)
    free = weigh(taken).log[0]
    taken.barred[0, 2] = True
    barred = weigh(taken)
    assert barred.log[0] < free - 100
    assert barred.wrong[0, 2] == 0.0


@pytest.mark.parametrize("count", [1, 4, 20])
def test_rarity_is_the_tail_of_chi_square(count: int) -> None:
    for x in (0.5 * count, count, 2 * count, 3 * count):
        assert rarity(x, count) == pytest.approx(chi2.sf(x, count), abs=0.02)


def test_a_reading_narrows_what_it_depends_on() -> None:
    mean, covariance = learnt(np.array([[1.0, 0.0]]), np.array([1e-3]), np.array([0.7]))
    assert mean == pytest.approx([0.7, 0.0], abs=1e-5)
    assert covariance[0, 0] < 1e-5
    assert covariance[1, 1] == pytest.approx(1.0)
