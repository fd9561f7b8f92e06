"""The sealed machine: the same for the same seed, in whatever order; unsafe requests refused; scored."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.errors import InputError
from oilway.study.sealed import Sealed


def test_a_seed_is_a_machine_and_the_order_of_asking_changes_nothing(hoist: Any) -> None:
    one, other = Sealed(*hoist, 4), Sealed(*hoist, 4)
    assert (one.fault.name, one.severity) == (other.fault.name, other.severity)
    first, second = "pump gauge", "speed of hoist cylinder @ neutral"
    a, b = one.ask(first)[0].value, one.ask(second)[0].value
    assert (other.ask(second)[0].value, other.ask(first)[0].value) == (b, a)
    assert len({(Sealed(*hoist, seed).fault.name) for seed in range(12)}) > 4


def test_readings_cost_minutes_and_a_set_up_only_once(hoist: Any) -> None:
    sealed = Sealed(*hoist, 4)
    first, again = sealed.ask("pump gauge")[1], sealed.ask("load gauge")[1]
    assert first == again + sealed.bench.setups[sealed.asked[0].setup].minutes
    assert sealed.minutes == first + again


def test_the_error_of_a_gauge_is_the_same_in_all_of_its_readings(hoist: Any) -> None:
    # What is left after the shared error is a quarter of the spread; two gauges differ by more than that.
    bench, _ = hoist
    sealed = Sealed(*hoist, 4)
    r = next(k for k, offer in enumerate(bench.panel.offers) if offer.name == "pump gauge")
    shown = np.zeros(len(bench.panel.offers))
    shown[:] = 1.4e7
    off = np.array([sealed._reading(u, r, shown).value - 1.4e7 for u in range(len(bench.setups))])
    spread = bench.panel.offers[r].spread(1.4e7)
    assert off.std() < 0.6 * spread
    assert len(set(off)) == len(off)
    means = [np.mean([Sealed(*hoist, s)._reading(0, r, shown).value - 1.4e7]) for s in range(12)]
    assert np.std(means) > 0.5 * spread


@pytest.mark.parametrize(
    "wish",
    [
        "plug the drain of main relief",
        "crack the fitting at the pump",
        "dead-head the pump",
        "feel for the leak by hand",
    ],
)
def test_what_is_never_done_is_refused_with_the_reason(hoist: Any, wish: str) -> None:
    sealed = Sealed(*hoist, 4)
    with pytest.raises(InputError, match="refused") as told:
        sealed.ask(wish)
    assert "never" in str(told.value)
    assert sealed.minutes == 0.0


def test_a_stall_that_would_pass_a_rating_is_stopped(hoist: Any) -> None:
    sealed = Sealed(*hoist, 0)
    sealed.fault, sealed.severity = next(f for f in sealed.bench.faults if "stuck shut" in f.name), 1.0
    with pytest.raises(InputError, match="stopped at once"):
        sealed.ask("pump gauge @ lever valve +1, stalled")


def test_found_it_scores_and_wrong_guesses_cost(hoist: Any) -> None:
    sealed = Sealed(*hoist, 4)
    sealed.ask("pump gauge")
    wrong = next(f.name for f in sealed.bench.faults if f.name != sealed.fault.name)
    assert sealed.score(False) == 0
    best = sealed.score(True)
    assert not sealed.guess(wrong)
    assert sealed.guess(sealed.fault.name)
    assert sealed.score(True) == max(0, best - 20)
    with pytest.raises(InputError, match="no fault"):
        sealed.guess("gremlins")
