"""A problem with a closed solution for either loop over the steps: y' = -k y cos(t), y = exp(-k sin(t))."""

from __future__ import annotations

from typing import Any

import casadi as ca
import numpy as np

from oilway.solve.rosenbrock import between, step
from oilway.solve.stepping import FIRST, Stepping, judged
from oilway.solve.tape import listed, parts

SETS = 21
GROWTH = np.linspace(0.5, 40, SETS)
MOMENTS = np.linspace(0, 2, 41)[1:]


def problem() -> Stepping:
    """The lists of its step."""
    y, time, at, h, growth = (ca.SX.sym(name) for name in ("y", "time", "at", "h", "growth"))
    tolerance, k = ca.SX.sym("tolerance"), ca.SX.sym("k")
    one = step(-k * y * ca.cos(time), y, time, at, h)
    outputs = judged(one, y, at, h, growth, tolerance)
    before, during = parts([k, tolerance, at, h, growth, y], outputs, fixed=(0, 1))
    columns = [ca.SX.sym(name) for name in ("share", "first", "last", "low", "middle", "high")]
    share, first, last, *bends = columns
    return Stepping(
        1,
        np.ones(1),
        before,
        during,
        listed(ca.Function("f", columns, [between(share, first, last, tuple(bends))])),
    )


def kept(lists: Stepping, runner: Any, sets: int = SETS) -> np.ndarray:
    """What follows from the parameters of the sets."""
    return runner(lists.before)(GROWTH[None, :sets], np.full((1, sets), 1e-7))[0]


def check(loop: Any, fixed: np.ndarray, sets: int = SETS) -> None:
    """Run it, and compare with the closed solution."""
    y, h, taken = np.ones((1, sets)), np.full(sets, FIRST), np.zeros(sets, dtype=np.int64)
    room = np.full((sets, len(MOMENTS) + 2, 1), np.nan)
    out = room[:, 1:-1]  # as a stretch in the middle of a run
    loop.through(fixed, y, h, MOMENTS, out, taken)
    exact = np.exp(-GROWTH[:sets, None] * np.sin(MOMENTS))
    np.testing.assert_allclose(out[:, :, 0], exact, atol=1e-5)
    np.testing.assert_allclose(y[0], out[:, -1, 0], rtol=1e-12)
    assert np.isnan(room[:, [0, -1]]).all()
    assert (h > FIRST).all()
    assert (taken > 10).all()
    assert np.ptp(taken) > 10 or sets == 1  # each its own steps


def check_that_one_gives_up(loop: Any, fixed: np.ndarray) -> None:
    """A set without numbers leaves; what it does not reach stays as it is, and the others get through."""
    y, h, taken = np.ones((1, SETS)), np.full(SETS, FIRST), np.zeros(SETS, dtype=np.int64)
    y[0, 4] = np.nan
    out = np.full((SETS, len(MOMENTS), 1), -7.0)
    loop.through(fixed, y, h, MOMENTS, out, taken)
    assert (out[4] == -7.0).all()
    assert (np.delete(out, 4, axis=0) > -1e-5).all()
    assert 0 < taken[4] < 50
