"""One step of a run, its judgement and what comes out within it, as lists of operations for many sets at once.

The rates are those of :attr:`oilway.model.system.System.motion`, with the sizes of :mod:`oilway.solve.transient`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import casadi as ca
import numpy as np
from numpy.typing import NDArray

from oilway.model.system import System, Vector
from oilway.solve.rosenbrock import ORDER, Step, between, step
from oilway.solve.tape import Listing, listed, parts
from oilway.solve.transient import sizes

Counts = NDArray[np.int64]
FIRST = 1e-6  # s: the first step after a knot
# Of the choice of the next step.  With 0.9 three steps of ten are refused; it takes as many in all.
SAFE, LEAST, MOST = 0.8, 0.2, 5.0
CLOSE = 1.01  # a step that comes so close to the next knot ends on it
SHORTEST = 1e-13  # s: a set whose steps get shorter gives up
MOST_STEPS = 20_000  # in one stretch between two knots; so does a set that takes more


@dataclass(frozen=True)
class Stepping:
    """The lists of one step of ``size`` states, each in its own ``scale`` (k,), SI.

    ``before``: (parameters, slopes of those that change, local tolerance) to what is kept.  ``step``: (kept, at,
    h, growth, y) to where it ends, (accepted, time then, next h, most that the one after may grow), three bends.
    ``between``: (share, y, end, bends) to the states in SI at that share of the step.
    """

    size: int
    scale: Vector
    before: Listing
    step: Listing
    between: Listing


def stepping(system: System, changed: tuple[int, ...]) -> Stepping:
    """The lists of a System of which the parameters ``changed`` go in straight lines."""
    motion, scale = system.motion, ca.DM(sizes(system))
    size = len(motion.names)
    y, time, h, growth = ca.SX.sym("y", size), ca.SX.sym("time"), ca.SX.sym("h"), ca.SX.sym("growth")
    at, tolerance, slopes = ca.SX.sym("at"), ca.SX.sym("tolerance"), ca.SX.sym("slopes", len(changed))
    th = ca.SX(motion.th)
    for j, k in enumerate(changed):
        th[k] = motion.th[k] + time * slopes[j]
    rates = ca.substitute(motion.rates / scale, ca.vertcat(motion.states, motion.th), ca.vertcat(y * scale, th))
    outputs = judged(step(rates, y, time, at, h), y, at, h, growth, tolerance)
    before, during = parts([motion.th, slopes, tolerance, at, h, growth, y], outputs, fixed=(0, 1, 2))
    return Stepping(size, sizes(system), before, during, _between(scale))


def judged(one: Step, y: Any, at: Any, h: Any, growth: Any, tolerance: Any) -> list[Any]:
    """The outputs of :attr:`Stepping.step`: the step is accepted where its error is within the tolerance.

    The error is the root of the mean square over the states, each weighed by ``tolerance`` (1 + its size).
    """
    weight = tolerance * (1 + ca.fmax(ca.fabs(y), ca.fabs(one.end)))
    error = ca.sqrt(ca.sumsqr(one.error / weight) / y.shape[0])
    factor = SAFE * ca.fmax(error, 1e-10) ** (-1 / ORDER)
    accepted = error <= 1  # never where it is no number
    clock = ca.vertcat(
        accepted,
        ca.if_else(accepted, at + h, at),
        h * ca.if_else(accepted, ca.fmin(factor, growth), ca.if_else(error > 1, ca.fmax(factor, LEAST), LEAST)),
        ca.if_else(accepted, MOST, 1.0),  # what has just been refused is not tried again at once
    )
    # Not by a product: the end of a refused step may be no number.
    ends = zip(ca.vertsplit(one.end), ca.vertsplit(y), strict=True)
    end = ca.vertcat(*(ca.if_else(accepted, a, b) for a, b in ends))
    return [end, clock, *one.bends]


def _between(scale: ca.DM) -> Listing:
    share = ca.SX.sym("share")
    columns = [ca.SX.sym(name, scale.shape[0]) for name in ("first", "last", "low", "middle", "high")]
    first, last, low, middle, high = columns
    shown = between(share, first, last, (low, middle, high)) * scale
    return listed(ca.Function("between", [share, *columns], [shown]))
