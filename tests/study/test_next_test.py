"""The next test: worth its minutes, safe, and with what each cause left would show."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.study.find import find
from oilway.study.find_readings import Reading, read_readings
from oilway.study.hypotheses import Hypotheses
from oilway.study.next_test import COUNTS, _Predicted, _predicted, proposals
from oilway.study.taken import columns

STALL = "lever valve +1, stalled"


def told(hoist: Any, text: str) -> tuple[Any, Any]:
    bench, dictionary = hoist
    return proposals(find(bench, dictionary, read_readings(bench, text)), dictionary)


def test_capping_the_vent_is_proposed_where_only_that_parts_faults_5_and_13(hoist: Any) -> None:
    bench, _ = hoist
    ahead, _ = told(hoist, f"pump gauge=39 psi @ {STALL}; pressure at main relief.back chamber=0 psi @ {STALL}")
    capped = next(p for p in ahead if "vent of main relief capped" in bench.setups[p.setup].name)
    would = {name: mean for name, mean, _ in capped.would}
    assert would["main relief: vent or remote line open or leaking"] > 2000 * 6894.757
    assert would["main relief: main orifice plugged"] < 100 * 6894.757
    # The trace that leaks off inside the valve empties the back chamber under the cap too: none is shut in.
    (spread,) = [spread for name, _, spread in capped.would if name == "main relief: main orifice plugged"]
    assert spread < 60 * 6894.757
    assert capped.bits > 0.3


def test_no_stall_is_proposed_while_the_relief_may_be_stuck_shut(hoist: Any) -> None:
    bench, _ = hoist
    ahead, refused = told(hoist, "pump gauge=1528 psi; load gauge=1505 psi")
    barred = {bench.setups[r.setup].name for r in refused}
    assert STALL in barred
    assert not {bench.setups[p.setup].name for p in ahead} & barred
    assert all(r.why for r in refused)


def test_a_reading_taken_is_not_proposed_again_and_one_a_set_up(hoist: Any) -> None:
    bench, _ = hoist
    ahead, _ = told(hoist, f"pump gauge=300 psi @ {STALL}")
    assert ahead
    names = [(bench.setups[p.setup].name, bench.panel.offers[p.offer].name) for p in ahead]
    assert (STALL, "pump gauge") not in names
    assert len({setup for setup, _ in names}) == len(names)
    worth = [p.bits / p.minutes for p in ahead]
    assert worth == sorted(worth, reverse=True)


def test_what_is_expected_of_a_reading_is_the_joint_distribution_given_those_taken(hoist: Any) -> None:
    """By the other way about: all readings as one Gaussian, and the block of those taken conditioned on."""
    bench, dictionary = hoist
    found = find(bench, dictionary, read_readings(bench, f"pump gauge=1500 psi @ {STALL}; load gauge=1400 psi; "
                                                         "speed of hoist cylinder=0.9 in/s"))  # fmt: skip
    at = {setup.name: u for u, setup in enumerate(bench.setups)}
    pairs = [(at[s], r) for s in (STALL, "neutral", "lever valve -1") for r in range(4)]
    pairs = [pair for pair in pairs if pair not in {(r.setup, r.offer) for r in found.readings}]
    after, conditions = _predicted(found, dictionary, pairs), Hypotheses(bench, dictionary)
    rows = np.flatnonzero(found.weights > COUNTS)
    whole = found.readings + [Reading(r, u, 0.0, 0.0) for u, r in pairs]
    said, setups = conditions.said(*columns(whole)[:2]), columns(found.readings)
    known, n, tried = ["pump gauge", "load gauge", "stop-watch"], len(found.readings), 0
    for k, row in enumerate(rows[np.argsort(conditions.fault[rows], kind="stable")]):
        if found.blamed[row]:
            continue
        tried += 1
        taken_ends = [r.ends for r in found.readings]
        mean = said.mean[row]
        offers = [bench.panel.offers[r.offer] for r in whole]
        ends = taken_ends + [o.ends(v) for o, v in zip(offers[n:], mean[n:], strict=True)]
        shared = np.zeros((len(whole), 2 * len(known)))
        for i, (offer, end) in enumerate(zip(offers, ends, strict=True)):
            if offer.instrument in known:
                j = 2 * known.index(offer.instrument)
                shared[i, j : j + 2] = end
        slope = np.concatenate([said.slope[row], shared], axis=1)
        model = conditions.spread(columns(whole)[1], said)[row]
        both = slope @ slope.T + np.diag(
            np.array([r.own for r in found.readings] + [0.0] * len(pairs)) ** 2 + model**2
        )
        gain = np.linalg.solve(both[:n, :n], both[:n, n:]).T
        expected = mean[n:] + gain @ (setups[2] - mean[:n])
        assert after.mean[k] == pytest.approx(expected, rel=1e-6, abs=1e-9)
        hidden = np.diagonal(both[n:, n:] - gain @ both[:n, n:])
        own = np.array([o.spread(v) * (o.repeats if o.instrument in known else 1.0)
                        for o, v in zip(offers[n:], expected, strict=True)])  # fmt: skip
        assert after.spread[k] == pytest.approx(np.sqrt(hidden + own**2), rel=1e-6)
    assert tried > 2


def test_bits_are_what_a_reading_can_tell_of_the_cause() -> None:
    def told(means: list[float], spreads: list[float], weights: list[float]) -> float:
        column = np.array([means]).T, np.array([spreads]).T
        there = np.ones((len(means), 1), dtype=bool)
        return _Predicted(*column, there, np.array(weights), np.arange(len(means))).bits(0)

    assert told([0.0, 100.0], [1.0, 1.0], [0.5, 0.5]) == pytest.approx(1.0, abs=1e-6)  # one of two, told for sure
    assert told([0.0, 100.0], [1.0, 1.0], [0.9, 0.1]) == pytest.approx(
        0.468996, abs=1e-5
    )  # -.9 log2 .9 - .1 log2 .1
    assert told([3.0, 3.0], [1.0, 1.0], [0.5, 0.5]) == pytest.approx(0.0, abs=1e-9)
    # Two equal causes two standard deviations apart, by a sum over fine steps.
    x = np.linspace(-12, 14, 100001)
    a, b = (np.exp(-0.5 * (x - m) ** 2) / np.sqrt(2 * np.pi) for m in (0.0, 2.0))
    exact = sum(0.5 * (y * np.log2(2 * y / (a + b))).sum() * (x[1] - x[0]) for y in (a, b))
    assert told([0.0, 2.0], [1.0, 1.0], [0.5, 0.5]) == pytest.approx(exact, abs=2e-3)
