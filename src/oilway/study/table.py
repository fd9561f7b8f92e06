"""A table of solved states over one or two sliders, so that a picture can move where there is no solver.

Every node of the table is a solved state with its ledgers closed; between nodes the numbers are interpolated.
Nodes stand close where the state changes its regime, since there the numbers have a corner; how far the
interpolation was found from the solver is part of the table.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from oilway.errors import InputError, NoSolution, Place, Problem
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.frame import Channel, Frame, channels, frame

Vector = NDArray[np.float64]
FIRST = 9  # nodes along a slider to begin with
MOST = {1: 120, 2: 36}  # nodes along each slider, by the number of sliders
ACROSS = 5  # settings of the other slider at which the nodes of one are chosen
CLOSE = 2e-3  # share of the range below which two nodes are not parted any more
NEAR = 0.004  # interpolation within this share of the largest number of its kind is near enough
PROBES = 64  # places at which a finished table is compared with the solver
LEFT_OUT = "power#"  # the power ledger: no picture shows it, and a file is to stay small


@dataclass(frozen=True)
class Slider:
    """One thing that the reader moves: its word and parameter, and the range in SI."""

    word: str
    parameter: str
    kind: str
    low: float
    high: float


@dataclass
class Table:
    """States over ``sliders``: ``nodes`` one array of SI values for each, ``channels`` the columns of ``values``.

    ``values`` has shape (nodes of the first, nodes of the second or 1, channels), SI, NaN where the point has no
    solution.  ``frames`` and ``problems`` hold, by node, what is said of a state and why one has none.  ``apart``
    is the largest difference between interpolation and solver that was found, by quantity kind.
    """

    sliders: list[Slider]
    nodes: list[Vector]
    channels: list[Channel]
    values: Vector
    frames: dict[tuple[int, int], Frame]
    problems: dict[tuple[int, int], str]
    apart: dict[str, float] = field(default_factory=dict)

    def at(self, settings: Sequence[float]) -> Vector:
        """Interpolated channel values (SI) at one setting of each slider; NaN beside a point without solution."""
        return _interpolated(self.nodes, self.values, settings)


def tabulate(
    machine: Machine,
    sliders: Sequence[Slider],
    point: dict[str, float] | None = None,
    told: Callable[[float], None] | None = None,
) -> Table:
    """Solve a machine over one or two sliders, the rest as in ``point`` (parameter name to SI value).

    ``told`` is called with the share done.  Errors: :class:`InputError` for no slider or more than two;
    :class:`NoSolution` when not a single point has a solution.
    """
    if not 1 <= len(sliders) <= 2:
        raise InputError(Problem(Place("sliders"), f"a table takes one or two sliders, not {len(sliders)}"))
    solver = _Solver(machine, list(sliders), dict(point or {}))
    nodes = [solver.nodes_along(k) for k in range(len(sliders))]
    second = nodes[1] if len(nodes) > 1 else np.array([np.nan])
    rows, frames, problems = [], {}, {}
    for i, first in enumerate(nodes[0]):
        line = []
        # There and back, so that every state starts from a neighbour.
        for j in range(len(second))[:: 1 if i % 2 == 0 else -1]:
            line.append((j, solver.row((first, second[j]))))
            if (said := solver.frame((first, second[j]))) is not None:
                frames[i, j] = said
            else:
                problems[i, j] = solver.problems[solver.key((first, second[j]))]
        rows.append([row for _, row in sorted(line, key=lambda pair: pair[0])])
        if told is not None:
            told((i + 1) / len(nodes[0]))
    if solver.channels is None:
        raise NoSolution(
            "no point of this table has a solution",
            hint="; ".join(sorted(set(problems.values()))[:2]) or "try a smaller range",
        )
    width = len(solver.channels)
    filled = [[row if row is not None else np.full(width, np.nan) for row in line] for line in rows]
    table = Table(list(sliders), nodes, solver.channels, np.array(filled), frames, problems)
    table.apart = _apart(table, solver)
    return table


class _Solver:
    """Solves points of the table, each once, and remembers them."""

    def __init__(self, machine: Machine, sliders: list[Slider], point: dict[str, float]) -> None:
        self.machine, self.sliders, self.point = machine, sliders, point
        self.channels: list[Channel] | None = None
        self.problems: dict[tuple[float, ...], str] = {}
        self._columns: list[int] = []
        self._rows: dict[tuple[float, ...], Vector | None] = {}
        self._frames: dict[tuple[float, ...], Frame] = {}
        self._last: Vector | None = None

    def key(self, settings: Sequence[float]) -> tuple[float, ...]:
        return tuple(float(v) for v in settings[: len(self.sliders)])

    def row(self, settings: Sequence[float]) -> Vector | None:
        """Channel values (SI) of a solved point, or None where it has no solution."""
        key = self.key(settings)
        if key not in self._rows:
            state = self._solved(key)
            self._rows[key] = None if state is None else self._kept(key, state)
        return self._rows[key]

    def frame(self, settings: Sequence[float]) -> Frame | None:
        """What is said of a solved point."""
        return self._frames.get(self.key(settings))

    def _solved(self, key: tuple[float, ...]) -> State | None:
        point = self.point | {s.parameter: v for s, v in zip(self.sliders, key, strict=True)}
        try:
            state = solve_point(self.machine, point, self._last)
        except NoSolution as err:
            self.problems[key] = err.what
            return None
        self._last = state.z
        return state

    def _kept(self, key: tuple[float, ...], state: State) -> Vector:
        if self.channels is None:
            every = channels(state)
            self._columns = [k for k, c in enumerate(every) if not c.name.startswith(LEFT_OUT)]
            self.channels = [every[k] for k in self._columns]
        self._frames[key] = frame(state)
        return np.array(self._frames[key].values)[self._columns]

    def nodes_along(self, which: int) -> Vector:
        """Nodes along one slider, close where the numbers have a corner, whatever the other slider says."""
        slider, others = self.sliders[which], [s for k, s in enumerate(self.sliders) if k != which]
        across = np.linspace(others[0].low, others[0].high, ACROSS) if others else np.array([np.nan])

        def rows(value: float) -> list[Vector | None]:
            pairs = [(value, other) if which == 0 else (other, value) for other in across]
            return [self.row(pair) for pair in pairs]

        return refined(rows, slider.low, slider.high, MOST[len(self.sliders)], self.sizes)

    def sizes(self) -> Vector:
        """Largest number of each channel's kind so far, and at least what counts as something."""
        assert self.channels is not None
        kinds = [c.kind for c in self.channels]
        solved = np.abs(np.array([row for row in self._rows.values() if row is not None])).max(axis=0)
        largest: dict[str, float] = {}
        for kind, size in zip(kinds, solved, strict=True):
            largest[kind] = max(largest.get(kind, 1e-12), float(size))
        return np.array([largest[kind] for kind in kinds])


def refined(
    rows: Callable[[float], list[Vector | None]], low: float, high: float, most: int, sizes: Callable[[], Vector]
) -> Vector:
    """Nodes from ``low`` to ``high``: the interval that is interpolated worst is halved until all are near enough.

    ``rows`` gives the numbers at a node, ``sizes`` what each of them is measured by.
    """
    nodes = [float(v) for v in np.linspace(low, high, FIRST)]
    known = {v: rows(v) for v in nodes}
    misses: dict[tuple[float, float], float] = {}
    while len(nodes) < most:
        for a, b in pairwise(nodes):
            if (a, b) not in misses:
                middle = 0.5 * (a + b)
                known.setdefault(middle, rows(middle))
                misses[a, b] = _miss(known[a], known[b], known[middle], sizes)
        open_ones = {
            pair: miss
            for pair in pairwise(nodes)
            if (miss := misses[pair]) > NEAR and pair[1] - pair[0] > CLOSE * (high - low)
        }
        if not open_ones:
            break
        a, b = max(open_ones, key=lambda pair: open_ones[pair])
        nodes = sorted([*nodes, 0.5 * (a + b)])
    return np.array(nodes)


def _miss(
    first: list[Vector | None], last: list[Vector | None], middle: list[Vector | None], sizes: Callable[[], Vector]
) -> float:
    """How far the middle lies from the line between its ends; large where a solution begins or ends."""
    worst = 0.0
    for a, b, m in zip(first, last, middle, strict=True):
        if a is None and b is None and m is None:
            continue
        if a is None or b is None or m is None:
            worst = max(worst, 1.0)
        else:
            worst = max(worst, float(np.max(np.abs(0.5 * (a + b) - m) / sizes())))
    return worst


def _interpolated(nodes: list[Vector], values: Vector, settings: Sequence[float]) -> Vector:
    places = []
    for axis, value in zip(nodes, settings, strict=True):
        low = int(np.clip(np.searchsorted(axis, value, side="right") - 1, 0, len(axis) - 2))
        places.append((low, float((value - axis[low]) / (axis[low + 1] - axis[low]))))
    (i, u), (j, v) = (*places, (0, 0.0))[:2]
    near: Vector = values[i, j] if u == 0 else (1 - u) * values[i, j] + u * values[i + 1, j]
    if v == 0:
        return near
    far: Any = values[i, j + 1] if u == 0 else (1 - u) * values[i, j + 1] + u * values[i + 1, j + 1]
    return np.asarray((1 - v) * near + v * far)


def _apart(table: Table, solver: _Solver) -> dict[str, float]:
    """Largest difference from the solver at places between the nodes, by quantity kind."""
    chance = np.random.default_rng(0)  # the same places every time: a file does not change by itself
    found: dict[str, float] = {}
    for share in chance.random((PROBES, len(table.sliders))):
        settings = [s.low + u * (s.high - s.low) for s, u in zip(table.sliders, share, strict=True)]
        row, near = solver.row(settings), table.at(settings)
        if row is None or np.isnan(near).any():
            continue
        for channel, miss in zip(table.channels, np.abs(near - row), strict=True):
            found[channel.kind] = max(found.get(channel.kind, 0.0), float(miss))
    return found
