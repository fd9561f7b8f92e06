"""What may be solved for every set of a spread in time: figures of a run, such as the peak of a pressure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from oilway.errors import NoSolution
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.batch import rests
from oilway.solve.batch_runs import transients
from oilway.solve.point import solve_point
from oilway.solve.result import build_state
from oilway.solve.transient import Knot, resting_states
from oilway.study.allowed import Tolerance
from oilway.study.run import POINTS, Change, Figures, figures_of, knots_of
from oilway.study.spread_work import Block, Over

LINE = 5  # every so many points of output one of a line
# The series of a run and the quantity kind of the figure, by the words before the colon.
FIGURES = {
    "peak pressure": ("pressure in {}", "pressure"),
    "least pressure": ("pressure in {}", "pressure"),
    "end pressure": ("pressure in {}", "pressure"),
    "time to settle": ("pressure in {}", "time"),
    "top speed": ("velocity of {}", "velocity"),
    "end position": ("position of {}", "length"),
}
NOT_SETTLED = "not settled at the end of the run"


@dataclass(frozen=True)
class Timed:
    """A run of ``duration`` s with changes on the way, and the figures asked of it, 'peak pressure:CHAMBER'."""

    duration: float
    changes: tuple[Change, ...]
    outputs: tuple[str, ...]


def known_figures(machine: Machine) -> list[str]:
    """Every figure of a run of this machine."""
    names = set(machine.system.motion.names)
    found = []
    for word, (series, _) in FIGURES.items():
        start = series.removesuffix("{}")
        found += [f"{word}:{n.removeprefix(start)}" for n in sorted(names) if n.startswith(start)]
    return found


class InTime:
    """Runs of all sets side by side."""

    def __init__(self, machine: Machine, th: Vector, point: dict[str, float], timed: Timed) -> None:
        self.machine, self.th, self.timed = machine, th, timed
        self.point = {**machine.point, **point}
        self.knots = knots_of(machine, point, sorted(timed.changes, key=lambda c: c.at), timed.duration)
        self.outputs = [(name, FIGURES[name.partition(":")[0]][1]) for name in timed.outputs]
        self.start = solve_point(machine, point).z
        series = [FIGURES[word][0].format(place) for word, _, place in (n.partition(":") for n in timed.outputs)]
        self.columns = [machine.system.motion.names.index(name) for name in series]
        self.drawn = next((k for k, name in enumerate(series) if name.startswith("pressure")), 0)

    @property
    def over(self) -> Over:
        """The first series asked for over the time."""
        name = self.machine.system.motion.names[self.columns[self.drawn]]
        kind = {"pressure": "pressure", "velocity": "velocity", "position": "length"}[name.split()[0]]
        return Over("time", "time", np.linspace(0.0, self.timed.duration, POINTS // LINE + 1), name, kind)

    def solve(self, sets: Vector) -> Block:
        """The figures of every set; lines are those of the first series."""
        states, failures = self._at_rest(sets)
        going = [k for k in range(len(sets)) if k not in failures]
        values = np.full((len(sets), len(self.outputs)), np.nan)
        lines = np.full((len(sets), len(self.over.x)), np.nan)
        if not going:
            return Block(0, values, lines, failures)
        runs = transients(
            self.machine.system, states[going], self._knots(sets[going]), self.timed.duration / POINTS
        )
        failures |= {going[f.index]: str(f.error) for f in runs.failures}
        for k, course in zip(going, runs.states, strict=True):
            if k not in failures:
                lines[k] = np.interp(self.over.x, runs.times, course[:, self.columns[self.drawn]])
                values[k] = [self._figure(j, runs.times, course) for j in range(len(self.outputs))]
                unsettled = [name for (name, _), v in zip(self.outputs, values[k], strict=True) if np.isnan(v)]
                if unsettled:
                    failures[k] = f"{', '.join(unsettled)}: {NOT_SETTLED}"
        return Block(0, values, lines, failures, runs.prepared)

    def _figure(self, j: int, times: Vector, course: Vector) -> float:
        word, values = self.outputs[j][0].partition(":")[0], course[:, self.columns[j]]
        if word == "top speed":
            return float(np.abs(values).max())
        if word == "least pressure":
            return float(values.min())
        told: Figures = figures_of(times, values)
        settled = np.nan if told.settled is None else told.settled
        return {"peak pressure": told.peak, "time to settle": settled}.get(word, told.end)

    def _at_rest(self, sets: Vector) -> tuple[Vector, dict[int, str]]:
        """What each run begins from (sets, k), and why some do not."""
        found = rests(self.machine.system, sets, self.start)
        failures = {f.index: str(f.error) for f in found.failures}
        states = np.full((len(sets), len(self.machine.system.motion.names)), np.nan)
        for k in np.nonzero(found.solved)[0]:
            try:
                states[k] = resting_states(build_state(self.machine, self.point, sets[k], found.z[k]))
            except NoSolution as error:
                failures[int(k)] = str(error)
        return states, failures

    def _knots(self, sets: Vector) -> list[Knot]:
        """The knots of the run with the parts of each set; what a change replaces is as the change says."""
        moved = np.nonzero((sets != self.th).any(axis=0))[0]
        out = []
        for knot in self.knots:
            th = np.tile(knot.th, (len(sets), 1))
            own = [k for k in moved if knot.th[k] == self.knots[0].th[k]]
            th[:, own] = sets[:, own]
            out.append(Knot(knot.time, th))
        return out

    def slopes(
        self,
        of_sets: Callable[[Vector], Block],
        tolerances: Sequence[Tolerance],
        columns: list[int],
        first: int,
    ) -> Vector:
        """d(output)/d(parameter) (outputs, tolerances), by differences between runs at both ends of each.

        A run that still swings has no slope worth the name: a part shifts its beat.
        ``of_sets`` solves sets, its outputs from ``first`` on are those of this work; nan where a run has none.
        """
        near = np.tile(self.th, (2 * len(tolerances), 1))
        for k, (tol, column) in enumerate(zip(tolerances, columns, strict=True)):
            near[2 * k : 2 * k + 2, column] += np.array([1.0, -1.0]) * tol.reach
        values = of_sets(near).values[:, first : first + len(self.outputs)]
        apart = np.array([2 * tol.reach for tol in tolerances])
        return np.asarray(((values[0::2] - values[1::2]) / apart[:, None]).T)
