"""What is solved for every set of a spread, and how the sets are drawn: a job that can be cut into blocks.

A set is drawn by its number and the seed alone, and solved without a look at its neighbours, so that a block gives
the same numbers wherever and whenever it is solved.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from oilway.model.machine import Machine
from oilway.model.system import System, Vector
from oilway.solve.point import pushed
from oilway.study.allowed import Tolerance
from oilway.study.anew import Anew, set_by_settings
from oilway.study.spread_runs import InTime, Timed
from oilway.study.spread_work import AtPoint, Block, Over, OverCurve, Work

BLOCK = 500  # sets
TURNS = "turns"
OUT_OF_REACH = "its adjuster does not reach the setting"


@dataclass
class Job:
    """A spread to solve: the machine (or the stand), what differs, and what is asked.

    ``curve``, ``channels`` and ``timed`` say what is asked; ``anew`` that valves are set again after the draw.
    Nothing in it is derived, so that it can be sent to another process.
    """

    machine: Machine
    tolerances: list[Tolerance]
    seed: int
    point: dict[str, float] = field(default_factory=dict)
    curve: bool = False
    channels: list[str] = field(default_factory=list)
    timed: Timed | None = None
    anew: bool = False

    def __getstate__(self) -> dict[str, object]:
        """Without what is worked out from the rest: symbols stay in the process that made them."""
        plain = {k: v for k, v in self.__dict__.items() if k not in ("written", "works", "setters")}
        return plain | {"machine": self.machine.bare()}

    @cached_property
    def written(self) -> Vector:
        """Parameters (m,) as written, with dry friction met as on rising pressure."""
        return pushed(self.machine.system, self.machine.theta(self.point), "open")

    @cached_property
    def setters(self) -> list[Anew]:
        """The valves that are set anew."""
        return set_by_settings(self.machine, [t.parameter for t in self.tolerances]) if self.anew else []

    @cached_property
    def works(self) -> list[Work]:
        """All that is solved for a set."""
        found: list[Work] = []
        if self.curve:
            found.append(OverCurve(self.machine, self.written))
        if self.channels:
            found.append(AtPoint(self.machine, self.written, self.point, self.channels))
        if self.timed is not None:
            found.append(InTime(self.machine, self.written, self.point, self.timed))
        return found

    @property
    def outputs(self) -> list[tuple[str, str]]:
        """Names and quantity kinds of the outputs, in the order of their values."""
        turned = [
            (f"{TURNS} of {a.name}" if a.name != self.machine.title else TURNS, "turns") for a in self.setters
        ]
        return [output for work in self.works for output in work.outputs] + turned

    @property
    def over(self) -> Over | None:
        """What the lines of a set stand over: of the first work that has lines."""
        return next((work.over for work in self.works if work.over is not None), None)

    def sets(self, first: int, last: int) -> Vector:
        """Parameters (last - first, m) of these sets, drawn within their tolerances."""
        return drawn(self.machine.system, self.written, self.tolerances, (first, last), self.seed)

    def solve(self, first: int, last: int) -> Block:
        """The block of these sets."""
        block = self.of_sets(self.sets(first, last))
        return replace(block, first=first, failures={first + k: why for k, why in block.failures.items()})

    def of_sets(self, sets: Vector) -> Block:
        """What comes of sets of parameters (sets, m), whose valves are set anew where that is asked."""
        failures: dict[int, str] = {}
        for setter in self.setters:
            held = setter.set_in(sets)
            failures |= {int(k): f"{setter.name}: {OUT_OF_REACH}" for k in np.nonzero(~held)[0]}
        found = [work.solve(sets) for work in self.works]
        turns = sets[:, [a.adjuster for a in self.setters]]
        values = np.column_stack([*(block.values for block in found), turns])
        for block in found:
            failures = block.failures | failures
        lost = sorted(k for k, why in failures.items() if OUT_OF_REACH in why)
        values[lost] = np.nan
        lines = next((block.lines for block in found if block.lines.shape[1]), np.empty((len(sets), 0)))
        lines[lost] = np.nan
        return Block(0, values, lines, failures, sum(block.prepared for block in found))

    def slopes(self) -> Vector:
        """d(output)/d(parameter) (outputs, tolerances) at the written values, SI.

        Exact for states of rest; a valve set anew follows by its turns.  Of runs, differences between runs.
        """
        columns = [self.machine.system.parameters[t.parameter] for t in self.tolerances]
        follow = [(a.adjuster, a.slopes(len(self.written))[columns]) for a in self.setters]
        rows = []
        for work in self.works:
            if isinstance(work, InTime):
                rows.append(work.slopes(self.of_sets, self.tolerances, columns, self._first_of(work)))
                continue
            assert isinstance(work, OverCurve | AtPoint)
            by = work.gradients()
            rows.append(by[:, columns] + sum((np.outer(by[:, k], along) for k, along in follow), np.zeros(())))
        rows += [along[None] for _, along in follow]
        return np.vstack(rows)

    def _first_of(self, work: Work) -> int:
        before = self.works[: self.works.index(work)]
        return sum(len(w.outputs) for w in before)


Solve = Callable[[Job, Sequence[range]], Iterable[Block]]


def one_after_another(job: Job, blocks: Sequence[range]) -> Iterator[Block]:
    """Solve blocks in this process; each goes over all of its cores."""
    for block in blocks:
        yield job.solve(block.start, block.stop)


def in_blocks(number: int) -> list[range]:
    """The sets, cut into blocks."""
    return [range(k, min(k + BLOCK, number)) for k in range(0, number, BLOCK)]


def drawn(system: System, th: Vector, tols: list[Tolerance], between: tuple[int, int], seed: int) -> Vector:
    """Parameters (last - first, m) of the sets ``between`` (first, last), drawn evenly within their tolerances.

    A set takes as many numbers from the stream of the seed as there are tolerances, so it is known by its number.
    """
    first, last = between
    stream = np.random.PCG64(seed)
    stream.advance(first * len(tols))
    shares = np.random.Generator(stream).uniform(-1, 1, (last - first, len(tols)))
    sets = np.tile(th, (last - first, 1))
    for k, tol in enumerate(tols):
        sets[:, system.parameters[tol.parameter]] += tol.reach * shares[:, k]
    return sets
