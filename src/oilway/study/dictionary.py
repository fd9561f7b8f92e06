"""The fault dictionary of one machine: what every reading would be with every fault, at every set-up.

Each entry is a solved state of the same equations, warm-started from the severity before it, with its slopes to
all that may differ between a machine and its file.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from oilway.elements.network import OIL
from oilway.errors import ImpossibleCircuit, NoSolution
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.system import Sensitivity, Vector
from oilway.solve.point import pushed, rest
from oilway.solve.result import refuse_impossible
from oilway.study.bends import bends
from oilway.study.faults import Fault, faults_of, instrumented
from oilway.study.offers import Panel, panel
from oilway.study.setups import Setup, capped_ports, setups_of
from oilway.study.tolerances import Wobble, moved, wobbles

SEVERITIES = tuple(k / 8 for k in range(9))
SLOPED = 2  # at every second severity slopes are taken, between them the mean of both neighbours
FREE = 1e-11  # relative singular value below which nothing fixes a direction (oil shut in on all sides)
SOLVED, UNSOLVED, IMPOSSIBLE = 0, 1, 2
RATED = "rated pressure"


@dataclass
class Bench:
    """A machine made ready to be measured: instrumented, with set-ups, readings on offer, faults and
    tolerances.
    """

    machine: Machine
    setups: list[Setup]
    default: str
    panel: Panel
    faults: list[Fault]
    wobbles: list[Wobble]

    @cached_property
    def columns(self) -> list[int]:
        """Parameters that any tolerance changes, and the density of the oil."""
        known = self.machine.system.parameters
        return sorted({w.column for w in self.wobbles if w.column >= 0} | {known[name] for name in OIL})

    @cached_property
    def sensitivity(self) -> Callable[[Vector, Vector], Sensitivity]:
        """What the readings owe to unknowns and :attr:`columns`, compiled."""
        return self.machine.system.sensitivity(self.panel.matrix, self.columns)

    def theta(self, setup: Setup, changes: dict[str, float]) -> tuple[Vector, float]:
        """Parameters (m,) of a set-up with changes of the model in it, and the temperature of the oil (degC)."""
        point = {**self.machine.point, **setup.point, **changes}
        th = pushed(self.machine.system, self.machine.theta(point), "open")
        columns = self.machine.system.parameters
        for name, value in setup.after.items():
            th[columns[name]] = value
        for name, value in setup.more.items():
            th[columns[name]] += value
        return th, point.get(OIL_TEMPERATURE, self.machine.temperature)


def bench_of(machine: Machine, setups: tuple[list[Setup], str] | None = None) -> Bench:
    """The bench of a machine as read from its file; ``setups`` where they are known already."""
    ready = capped_ports(instrumented(machine))
    found, default = setups or setups_of(ready)
    return Bench(ready, found, default, panel(ready), faults_of(ready), wobbles(ready))


@dataclass
class Entry:
    """Readings of one condition at u set-ups: ``mean`` (u, r), ``slope`` (u, r, k) per standard deviation, SI.

    ``status`` (u,) SOLVED, UNSOLVED or IMPOSSIBLE; ``strain`` (u,) the highest pressure over its rating, and
    ``strained`` where; ``loose`` (u, r) is 1 where oil is shut in and its pressure could be anything; ``why`` says
    what a solve that failed had to say.
    """

    mean: Vector
    slope: Vector
    status: Vector
    strain: Vector
    strained: list[str]
    loose: Vector
    why: dict[int, str] = field(default_factory=dict)


@dataclass
class Dictionary:
    """All entries: the sound machine, and of f faults at s severities; shapes as in :class:`Entry` with (f, s)
    first; ``sound_bent`` (u, r) as :func:`oilway.study.bends.bends` gives it.
    """

    mean: Vector
    slope: Vector
    status: Vector
    strain: Vector
    sound_mean: Vector
    sound_slope: Vector
    loose: Vector
    sound_loose: Vector
    sound_bent: Vector
    strained: list[list[list[str]]]
    unsolved: list[tuple[int, int, int, str]]


def build(
    bench: Bench,
    workers: int | None = None,
    *,
    severities: tuple[float, ...] = SEVERITIES,
    progress: Callable[[float], None] | None = None,
) -> Dictionary:
    """Solve the whole dictionary; ``workers`` processes, one for each core (two at most) unless given.

    ``progress`` is told the share of the faults that are done.
    What reads a dictionary counts on :data:`SEVERITIES`; others (an odd number) are for a measurement.
    A fault that cannot be solved at some set-up is kept and listed under ``unsolved``.
    Errors: :class:`NoSolution` where the sound machine has no state of rest at a set-up of its own file.
    """
    _evaluate_once(bench)
    starts, sound = _sound(bench)
    jobs = range(len(bench.faults))
    rows = []
    for row in _in_turn((bench, starts, severities), jobs, workers):
        rows.append(row)
        if progress is not None:
            progress(len(rows) / len(jobs))
    bent = bends(bench, starts, sound.mean, sound.slope)
    return _gathered(sound, rows, bent, len(severities))


_Work = tuple[Bench, list[Vector | None], tuple[float, ...]]
_SHARED: _Work | None = None


def _in_turn(work: _Work, jobs: Sequence[int], workers: int | None) -> Iterator[list[Entry]]:
    """The entries of every fault in their order, as they are done.

    Faults are dealt out one by one, so that valves that are slow to solve do not all fall to one process.
    """
    global _SHARED
    count = min(2, os.cpu_count() or 1) if workers is None else workers
    if count < 2 or "fork" not in multiprocessing.get_all_start_methods() or len(jobs) < 2:
        yield from (_of_fault(*work, k) for k in jobs)
        return
    _SHARED = work
    try:
        with multiprocessing.get_context("fork").Pool(count) as pool:
            yield from pool.imap(_job, jobs)
    finally:
        _SHARED = None


def _job(k: int) -> list[Entry]:
    assert _SHARED is not None
    return _of_fault(*_SHARED, k)


def _evaluate_once(bench: Bench) -> None:
    """Compile what the workers would each compile for themselves."""
    system = bench.machine.system
    th, temperature = bench.theta(bench.setups[0], {})
    system.scaled(system.start, th)
    system.storage(system.start, th)
    slopes(bench, system.start, th, temperature, bench.panel.read(bench.machine, system.start, th, temperature))


def _sound(bench: Bench) -> tuple[list[Vector | None], Entry]:
    starts: list[Vector | None] = []
    entry = empty_entry(bench)
    last: Vector | None = None
    for u, setup in enumerate(bench.setups):
        last = solve_into(bench, entry, u, setup, {}, [last, None])
        starts.append(last)
    return starts, entry


def _of_fault(
    bench: Bench, starts: list[Vector | None], severities: tuple[float, ...], number: int
) -> list[Entry]:
    """All severities of one fault, each set-up warm-started from the severity before."""
    fault, entries = bench.faults[number], [empty_entry(bench) for _ in severities]
    for u, setup in enumerate(bench.setups):
        last = sound = starts[u]
        for k, (severity, entry) in enumerate(zip(severities, entries, strict=True)):
            changes = fault.changes(severity)
            found = solve_into(bench, entry, u, setup, changes, [last, sound], sloped=k % SLOPED == 0)
            last = found if found is not None else last
            if found is None and len({tuple(fault.changes(s).values()) for s in severities}) == 1:
                _same_for_all(entries, u)
                break
    for before, entry, after in zip(entries[::SLOPED], entries[1::SLOPED], entries[2::SLOPED], strict=False):
        entry.slope = _between(before, entry, after)
    return entries


def _between(before: Entry, entry: Entry, after: Entry) -> Vector:
    """Slopes from both neighbours, or from the one that has a state."""
    can = [np.isfinite(e.mean[:, -1])[:, None, None] * 1.0 for e in (before, after)]
    total = can[0] * before.slope + can[1] * after.slope
    return np.asarray(total / np.maximum(can[0] + can[1], 1.0))


def _same_for_all(entries: list[Entry], u: int) -> None:
    """A fault without degrees that has no state here has none at any severity."""
    for entry in entries[1:]:
        entry.status[u], entry.why[u] = entries[0].status[u], entries[0].why[u]
        entry.strain[u], entry.strained[u] = entries[0].strain[u], entries[0].strained[u]


def empty_entry(bench: Bench) -> Entry:
    """An entry with nothing solved yet."""
    u, r, k = len(bench.setups), len(bench.panel.offers), len(bench.wobbles)
    return Entry(
        np.full((u, r), np.nan), np.zeros((u, r, k)), np.full(u, SOLVED), np.zeros(u), [""] * u, np.zeros((u, r))
    )


def solve_into(
    bench: Bench,
    entry: Entry,
    u: int,
    setup: Setup,
    changes: dict[str, float],
    starts: list[Vector | None],
    *,
    sloped: bool = True,
) -> Vector | None:
    """Solve one state and note it in an entry; the state, or ``None`` where there is none."""
    th, temperature = bench.theta(setup, changes)
    system = bench.machine.system
    try:
        z, isolated = rest(bench.machine, th, next((s for s in starts if s is not None), None))
        terms = system.ledger(z, th)[0]
        refuse_impossible(system, terms)
    except NoSolution as err:
        entry.status[u] = IMPOSSIBLE if isinstance(err, ImpossibleCircuit) else UNSOLVED
        entry.why[u] = str(err).splitlines()[0]
        entry.strain[u] = np.inf if entry.status[u] == IMPOSSIBLE else 0.0
        return None
    entry.mean[u] = bench.panel.read(bench.machine, z, th, temperature)
    if isolated:
        entry.loose[u] = [offer.chamber in isolated for offer in bench.panel.offers]
    if sloped:
        entry.slope[u] = slopes(bench, z, th, temperature, entry.mean[u])
    for k, limit in system.limits.items():
        if RATED in limit.what and limit.high and terms[k] / limit.high > entry.strain[u]:
            entry.strain[u], entry.strained[u] = terms[k] / limit.high, limit.part
    return z


def slopes(bench: Bench, z: Vector, th: Vector, temperature: float, shown: Vector) -> Vector:
    """Change of every reading per standard deviation of every tolerance (r, k), by the implicit function."""
    at = bench.sensitivity(z, th)
    moves, warmer = moved(bench.machine, th, bench.wobbles, temperature)
    moves = moves[bench.columns]
    dz = -np.linalg.pinv(at.rows_z, rcond=FREE) @ (at.rows_th @ moves)
    out = at.read_z @ dz + at.read_th @ moves
    density = bench.machine.system.parameters["oil.rho0"]
    heavier = moves[bench.columns.index(density)]
    divided = bench.panel.divided
    out[divided] = (out[divided] - np.outer(shown[divided], heavier)) / th[density]
    out[-1] = warmer
    return np.asarray(out)


def _gathered(sound: Entry, rows: list[list[Entry]], bent: Vector, severities: int) -> Dictionary:
    def stack(what: str) -> Vector:
        shape = np.shape(getattr(sound, what))
        if not rows:
            return np.zeros((0, severities, *shape))
        return np.array([[getattr(entry, what) for entry in row] for row in rows])

    unsolved = [(-1, 0, u, why) for u, why in sound.why.items()]
    unsolved += [
        (f, s, u, why) for f, row in enumerate(rows) for s, e in enumerate(row) for u, why in e.why.items()
    ]
    strained = [[entry.strained for entry in row] for row in rows]
    return Dictionary(
        stack("mean"), stack("slope"), stack("status"), stack("strain"), sound.mean, sound.slope,
        stack("loose"), sound.loose, bent, strained, unsolved,
    )  # fmt: skip
