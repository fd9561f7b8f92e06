"""How far sound machines differ: many sets of parts within their tolerances, and which part matters most.

Two answers stand beside each other: a count over many sets drawn at random, and the first-order estimate from the
exact slopes at the written values.  Parts are drawn one by one, evenly within their tolerance, which says no more
than that a part was let through (the cautious side; common practice).  Adjusters keep their turns, or every valve
is set anew as a technician would.
Source of the first-order estimate: BIPM, "Guide to the expression of uncertainty in measurement" (JCGM 100:2008),
5.1.2, eq. 10, and 4.3.7: a quantity anywhere within +-a has a standard deviation of a / sqrt(3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from oilway.errors import InputError, NoSolution, Place, Problem, QuantityError, did_you_mean
from oilway.laws.uncertainty import share_bounds
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.batch import Failure
from oilway.study.allowed import Tolerance, tolerances
from oilway.study.inspect import read_limit
from oilway.study.run import Change
from oilway.study.spread_job import Job, Solve, in_blocks, one_after_another
from oilway.study.spread_runs import FIGURES, Timed, known_figures
from oilway.study.spread_work import Over, known_channels
from oilway.study.sweep import is_drawn, on_its_stand

NUMBER, SEED = 1000, 1
MOST = 1_000_000
SHARES = (0.05, 0.5, 0.95)  # of the sets that lie below the lines of a band
KEPT = 200  # single lines that are kept to be drawn


@dataclass(frozen=True)
class Influence:
    """One tolerance and what it does: ``slope`` of the output by the parameter (SI).

    ``effect`` of its whole reach, and its ``share`` of the variance of the first-order estimate.
    """

    tolerance: Tolerance
    slope: float
    effect: float
    share: float


@dataclass
class Output:
    """One number of the machine over all sets: ``values`` (sets,) SI, nan for a set without a result.

    ``nominal`` at the written values (nan: not settled there).  ``accepted`` is the share of all sets within the
    ``limit`` entered (a set without a result is not accepted), ``None`` without one.
    """

    name: str
    kind: str
    nominal: float
    values: Vector
    influences: list[Influence]
    limit: str = ""
    accepted: float | None = None

    @property
    def deviation(self) -> float:
        """First-order standard deviation, SI."""
        return math.sqrt(sum(i.effect**2 for i in self.influences) / 3)

    @property
    def extreme(self) -> float:
        """First-order effect of every part at its worst end at once, SI."""
        return sum(abs(i.effect) for i in self.influences)

    @property
    def lost(self) -> int:
        """Sets that have no such number."""
        return int(np.isnan(self.values).sum())

    @property
    def accepted_between(self) -> tuple[float, float]:
        """Between which shares the accepted one lies, were it counted over all sets there could be (95 %)."""
        return share_bounds(round((self.accepted or 0.0) * len(self.values)), len(self.values))

    def at(self, *shares: float) -> list[float]:
        """Values below which these shares of the sets lie; nan where no set has one."""
        if self.lost == len(self.values):
            return [math.nan] * len(shares)
        return [float(v) for v in np.nanquantile(self.values, shares)]


@dataclass
class Band:
    """Lines of all sets ``over`` (points,) a flow or the time.

    ``nominal`` as written (n,), ``lines`` at ``SHARES`` (n, 3), ``single`` those of the first sets (k, n); SI.
    """

    over: Over
    nominal: Vector
    lines: Vector
    single: Vector


@dataclass
class Spread:
    """The spread of a machine, or of a valve on its stand; ``band`` where a curve was taken, or a run.

    ``prepared`` (s) went into compiling, once: it is kept on disk.
    """

    job: Job
    number: int
    outputs: list[Output]
    failures: list[Failure] = field(default_factory=list)
    band: Band | None = None
    prepared: float = 0.0

    @property
    def machine(self) -> Machine:
        """The machine, or the valve on its stand."""
        return self.job.machine

    @property
    def tolerances(self) -> list[Tolerance]:
        """What differs."""
        return self.job.tolerances


def spread(
    machine: Machine,
    declared: Mapping[str, str] | None = None,
    *,
    limits: Mapping[str, str] | None = None,
    channels: list[str] | None = None,
    point: dict[str, float] | None = None,
    duration: float | None = None,
    changes: Sequence[Change] = (),
    anew: bool = False,
    number: int = NUMBER,
    seed: int = SEED,
    over: Solve = one_after_another,
    progress: Callable[[float], None] | None = None,
) -> Spread:
    """Draw ``number`` sets and solve them: a relief valve over its curve, anything else at its operating point.

    ``declared`` tolerances go over those of common practice; ``limits`` map an output to 'at most ...',
    'at least ...' or '... to ...'; ``channels`` are names of :func:`known_channels`.  With a ``duration`` (s)
    every set is run in time instead, ``changes`` on the way, and names of :func:`known_figures` are outputs too.
    ``anew`` sets every valve again after the draw.  ``over`` solves blocks of sets, here or elsewhere;
    ``progress`` is told the sets done.
    Errors: :class:`InputError`; :class:`NoSolution` where the machine as written does not solve.
    """
    if not 2 <= number <= MOST:
        raise InputError(Problem(Place("--number"), f"{number} sets cannot be drawn", f"write 2 to {MOST}"))
    if changes and not duration:
        raise InputError(
            Problem(Place("--do"), "something changes on the way of a run", "say how long: --for '2 s'")
        )
    stood = _on_stand(machine, point or {})
    machine = stood or machine
    tols = tolerances(machine, declared)
    if not tols:
        what = "no part of it has a tolerance"
        raise InputError(Problem(Place(str(machine.path)), what, "declare one: --tolerance 'PART.KEY=5 %'"))
    usual = [] if stood is not None and not duration else _usual(machine, bool(duration))
    asked = check_outputs(machine, channels or usual, bool(duration))
    in_time = tuple(name for name in asked if name.partition(":")[0] in FIGURES)
    timed = Timed(duration, tuple(changes), in_time) if duration and in_time else None
    rest = [name for name in asked if name not in in_time]
    job = Job(machine, tols, seed, dict(point or {}), stood is not None and timed is None, rest, timed, anew)
    allowed = _allowed(dict(job.outputs), limits or {})
    told = _told(job, number, over, progress)
    for output in told.outputs:
        if output.name in allowed:
            (low, high), output.limit = allowed[output.name], (limits or {})[output.name]
            output.accepted = float(np.mean((output.values >= low) & (output.values <= high)))
    return told


def _told(job: Job, number: int, over: Solve, progress: Callable[[float], None] | None) -> Spread:
    """Everything solved: as written, the slopes there, and all blocks put together in the order of their sets."""
    written = job.of_sets(job.written[None].copy())
    if written.failures and not np.isfinite(written.values).any():
        raise NoSolution(f"as written: {written.failures[0]}")
    slopes, blocks = job.slopes(), {}
    for block in over(job, in_blocks(number)):
        blocks[block.first] = block
        if progress is not None:
            progress(float(sum(len(b.values) for b in blocks.values())))
    whole = [blocks[first] for first in sorted(blocks)]
    values, lines = np.vstack([b.values for b in whole]), np.vstack([b.lines for b in whole])
    outputs = [
        _output(job.tolerances, name, kind, float(written.values[0, k]), values[:, k], slopes[k])
        for k, (name, kind) in enumerate(job.outputs)
    ]
    failures = [Failure(k + 1, NoSolution(why)) for b in whole for k, why in sorted(b.failures.items())]
    told = Spread(job, number, outputs, failures, prepared=sum(b.prepared for b in (written, *whole)))
    if job.over is not None and np.isfinite(lines).any():
        told.band = Band(job.over, written.lines[0], np.nanquantile(lines, SHARES, axis=0).T, lines[:KEPT])
    return told


def _on_stand(machine: Machine, point: dict[str, float]) -> Machine | None:
    """A relief valve alone, on the stand on which it is set; none for a machine, and for a reducing valve."""
    if not machine.mounted or machine.mounted[0].prefix or is_drawn(machine):
        return None
    return on_its_stand(machine, point)[0]


def _usual(machine: Machine, in_time: bool) -> list[str]:
    """What is told of a machine unless asked otherwise: speeds of cylinders, pressures where pumps deliver."""
    fed = {p.nodes.get("outlet", "") for p in machine.parts.values() if "pump" in p.kind}
    chambers = [c for c in machine.system.chambers if c in fed]
    if in_time:
        return [f"{word}:{c}" for c in chambers for word in ("peak pressure", "time to settle")]
    speeds = [name for name in machine.system.rest.shown if name.startswith("speed:")]
    return speeds + [f"pressure:{c}" for c in chambers]


def check_outputs(machine: Machine, names: list[str], in_time: bool = False) -> list[str]:
    """The names of outputs.  Errors: :class:`InputError` naming every one that is not known here."""
    known = [*(known_figures(machine) if in_time else ()), *known_channels(machine)]
    problems = []
    for name in names:
        if name not in known:
            hint = did_you_mean(name, known) or "known here: " + ", ".join(known[:8])
            if name.partition(":")[0] in FIGURES and not in_time:
                hint = "that is a figure of a run: say how long, --for '2 s'"
            problems.append(Problem(Place("--of"), f"there is no '{name}' whose spread can be told", hint))
    if problems:
        raise InputError(problems)
    return list(dict.fromkeys(names))


def _output(tols: list[Tolerance], name: str, kind: str, nominal: float, values: Vector, slopes: Vector) -> Output:
    effects = [(t, float(s)) for t, s in zip(tols, slopes, strict=True) if np.isfinite(s)]
    whole = sum((slope * t.reach) ** 2 for t, slope in effects) or 1.0
    found = [Influence(t, s, s * t.reach, (s * t.reach) ** 2 / whole) for t, s in effects]
    found.sort(key=lambda i: (-i.share, i.tolerance.parameter))
    return Output(name, kind, nominal, values, found)


def _allowed(kinds: Mapping[str, str], limits: Mapping[str, str]) -> dict[str, tuple[float, float]]:
    """Lowest and highest value by output.  Errors: :class:`InputError` for what is no output or no limit."""
    found, problems = {}, []
    for name, text in limits.items():
        if name not in kinds:
            hint = did_you_mean(name, kinds) or "known here: " + ", ".join(kinds)
            problems.append(Problem(Place("--limit"), f"there is no output '{name}'", hint))
            continue
        try:
            found[name] = read_limit(text, kinds[name])
        except QuantityError as err:
            problems.append(Problem(Place("--limit"), f"{name}: {err.what}", err.hint))
    if problems:
        raise InputError(problems)
    return found
