"""The same transient at many parameter sets at once: sets side by side, each with its own steps.

The step is that of :mod:`oilway.solve.stepping`, the loop over the steps :mod:`oilway.solve.compiled_runs` or,
without a compiler, :mod:`oilway.solve.interpreted_runs`.  A set that does not get through is run alone by the
integrator for single runs, and so are sets that are too few to pay without a compiler.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from oilway.errors import NoSolution
from oilway.model.system import System, Vector
from oilway.solve import compiled, compiled_runs, interpreted_runs
from oilway.solve.batch import Failure, over_cores
from oilway.solve.stepping import FIRST, Counts, stepping
from oilway.solve.tape import runner
from oilway.solve.transient import RELATIVE, Knot, changing, sizes, transient, with_friction

# Interpreted, a step of all sets costs the same for one as for some fifty; so many are made one by one.
LEAST_TOGETHER = 64
MOST_TOGETHER = 1000  # what they need stays close to the core, and NumPy starts no threads for them


@dataclass
class Runs:
    """``times`` (t,) and ``states`` (sets, t, k) in SI, nan for a set that failed.

    ``alone`` counts sets run one by one, ``steps`` those of all sets together; ``prepared`` (s) is what writing
    the step out and compiling it took, all but nothing once that has been done.
    """

    times: Vector
    states: Vector
    names: list[str]
    failures: list[Failure] = field(default_factory=list)
    alone: int = 0
    steps: int = 0
    prepared: float = 0.0


def transients(
    system: System, states: Vector, knots: Sequence[Knot], output: float, *, relative: float = RELATIVE
) -> Runs:
    """Runs from the first knot to the last of every set: ``states`` (sets, k) to begin from, SI.

    As :func:`oilway.solve.transient.transient`, but the parameters of a :class:`Knot` are (sets, m), and output
    is even over each stretch between knots, at most ``output`` s apart.  ``relative`` stands for no larger
    error of the run than there, see :func:`local`.
    """
    knots = [replace(k, th=with_friction(system, k.th)) for k in knots]
    grid = _grid(knots, output)
    found = Runs(np.concatenate([[knots[0].time], *grid]), np.empty(0), system.motion.names)
    found.states = np.full((len(states), len(found.times), states.shape[1]), np.nan)
    found.states[:, 0] = states
    changed = _sloping(knots)
    taken: Counts = np.zeros(len(states), dtype=np.int64)

    def group(part: slice) -> None:
        taken[part] = _through(system, knots, grid, changed, relative, found.states, part)

    together = compiled.AVAILABLE or len(states) >= LEAST_TOGETHER
    if together:
        begun = time.perf_counter()
        _tapes(system, changed)  # once, before the cores begin
        found.prepared = time.perf_counter() - begun
    if compiled.AVAILABLE:
        over_cores(group, len(states))
    elif together:  # on one core: Python does not let two of them work at once
        for k in range(0, len(states), MOST_TOGETHER):
            group(slice(k, min(k + MOST_TOGETHER, len(states))))
    found.steps = int(taken.sum())
    lost: Counts = np.nonzero(~np.isfinite(found.states).all(axis=(1, 2)))[0]
    for k in map(int, lost):
        found.alone += 1
        _alone(system, knots, output, relative, found, k)
    return found


def local(relative: float) -> float:
    """The tolerance of one step at which the mean square error of a run is no more than that of a single run.

    CVODES holds each step to ``relative`` and its errors add up; the same tolerance here would buy an error that
    is a tenth of that or less (docs/numerics.md).  Source: 0.1 relative^(2/3) is what the program RADAU5 of
    E. Hairer and G. Wanner takes instead (from memory).
    """
    return float(0.1 * relative ** (2 / 3))


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


@dataclass(frozen=True)
class _Tapes:
    """What many runs of a System take: the first part of its steps, and the loop over them."""

    before: Callable[..., list[Vector]]
    loop: compiled_runs.Loop | interpreted_runs.Loop


@lru_cache(maxsize=8)
def _tapes(system: System, changed: tuple[int, ...]) -> _Tapes:
    lists = stepping(system, changed)
    kind = compiled_runs.Loop if compiled.AVAILABLE else interpreted_runs.Loop
    return _Tapes(runner(lists.before), kind(lists))


def _through(
    system: System, knots: Sequence[Knot], grid: list[Vector], changed: tuple[int, ...], relative: float,
    out: Vector, part: slice,
) -> Counts:  # fmt: skip
    """Run the sets of ``part`` from knot to knot into ``out`` (sets, t, k); the steps each took (sets,)."""
    tapes, changes = _tapes(system, changed), list(changed)
    y = np.ascontiguousarray((out[part, 0] / sizes(system)).T)
    sets, done = y.shape[1], 1
    h, taken = np.full(sets, FIRST), np.zeros(sets, dtype=np.int64)
    tolerance = np.full((1, sets), local(relative))
    for (before, after), moments in zip(itertools.pairwise(knots), grid, strict=True):
        if not len(moments):
            h[:] = FIRST
            continue
        th, length = before.th[part], after.time - before.time
        slopes = (after.th[part][:, changes] - th[:, changes]).T / length
        kept = tapes.before(np.ascontiguousarray(th.T), np.ascontiguousarray(slopes), tolerance)[0]
        rows = out[part, done : done + len(moments)]
        tapes.loop.through(kept, y, h, moments - before.time, rows, taken)
        y[:, ~np.isfinite(rows[:, -1]).all(axis=1)] = np.nan  # gave up: no stretch after this one either
        h = np.maximum(h, FIRST)
        done += len(moments)
    return taken
