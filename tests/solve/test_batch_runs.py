"""Many runs side by side against the integrator for single runs, which shares only the rates with them."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.errors import NoSolution
from oilway.solve import batch_runs
from oilway.solve.batch_runs import transients
from oilway.solve.point import solve_point
from oilway.solve.transient import Knot, resting_states, sizes, transient

SETS, END = 6, 0.03


@pytest.fixture(scope="module")
def raised():
    """The two-stage relief with its flow raised, in a ramp and at once, and other springs in every set."""
    machine = oilway.load("pilot relief")
    before, after = (machine.point_from({"pump flow": flow}) for flow in ("9 gpm", "18 gpm"))
    states = np.tile(resting_states(solve_point(machine, before)), (SETS, 1))
    low, high = (np.tile(machine.theta(p), (SETS, 1)) for p in (before, after))
    stiffer = np.random.default_rng(2).uniform(0.9, 1.1, SETS)
    for th in (low, high):
        th[:, machine.system.parameters["main spring.rate"]] *= stiffer
    return (
        machine.system,
        states,
        [Knot(0.0, low), Knot(0.01, high), Knot(0.02, high), Knot(0.02, low), Knot(END, low)],
    )


def test_runs_agree_with_single_ones(raised) -> None:
    system, states, knots = raised
    found = transients(system, states, knots, 1e-3)
    assert not found.failures
    assert found.times == pytest.approx(np.linspace(0, END, 31))
    inlet = system.index["pressure in inlet"]
    for k in range(SETS):
        one = transient(system, states[k], [Knot(q.time, q.th[k]) for q in knots], 1e-3, relative=1e-9)
        at = [int(np.argmin(np.abs(one.times - t))) for t in found.times]
        off = np.abs(found.states[k] - one.states[at])[:, inlet]
        assert off.max() < 2e3, k  # Pa, of some 160 bar: both at their tolerances
        assert np.ptp(one.states[:, inlet]) > 1e5


def test_the_error_falls_with_the_tolerance(raised) -> None:
    system, states, knots = raised
    pytest.importorskip("llvmlite")
    truth = transients(system, states, knots, 1e-3, relative=1e-9).states
    coarse, fine = (
        np.abs(transients(system, states, knots, 1e-3, relative=r).states - truth) for r in (1e-4, 1e-7)
    )
    inlet = system.index["pressure in inlet"]
    assert fine[:, :, inlet].max() < 0.02 * coarse[:, :, inlet].max()


@pytest.mark.parametrize("relative", [1e-5, 1e-6, 1e-7])
def test_a_tolerance_promises_no_less_than_it_does_for_single_runs(raised, relative: float) -> None:
    system, states, knots = raised
    found = transients(system, states, knots, 1e-3, relative=relative)
    assert not found.alone or not batch_runs.compiled.AVAILABLE
    mine, theirs = [], []
    for k in range(SETS):
        own = [Knot(q.time, q.th[k]) for q in knots]
        truth, one = (transient(system, states[k], own, 1e-3, relative=r) for r in (1e-11, relative))
        at = [int(np.argmin(np.abs(truth.times - t))) for t in found.times]
        mine.append((found.states[k] - truth.states[at]) / sizes(system))
        theirs.append((one.states[at] - truth.states[at]) / sizes(system))
    mine, theirs = np.array(mine), np.array(theirs)
    assert np.sqrt(np.mean(mine**2)) <= np.sqrt(np.mean(theirs**2))
    assert np.abs(mine).max() <= 2 * np.abs(theirs).max()  # a single moment of a single set


@pytest.fixture
def interpreted(monkeypatch: pytest.MonkeyPatch):
    """As it is where llvmlite is not installed."""
    batch_runs._tapes.cache_clear()
    monkeypatch.setattr(batch_runs.compiled, "AVAILABLE", False)
    yield monkeypatch
    batch_runs._tapes.cache_clear()


def test_without_a_compiler_runs_are_the_same(raised, interpreted) -> None:
    system, states, knots = raised
    few = transients(system, states, knots, 1e-3)
    assert few.alone == SETS  # too few of them to pay
    interpreted.setattr(batch_runs, "LEAST_TOGETHER", 2)
    together = transients(system, states, knots, 1e-3)
    assert not together.alone
    assert not together.failures
    inlet = system.index["pressure in inlet"]
    assert np.abs(together.states - few.states)[:, :, inlet].max() < 5e3  # Pa: both at their tolerances


def test_a_set_that_does_not_get_through_is_named(raised, monkeypatch: pytest.MonkeyPatch) -> None:
    system, states, knots = raised

    def gives_up(system, states, *rest, **more):
        if np.isnan(states).any():
            raise NoSolution("the run stalled after 0 s")
        return transient(system, states, *rest, **more)

    monkeypatch.setattr(batch_runs, "transient", gives_up)
    hopeless = states.copy()
    hopeless[2] = np.nan
    found = transients(system, hopeless[:4], [Knot(q.time, q.th[:4]) for q in knots], 1e-3)
    assert [f.index for f in found.failures] == [2]
    assert "stalled" in str(found.failures[0])
    assert np.isnan(found.states[2, 1:]).all()
    assert np.isfinite(np.delete(found.states, 2, axis=0)).all()
