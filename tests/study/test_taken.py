"""Readings taken: which instrument gave them, what its readings share, and which gauge a cause blames."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.quantity import PSI
from oilway.study.find_readings import read_readings
from oilway.study.hypotheses import Hypotheses
from oilway.study.taken import Taken, common

STALL = "lever valve +1, stalled"


def taken(hoist: Any, text: str) -> Taken:
    bench, dictionary = hoist
    return Taken(Hypotheses(bench, dictionary), read_readings(bench, text))


def test_ends_stand_in_the_columns_of_their_instrument() -> None:
    found = common(np.array([[1.0, 2.0], [3.0, 4.0], [5.0, 6.0]]), np.array([1, -1, 0]), 2)
    assert found.tolist() == [[0, 0, 1, 2], [0, 0, 0, 0], [5, 6, 0, 0]]


def test_readings_of_one_gauge_move_together_and_keep_their_class(hoist: Any) -> None:
    found = taken(hoist, f"pump gauge=2000 psi; pump gauge=2100 psi @ {STALL}; load gauge=2100 psi @ {STALL}")
    together = found.shared @ found.shared.T
    own = np.array([r.own for r in found.readings])
    # Class 1.6 of 4000 psi: 64 psi are two standard deviations, of which a quarter is new each time.
    assert np.sqrt(np.diagonal(together) + own**2) == pytest.approx(32 * PSI, rel=1e-3)
    assert own == pytest.approx(8 * PSI, rel=1e-3)
    assert together[0, 1] > 0.99 * together[0, 0]
    assert together[0, 2] == 0.0


def test_a_gauge_of_the_file_is_a_cause_of_its_own_and_is_not_weighed_twice(hoist: Any) -> None:
    found = taken(hoist, f"pump gauge=2000 psi; pressure at rod line=3 psi @ {STALL}")
    blames = [k for k, name in enumerate(found.conditions.gauge) if name == "pump gauge"]
    assert found.barred[0].tolist() == [True, False]  # sound, and a screwed-in gauge wrong: nothing else says that
    assert found.barred[blames, 0].all()
    assert not found.barred[blames, 1].any()
    other = next(k for k, f in enumerate(found.conditions.fault) if f == 0)
    assert not found.barred[other].any()


def test_the_place_of_a_gauge_read_with_another_shows_what_is_there(hoist: Any) -> None:
    found = taken(hoist, f"pump gauge=2000 psi @ {STALL}; pump gauge=2303 psi by gauge A @ {STALL}")
    assert found.instruments == ["pump gauge", "gauge A"]
    for row in np.flatnonzero([name == "pump gauge" for name in found.conditions.gauge]):
        assert found.said.mean[row, 1] == found.said.mean[0, 1]
