"""Conditions between the severities of the dictionary: their means, their directions, and their priors."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.study.dictionary import empty_entry, solve_into
from oilway.study.hypotheses import ALONG, SOUND, Hypotheses


def test_priors_are_even_among_faults_and_sum_to_one(on_stand: Any) -> None:
    conditions = Hypotheses(*on_stand)
    assert conditions.prior.sum() == pytest.approx(1.0)
    shares = [conditions.prior[conditions.fault == f].sum() for f in range(SOUND, len(on_stand[0].faults))]
    assert shares == pytest.approx([shares[0]] * len(shares))


def test_a_gauge_is_wrong_in_no_steady_way_as_often_as_in_a_steady_one(hoist: Any) -> None:
    conditions = Hypotheses(*hoist)
    kinds = {
        hoist[0].faults[f].name: sign for f, sign in zip(conditions.fault, conditions.sign, strict=True) if sign
    }
    assert kinds["pump gauge: shows too little"] == -1
    assert kinds["load gauge: shows too much"] == 1
    of = conditions.fault == conditions.fault[-1]
    assert conditions.prior[of & conditions.free].sum() == pytest.approx(
        conditions.prior[of & ~conditions.free].sum()
    )


def test_between_two_severities_the_solved_state_lies_within_what_is_said(on_stand: Any) -> None:
    bench, _ = on_stand
    conditions = Hypotheses(*on_stand)
    offers = np.arange(len(bench.panel.offers))
    said = conditions.said(np.zeros_like(offers), offers)
    spread = conditions.spread(offers, said)
    for name in ("two-stage relief: pilot seat worn", "two-stage relief: main part stuck open"):
        k = next(k for k, f in enumerate(bench.faults) if f.name == name)
        for row in np.flatnonzero(conditions.fault == k)[1::4]:
            entry = empty_entry(bench)
            solve_into(bench, entry, 0, bench.setups[0], bench.faults[k].changes(conditions.severity[row]), [])
            along = np.abs(said.slope[row, :, -ALONG:]).sum(axis=1)
            assert (np.abs(entry.mean[0] - said.mean[row]) < 3 * np.hypot(spread[row], along) + 1e-9).all()


def test_a_condition_without_a_state_is_known_and_not_possible(hoist: Any) -> None:
    bench, dictionary = hoist
    conditions = Hypotheses(bench, dictionary)
    u = next(u for u, s in enumerate(bench.setups) if s.name == "lever valve +1, stalled")
    said = conditions.said(np.array([u]), np.array([0]))
    stuck = next(k for k, f in enumerate(bench.faults) if f.name == "main relief: main part stuck shut")
    rows = conditions.fault == stuck
    assert said.known[rows].all()
    assert not said.possible[rows].any()
    assert np.isfinite(said.mean).all()


def test_some_of_the_conditions_are_told_as_among_all(hoist: Any) -> None:
    bench, _ = hoist
    conditions = Hypotheses(*hoist)
    setups, offers = (a.ravel() for a in np.indices((len(bench.setups), len(bench.panel.offers))))
    every = conditions.said(setups, offers)
    steady, free = np.flatnonzero(~conditions.free), np.flatnonzero(conditions.free)
    for rows in (np.array([steady[-1], 0, free[0], 7, 100, 7]), free, np.array([5])):
        some = conditions.said(setups, offers, rows)
        for name in ("mean", "slope", "bent", "possible", "known"):
            assert np.array_equal(getattr(some, name), getattr(every, name)[rows]), name
