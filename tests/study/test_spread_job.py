"""Blocks of a spread: a set is known by its number, wherever it is solved."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

import oilway
from oilway.study.allowed import tolerances
from oilway.study.spread import spread
from oilway.study.spread_job import drawn, in_blocks


@pytest.fixture(scope="module")
def job():
    """The job of a small spread of the direct-acting relief."""
    return spread(oilway.load("direct relief"), number=2, anew=True).job


def test_the_same_seed_draws_the_same_sets_within_their_tolerances() -> None:
    machine = oilway.load("pilot relief")
    tols, th = tolerances(machine), machine.theta()
    sets = drawn(machine.system, th, tols, (0, 50), 7)
    assert (sets == drawn(machine.system, th, tols, (0, 50), 7)).all()
    assert (sets != drawn(machine.system, th, tols, (0, 50), 8)).any()
    for tol in tols:
        off = np.abs(sets[:, machine.system.parameters[tol.parameter]] - tol.value)
        assert np.ptp(off) > 0
        assert (off <= tol.reach * (1 + 1e-12)).all()


def test_a_set_is_drawn_by_its_number() -> None:
    machine = oilway.load("pilot relief")
    tols, th = tolerances(machine), machine.theta()
    sets = drawn(machine.system, th, tols, (0, 50), 7)
    assert (sets[20:30] == drawn(machine.system, th, tols, (20, 30), 7)).all()


def test_a_block_has_the_same_bits_alone_and_in_another_process_made_from_text(job) -> None:
    whole, part = job.solve(0, 60), pickle.loads(pickle.dumps(job)).solve(20, 45)
    assert (whole.values[20:45] == part.values).all()
    assert (whole.lines[20:45] == part.lines).all()
    assert part.first == 20


def test_blocks_hold_every_set_once() -> None:
    assert [k for block in in_blocks(1234) for k in block] == list(range(1234))


def test_of_what_fails_the_number_of_the_set_is_kept(job) -> None:
    import oilway.study.spread_job as module

    assert module.OUT_OF_REACH
    soft = spread(oilway.load("pilot relief"), {"pilot spring.rate": "60 %"}, number=2, anew=True).job
    block = soft.solve(30, 60)
    assert block.failures
    for k in range(30, 60):
        assert (k in block.failures) == np.isnan(block.values[k - 30]).any()
