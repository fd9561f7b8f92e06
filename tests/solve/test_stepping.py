"""The judgement of a step: what is accepted, and what comes next."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

import oilway
from oilway.solve.rosenbrock import Step
from oilway.solve.stepping import LEAST, MOST, stepping
from oilway.solve.stepping import judged as judgement
from oilway.solve.tape import Interpreted
from oilway.solve.transient import sizes

TOLERANCE = 1e-4


def judged(error: float, growth: float = MOST) -> tuple[list[float], list[float]]:
    """End and (accepted, time, next step, growth) of a step of 0.1 from 2.0, the error in one of two states."""
    y, end, off = (ca.SX.sym(name, 2) for name in ("y", "end", "off"))
    symbols = [ca.SX.sym(name) for name in ("at", "h", "growth", "tolerance")]
    one = Step(end, off, (end, end, end))
    function = ca.Function("f", [y, end, off, *symbols], judgement(one, y, *symbols)[:2])
    found = function([0.0, 1.0], [3.0, 1.0], [error, 0.0], 2.0, 0.1, growth, TOLERANCE)
    return tuple(np.array(f).ravel().tolist() for f in found)


# the error of a state that ends at 3, weighed by 1e-4 (1 + 3), mean square with one that has none
JUST = TOLERANCE * 4 * np.sqrt(2)


def test_a_step_is_accepted_up_to_the_weighed_tolerance() -> None:
    end, (accepted, time, _, growth) = judged(0.999 * JUST)
    assert (end, accepted, time, growth) == ([3.0, 1.0], 1.0, pytest.approx(2.1), MOST)
    end, (accepted, time, shorter, growth) = judged(1.001 * JUST)
    assert (end, accepted, time, growth) == ([0.0, 1.0], 0.0, 2.0, 1.0)
    assert shorter < 0.1


def test_the_next_step_follows_the_error_within_limits() -> None:
    assert judged(JUST / 32)[1][2] == pytest.approx(0.8 * 2 * 0.1)  # the fifth root of 32
    assert judged(0.0)[1][2] == pytest.approx(MOST * 0.1)
    assert judged(0.0, growth=1.0)[1][2] == pytest.approx(0.1)  # after a refusal
    assert judged(1e9)[1][2] == pytest.approx(LEAST * 0.1)


def test_what_is_no_number_is_refused_and_leaves_no_trace() -> None:
    end, (accepted, time, shorter, _) = judged(float("nan"))
    assert (end, accepted, time) == ([0.0, 1.0], 0.0, 2.0)
    assert shorter == pytest.approx(LEAST * 0.1)


def test_between_gives_si_at_both_ends() -> None:
    system = oilway.load("pilot relief").system
    lists = stepping(system, ())
    size = sizes(system)[:, None]
    draw = np.random.default_rng(3)
    first, last, *bends = (draw.normal(size=(lists.size, 1)) for _ in range(5))
    between = Interpreted(lists.between)
    for share, state in ((0.0, first), (1.0, last)):
        np.testing.assert_allclose(between(np.array([[share]]), first, last, *bends)[0], state * size, rtol=1e-12)
