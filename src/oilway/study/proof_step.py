"""Figures of a step response: peak, overshoot, settling, damping, from a file of time and pressure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from oilway.laws.response import damping_from_decrement, logarithmic_decrement
from oilway.study.figure import Bench, Figure, Term
from oilway.study.readings import Readings
from oilway.study.rows import Floats, Table

BAND = 0.02  # settled: within this share of the step, to the end of the record
END = 0.1  # share of the record that counts as the final state
BEGUN = 0.05  # the clock starts when the pressure has gone this share of the step
NOISE = 4.0  # standard deviations of the final state: less is noise
LOUD = 20.0  # and a swing lower than this is too much changed by it to tell the damping


@dataclass(frozen=True)
class Step:
    """A step response: levels (Pa), times (s) from the step, damping ratio; ``None`` for what it does not show."""

    start: float
    final: float
    peak: float
    settled: float | None
    damping: float | None
    swings: int
    sample: float

    @property
    def size(self) -> float:
        """Height of the step."""
        return self.final - self.start

    @property
    def overshoot(self) -> float:
        """Peak over the final level."""
        return max(self.peak - self.final, 0.0)


def read_step(times: Floats, pressures: Floats) -> Step | None:
    """A rising step from time (n,) and pressure (n,); ``None`` for a record that holds none.

    Final is the mean of the last tenth of the time.  The damping ratio is taken from the swings about it, by
    :func:`oilway.laws.response.logarithmic_decrement`; from the overshoot alone where there is one swing.
    """
    if len(times) < 20 or times[-1] <= times[0]:
        return None
    late = times >= times[-1] - END * (times[-1] - times[0])
    start = float(np.median(pressures[: max(len(times) // 100, 3)]))
    final, noise = float(pressures[late].mean()), float(pressures[late].std())
    size = final - start
    if size <= NOISE * noise or size <= 0:
        return None
    begun = int(np.argmax(pressures > start + BEGUN * size))
    out = np.flatnonzero(np.abs(pressures - final) > max(BAND * size, NOISE * noise))
    quiet = int(out[-1]) + 1 if len(out) else begun
    settled = float(times[quiet] - times[begun]) if quiet < len(times) and not late[quiet] else None
    swings = _swings(pressures[begun:] - final, max(LOUD * noise, 1e-3 * size))
    damping = None
    if len(swings) == 1:
        damping = float(damping_from_decrement(logarithmic_decrement(size, swings[0], 0.5)))
    elif swings:
        cycles = 0.5 * (len(swings) - 1)
        damping = float(damping_from_decrement(logarithmic_decrement(swings[0], swings[-1], cycles)))
    sample = float(np.median(np.diff(times)))
    return Step(start, final, float(pressures[begun:].max()), settled, damping, len(swings), sample)


def _swings(away: Floats, least: float) -> list[float]:
    """Heights of the swings over and under the final level, one after the other, down to ``least``."""
    if away.max() <= 0:
        return []
    first = int(np.argmax(away >= 0))
    rest = away[first:]
    marked = np.flatnonzero(np.abs(rest) > least)
    if not len(marked):
        return []
    lobes = np.split(marked, np.flatnonzero(np.diff(np.sign(rest[marked]))) + 1)
    return [float(np.abs(rest[lobe]).max()) for lobe in lobes]


def step_figures(readings: Readings, table: Table) -> Iterator[Figure]:
    """The figures of a step, each with its doubt."""
    step = read_step(table.columns["t"], table.columns["P"])
    if step is None:
        return
    bench = Bench(readings)
    peak = Figure("step peak", "pressure", step.peak, [], "highest P after the step")
    bench.reading(peak, "P", step.peak)
    yield peak
    over = Figure("step overshoot", "pressure", step.overshoot, [], "peak over the mean of the last tenth")
    bench.difference(over, "P", step.peak, step.final)
    yield over
    share = Figure("step overshoot share", "ratio", step.overshoot / step.size, [], "overshoot over the step")
    bench.difference(share, "P", step.peak, step.final, 1 / step.size)
    yield share
    if step.settled is not None:
        terms = [Term("time between rows", step.sample)]
        how = f"from the step until within {BAND:.0%} of it, or within the noise, to the end"
        yield Figure("step settling time", "time", step.settled, terms, how)
    if step.damping is not None:
        words = f"{step.swings} swings" if step.swings > 1 else "the overshoot alone"
        how = f"damping ratio by the logarithmic decrement of {words}, as of one mode"
        # A tenth: what the choice of swings moves it by on a record with several modes (common practice).
        yield Figure("step damping ratio", "number", step.damping, [Term("one mode", 0.1 * step.damping)], how)
