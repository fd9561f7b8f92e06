"""The loop over the steps of many runs without a compiler: NumPy takes every operation over all sets at once.

Sets have steps of their own and leave as they get through; :mod:`oilway.solve.compiled_runs` does the same in
machine code.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from oilway.model.system import Vector
from oilway.solve.rosenbrock import between
from oilway.solve.stepping import CLOSE, MOST, MOST_STEPS, SHORTEST, Counts, Stepping
from oilway.solve.tape import Bound, Interpreted

SHARE = 0.85  # of the sets, or fewer, still on the way: the arrays are made smaller


class Loop:
    """Stretches from knot to knot of many sets, interpreted."""

    def __init__(self, stepping: Stepping) -> None:
        self._step, self._scale = Interpreted(stepping.step), stepping.scale

    def through(self, kept: Vector, y: Vector, h: Vector, moments: Vector, out: Vector, taken: Counts) -> None:
        """Run all sets to the last of the ``moments`` (t,), s after they begin.

        Taken and left behind in place: states ``y`` (k, sets), next steps ``h`` (sets,), steps made ``taken``
        (sets,) and what comes out at the moments, ``out`` (sets, t, k), SI; what a set that gives up does not
        reach stays as it is.
        """
        ahead = _Ahead(self._step, np.arange(y.shape[1]), kept, y, h)
        end = float(moments[-1])
        for _ in range(MOST_STEPS):
            ends = CLOSE * ahead.h >= end - ahead.at
            ahead.h[ends] = end - ahead.at[ends]
            moved, (accepted, after, proposed, growth), *bends = ahead.step()
            after[ends & (accepted > 0)] = end
            taken[ahead.sets[ahead.on]] += 1
            self._write(ahead, after, (moved, *bends), moments, out)
            there = ahead.on & ~((after < end) & (proposed > SHORTEST))
            left = ahead.sets[there]
            y[:, left], h[left] = moved[:, there], proposed[there]
            ahead.go((moved, after, proposed, growth), there)
            if not ahead.on.any():
                return
            if ahead.on.mean() < SHARE:
                ahead = ahead.without_those_that_left()

    def _write(
        self, ahead: _Ahead, after: Vector, steps: tuple[Vector, ...], moments: Vector, out: Vector
    ) -> None:
        """Write the moments of output that the steps went over."""
        end, *bends = steps
        last = np.where(ahead.on, np.searchsorted(moments, after, side="right"), ahead.written)
        count = last - ahead.written
        passed = np.repeat(np.arange(len(count)), count)
        if not len(passed):
            return
        row = np.arange(len(passed)) - np.repeat(np.cumsum(count) - last, count)
        share = (moments[row] - ahead.at[passed]) / ahead.h[passed]
        low, middle, high = (bend[:, passed] for bend in bends)
        shown = between(share, ahead.y[:, passed], end[:, passed], (low, middle, high))
        out[ahead.sets[passed], row] = shown.T * self._scale
        ahead.written = last


class _Ahead:
    """Sets on their way: which they are, which are still ``on``, where they stand; their step bound to that."""

    def __init__(self, tape: Interpreted, sets: Counts, kept: Vector, y: Vector, h: Vector) -> None:
        self._tape, self.sets, self.kept, self.y = tape, sets, kept, y.copy()
        given = np.zeros((1, len(sets))), h[None].copy(), np.full((1, len(sets)), MOST)
        self.at, self.h, self.growth = (row[0] for row in given)
        self.on, self.written = np.ones(len(sets), dtype=bool), np.zeros(len(sets), dtype=np.int64)
        self.step = Bound(tape, [self.kept, *given, self.y])

    def go(self, moved: tuple[Vector, ...], there: NDArray[np.bool_]) -> None:
        """On to the next step, but for those that are ``there``: they stand where they last were."""
        self.on &= ~there
        for mine, new in zip((self.y, self.at, self.h, self.growth), moved, strict=True):
            np.copyto(mine, new, where=self.on)

    def without_those_that_left(self) -> _Ahead:
        """The same with smaller arrays."""
        on = self.on
        made = _Ahead(self._tape, self.sets[on], np.ascontiguousarray(self.kept[:, on]), self.y[:, on], self.h[on])
        made.at[:], made.growth[:], made.written = self.at[on], self.growth[on], self.written[on]
        return made
