"""The same transient at many parameter sets at once: sets side by side, each with its own steps.

The rates are those of :attr:`oilway.model.system.System.motion`, with the sizes and tolerances of
:mod:`oilway.solve.transient`; a set that does not get through is run alone by that module's integrator, and so is
every set where tapes cannot be compiled: interpreted, a step of many sets costs more than theirs one by one.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import casadi as ca
import numpy as np
from numpy.typing import NDArray

from oilway.errors import NoSolution
from oilway.model.system import System, Vector
from oilway.solve import compiled
from oilway.solve.batch import Failure, over_cores
from oilway.solve.rosenbrock import between, step
from oilway.solve.tape import Tape
from oilway.solve.transient import RELATIVE, Knot, changing, sizes, transient, with_friction

Counts = NDArray[np.int64]
FIRST = 1e-6  # s
# Of the choice of the next step.  With 0.9 a quarter of the steps was refused (docs/numerics.md).
SAFE, LEAST, MOST = 0.8, 0.2, 5.0
SHORTEST = 1e-13  # s: a set whose steps get shorter is run alone
MOST_STEPS = 20_000  # in one stretch between two knots; so is a set that takes more


@dataclass
class Runs:
    """``times`` (t,) and ``states`` (sets, t, k) in SI, nan for a set that failed.

    ``alone`` counts sets run one by one, ``steps`` those of all sets together.
    """

    times: Vector
    states: Vector
    names: list[str]
    failures: list[Failure] = field(default_factory=list)
    alone: int = 0
    steps: int = 0


def transients(
    system: System, states: Vector, knots: Sequence[Knot], output: float, *, relative: float = RELATIVE
) -> Runs:
    """Runs from the first knot to the last of every set: ``states`` (sets, k) to begin from, SI.

    As :func:`oilway.solve.transient.transient`, but the parameters of a :class:`Knot` are (sets, m), and output
    is even over each stretch between knots, at most ``output`` s apart.
    """
    knots = [replace(k, th=with_friction(system, k.th)) for k in knots]
    grid = _grid(knots, output)
    found = Runs(np.concatenate([[knots[0].time], *grid]), np.empty(0), system.motion.names)
    found.states = np.full((len(states), len(found.times), states.shape[1]), np.nan)
    found.states[:, 0] = states
    changed = _sloping(knots)
    taken = np.zeros(len(states), dtype=np.int64)

    def group(part: slice) -> None:
        taken[part] = _through(system, knots, grid, changed, relative, found.states, part)

    if compiled.AVAILABLE:
        _tapes(system, changed)  # once, before the cores begin
        over_cores(group, len(states))
    found.steps = int(taken.sum())
    for k in np.nonzero(~np.isfinite(found.states).all(axis=(1, 2)))[0]:
        found.alone += 1
        _alone(system, knots, output, relative, found, int(k))
    return found


def _sloping(knots: Sequence[Knot]) -> tuple[int, ...]:
    """Which parameters change in a straight line somewhere; those that only step at a knot do not."""
    pairs = [(a.th, b.th) for a, b in itertools.pairwise(knots) if b.time > a.time]
    return tuple(sorted({k for pair in pairs for k in changing(pair)}))


def _grid(knots: Sequence[Knot], output: float) -> list[Vector]:
    """The moments of output of each stretch, its beginning left out."""
    grid = []
    for before, after in itertools.pairwise(knots):
        count = int(np.ceil((after.time - before.time) / output - 1e-9))
        grid.append(np.linspace(before.time, after.time, count + 1)[1:] if count else np.empty(0))
    return grid


def _alone(system: System, knots: Sequence[Knot], output: float, relative: float, found: Runs, k: int) -> None:
    """One set by the integrator for single runs."""
    found.states[k, 1:] = np.nan
    own = [Knot(knot.time, knot.th[k]) for knot in knots]
    try:
        course = transient(system, found.states[k, 0], own, output, relative=relative)
    except NoSolution as error:
        found.failures.append(Failure(k, error))
        return
    at = [int(np.argmin(np.abs(course.times - t))) for t in found.times]
    found.states[k] = course.states[at]


class _Tapes:
    """One step of every set: from (kept, at, h, y) to where it ends, (accepted, then, next h), bend and twist."""

    def __init__(self, system: System, changed: tuple[int, ...]) -> None:
        motion, scale = system.motion, ca.DM(sizes(system))
        y, time, h = ca.SX.sym("y", len(motion.names)), ca.SX.sym("time"), ca.SX.sym("h")
        at, relative, slopes = ca.SX.sym("at"), ca.SX.sym("relative"), ca.SX.sym("slopes", len(changed))
        th = ca.SX(motion.th)
        for j, k in enumerate(changed):
            th[k] = motion.th[k] + time * slopes[j]
        rates = ca.substitute(
            motion.rates / scale, ca.vertcat(motion.states, motion.th), ca.vertcat(y * scale, th)
        )
        one = step(rates, y, time, at, h)
        weight = relative * (1 + ca.fmax(ca.fabs(y), ca.fabs(one.end)))
        size = ca.sqrt(ca.sumsqr(one.error / weight) / y.shape[0])
        factor = SAFE / ca.sqrt(ca.sqrt(ca.fmax(size, 1e-10)))  # the error grows with the fourth power of the step
        accepted = size <= 1  # never where it is no number
        clock = ca.vertcat(
            accepted,
            ca.if_else(accepted, at + h, at),
            h * ca.if_else(accepted, ca.fmin(factor, MOST), ca.if_else(size > 1, ca.fmax(factor, LEAST), LEAST)),
        )
        # Not by a product: the end of a refused step may be no number.
        ends = zip(ca.vertsplit(one.end), ca.vertsplit(y), strict=True)
        end = ca.vertcat(*(ca.if_else(accepted, a, b) for a, b in ends))
        inputs = [motion.th, slopes, relative, at, h, y]
        self.step = Tape(inputs, [end, clock, one.bend, one.twist], fixed=(0, 1, 2))


@lru_cache(maxsize=8)
def _tapes(system: System, changed: tuple[int, ...]) -> _Tapes:
    return _Tapes(system, changed)


def _through(
    system: System, knots: Sequence[Knot], grid: list[Vector], changed: tuple[int, ...], relative: float,
    out: Vector, part: slice,
) -> Counts:  # fmt: skip
    """Run the sets of ``part`` from knot to knot into ``out`` (sets, t, k); the steps each took (sets,)."""
    tapes, scale = _tapes(system, changed), sizes(system)
    y = np.ascontiguousarray((out[part, 0] / scale).T)
    h, taken, done = np.full(y.shape[1], FIRST), np.zeros(y.shape[1], dtype=np.int64), 1
    for (before, after), moments in zip(itertools.pairwise(knots), grid, strict=True):
        if not len(moments):
            h[:] = FIRST
            continue
        length = after.time - before.time
        slopes = (after.th[part][:, changed] - before.th[part][:, changed]).T / length
        stretch = _Stretch(tapes, before.th[part], slopes, relative, moments - before.time)
        y, h = stretch.run(y, h, taken)
        out[part, done : done + len(moments)] = np.moveaxis(stretch.states, 2, 0) * scale
        done += len(moments)
    return taken


class _Stretch:
    """From one knot to the next: sets leave as they get to its end."""

    def __init__(self, tapes: _Tapes, th: Vector, slopes: Vector, relative: float, moments: Vector) -> None:
        columns = np.ascontiguousarray(th.T)
        self.step, self.moments = tapes.step, moments
        self.kept = self.step.prepare(columns, np.ascontiguousarray(slopes), np.full((1, len(th)), relative))
        self.due = np.append(moments, np.inf)
        self.states = np.full((len(moments), 0, len(th)), np.nan)

    def run(self, y: Vector, h: Vector, taken: Counts) -> tuple[Vector, Vector]:
        """States (k, sets) at the end, nan for sets that gave up, and their last steps (s); ``taken`` counts."""
        end, last = float(self.moments[-1]), h.copy()
        self.states = np.full((len(self.moments), *y.shape), np.nan)
        going, at, kept = np.arange(y.shape[1]), np.zeros(y.shape[1]), self.kept
        written = np.zeros(y.shape[1], dtype=np.int64)
        for _ in range(MOST_STEPS):
            # The last step ends on the knot itself, and none is left over that is all but nothing.
            ends = at + 1.01 * h >= end
            h = np.where(ends, end - at, h)
            moved, (accepted, after, proposed), bend, twist = self.step(kept, at[None], h[None], y)
            after[ends & (accepted > 0)] = end
            taken[going] += 1
            self._write(going, at, after, h, (y, moved, bend, twist), written)
            y, at, h = moved, after, proposed
            stay = (at < end) & (h > SHORTEST)
            if not stay.all():
                last[going[~stay]] = np.maximum(h[~stay], FIRST)
                going, at, h, written = going[stay], at[stay], h[stay], written[stay]
                y, kept = y[:, stay], kept[:, stay]
                if not len(going):
                    break
        return self.states[-1], last

    def _write(
        self, going: Counts, at: Vector, after: Vector, h: Vector, ends: tuple[Vector, ...], written: Counts
    ) -> None:
        """Write the output moments that the steps from ``at`` to ``after`` went over; ``written`` counts them."""
        passed = np.nonzero(after >= self.due[written])[0]
        while len(passed):
            row = written[passed]
            share = (self.moments[row] - at[passed]) / h[passed]
            self.states[row, :, going[passed]] = between(share, *(e[:, passed] for e in ends)).T
            written[passed] += 1
            passed = passed[after[passed] >= self.due[written[passed]]]
