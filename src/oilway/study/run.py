"""Run a machine in time: what changes when, and what the gauges, the parts and the operator's box do then."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.machine import Machine, word_pairs
from oilway.model.system import System, Vector
from oilway.solve.point import solve_point
from oilway.solve.result import Finding, finding_of
from oilway.solve.transient import RELATIVE, Course, Knot, closer, resting_states, transient

POINTS = 1000  # output points of a run whose step is not given
SETTLED = 0.02  # a pressure has settled when it stays within this share of its last change
SWINGS = 0.005  # a pressure swings when it moves by more than this share of its mean at the end of the run
ROUNDING = 1e-6  # share of a pressure by which it may exceed its start and count as never having risen
CLOSELY = 200  # steps with an event in them that are looked at closer; each costs about half a millisecond
# What is said of either end, first for moving down through it, then for moving up.
WORDS_OF_A_PART = (("seats", "leaves its seat"), ("leaves its stop", "meets its stop"))
WORDS_OF_A_CYLINDER = (
    ("meets its inner end", "leaves its inner end"),
    ("leaves its outer end", "meets its outer end"),
)
INSTANT = 1e-9  # s: times as close as this are the same (0.1 + 0.2 is not 0.3 to the last digit)
TAIL = 0.3  # the end of the run: this last share of it
# Readings that are series of a run, by quantity kind; the others are told already.
READINGS = {"rotation": "speed of", "ratio": "stroke of", "volume": "oil in"}


@dataclass(frozen=True)
class Change:
    """At ``at`` (s) some values begin to change, and have changed ``over`` (s) later; SI by parameter name."""

    at: float
    over: float
    values: dict[str, float]


@dataclass(frozen=True)
class Event:
    """A moving part or a cylinder meets or leaves its seat or stop: when (s), who, what."""

    time: float
    part: str
    what: str


@dataclass
class Series:
    """One quantity over the run, SI, with its quantity kind."""

    kind: str
    values: Vector


@dataclass(frozen=True)
class Figures:
    """Figures of one pressure: start, peak and when, end (Pa, s); settled when (s, None: not yet).

    ``frequency`` Hz of what still swings at the end, 0 for nothing.
    """

    start: float
    peak: float
    peak_time: float
    end: float
    settled: float | None
    frequency: float


@dataclass(frozen=True)
class Excess:
    """Something the user must know of a run: the worst of it, when it began and how long it lasted in all (s).

    ``rated``: the limit has an upper end, a rating; what is only too low is air let out of the oil, or a loose
    spring, for a moment the way of things.  Judged at the output points; at a single one it lasted less than they
    are apart, and ``lasted`` is 0.
    """

    worst: Finding
    since: float
    lasted: float
    rated: bool


@dataclass
class Run:
    """A run: ``times`` (n,) s and named series, events in order, figures by chamber, limits that were broken.

    ``moved`` is the oil (kg) that went into tanks or out of them, whichever is more.
    """

    machine: Machine
    times: Vector
    series: dict[str, Series]
    events: list[Event]
    figures: dict[str, Figures]
    course: Course
    moved: float
    changes: Sequence[Change] = field(default_factory=list)
    findings: list[Excess] = field(default_factory=list)

    @property
    def over_rating(self) -> bool:
        """Whether anything went beyond a rating, a shaft that turns backwards too fast included."""
        return any(excess.rated for excess in self.findings)

    @property
    def mass_error(self) -> float:
        """Oil missing or too much at the end, as a share of what moved."""
        return abs(self.course.mass_left_over) / self.moved if self.moved > 1e-9 else 0.0


def read_change(machine: Machine, text: str) -> Change:
    """Read "0.5 s: lever=1" or "0.5 s over 0.2 s: lever=1, load pressure=2000 psi".

    Errors: :class:`InputError` naming what is wrong.
    """
    place = Place("--do")
    moment, colon, words = text.partition(":")
    match = re.fullmatch(r"\s*(?:at\s+)?(.+?)(?:\s+over\s+(.+?))?\s*", moment)
    if not colon or match is None:
        raise InputError(Problem(place, f"'{text}' does not say when", "write '0.5 s over 0.2 s: lever=1'"))
    try:
        at, over = (quantity.parse(t, "time") if t else 0.0 for t in match.groups())
    except QuantityError as err:
        raise InputError(Problem(place, err.what, err.hint)) from None
    if "=" not in words or at < 0 or over < 0:
        raise InputError(Problem(place, f"'{text}' changes nothing", "write '0.5 s: lever=1'"))
    return Change(at, over, machine.point_from(word_pairs(words.split(","), place)))


def run(
    machine: Machine,
    duration: float,
    changes: Sequence[Change] = (),
    *,
    point: dict[str, float] | None = None,
    step: float | None = None,
    relative: float = RELATIVE,
    partial: bool = False,
    progress: Callable[[float], None] | None = None,
) -> Run:
    """Run a machine for ``duration`` s from rest at an operating point, with changes on the way.

    ``step`` is the output step (s), ``relative`` the tolerance.  Errors: :class:`NoSolution` naming time, state
    and equation where the run stalls (``partial`` returns what was reached, marked incomplete).  ``progress`` is
    told the time reached (s), again and again.
    """
    if not duration > 0:
        raise InputError(Problem(Place("run"), "a run takes some time", "for example '2 s'"))
    rest = solve_point(machine, point)
    knots = knots_of(machine, point or {}, sorted(changes, key=lambda c: c.at), duration)
    step = step or duration / POINTS
    start = resting_states(rest)
    course = transient(
        machine.system, start, knots, step, relative=relative, partial=partial, energy=True, progress=progress
    )
    terms, *shown = machine.system.moving_ledgers(course.states, course.th)
    series = _series(machine, course, terms, *shown)
    pressures = {n.removeprefix("pressure in "): s.values for n, s in series.items() if s.kind == "pressure"}
    figures = {name: figures_of(course.times, values) for name, values in pressures.items()}
    events, moved = _events(machine, course, relative), _moved(machine, course.times, terms)
    findings = _findings(machine.system, course.times, terms)
    return Run(machine, course.times, series, events, figures, course, moved, changes, findings)


def knots_of(machine: Machine, point: dict[str, float], changes: Sequence[Change], duration: float) -> list[Knot]:
    """The parameters of a run at its beginning, wherever a change begins and ends, and at its end (s).

    Errors: :class:`InputError` for a change that begins before the last has ended, or ends after the run.
    """
    knots = [Knot(0.0, machine.theta(point))]
    for change in changes:
        begin, end = max(change.at, knots[-1].time), min(change.at + change.over, duration)
        if begin > change.at + INSTANT:
            raise InputError(
                Problem(Place("run"), f"the change at {change.at:g} s begins before the one before it has ended")
            )
        if end < change.at + change.over - INSTANT:
            raise InputError(Problem(Place("run"), f"the change at {change.at:g} s ends after the run"))
        point = {**point, **change.values}
        knots += [Knot(begin, knots[-1].th), Knot(end, machine.theta(point))]
    return [*knots, Knot(duration, knots[-1].th)]


def _findings(system: System, times: Vector, terms: Vector) -> list[Excess]:
    """What broke its limit on the way: ratings, air out of the oil, a spring at solid height."""
    found = []
    for k, limit in system.limits.items():
        broken = [finding_of(limit, float(value)) for value in terms[:, k]]
        findings = [finding for finding in broken if finding is not None]
        if not findings:
            continue
        outside = np.array([finding is not None for finding in broken])
        worst = max(findings, key=lambda finding: abs(finding.value - finding.bound))
        lasted = float(np.sum(np.diff(times)[outside[:-1] & outside[1:]]))
        found.append(Excess(worst, float(times[int(np.argmax(outside))]), lasted, limit.high is not None))
    return sorted(found, key=lambda excess: excess.since)


def _moved(machine: Machine, times: Vector, terms: Vector) -> float:
    """Oil (kg) that went into tanks or out of them, whichever is more."""
    tanks = [
        k
        for k, term in enumerate(machine.system.terms)
        if term.sort == "flow" and machine.parts[term.place].kind == "tank"
    ]
    return max(float(np.trapezoid(np.maximum(sign * terms[:, tanks], 0).sum(1), times)) for sign in (1, -1))


def _series(
    machine: Machine,
    course: Course,
    terms: Vector,
    free: dict[str, Vector],
    velocities: dict[str, Vector],
    pressures: dict[str, Vector],
) -> dict[str, Series]:
    """Named series of the ledgers of all moments."""
    system = machine.system
    series = {f"pressure in {name}": Series("pressure", p) for name, p in pressures.items()}
    firsts = {n: next(iter(p.nodes.values())) for n, p in machine.parts.items() if len(p.nodes) >= 2}
    rho = course.th[:, system.parameters["oil.rho0"]]
    for k, term in enumerate(system.terms):
        if term.sort == "flow" and firsts.get(term.part) == term.place:
            flow = series.setdefault(f"flow through {term.part}", Series("flow", np.zeros(len(rho))))
            flow.values -= terms[:, k] / rho
    for part, lift in free.items():
        travel = course.th[:, system.parameters[f"{part}.travel"]]
        series[f"lift of {part}"] = Series("length", np.clip(lift, 0.0, travel))
    for name, velocity in velocities.items():
        series[f"velocity of {name}"] = Series("velocity", velocity)
        place = course.states[:, course.names.index(f"position of {name}")]
        series[f"position of {name}"] = Series("length", place)
    for k, term in enumerate(system.terms):
        if term.sort == "reading" and term.place != term.part:  # inside a part: no gauge of the file shows it
            series[f"{term.label} in {term.place}"] = Series(term.label, terms[:, k])
        elif term.sort == "reading" and term.label in READINGS:
            series[f"{READINGS[term.label]} {term.place}"] = Series(term.label, terms[:, k])
    return series


def _events(machine: Machine, course: Course, relative: float) -> list[Event]:
    """Seats and stops met and left.

    A step at whose ends a part stands on different sides is run again with points in between (the first
    ``CLOSELY`` of them), so that bounces are seen too; a touch within one step is not.
    """
    system = machine.system
    found = _passages(system, course)
    steps = sorted({k for k, _ in found})[:CLOSELY]
    events = [event for k, event in found if k not in steps]
    for k in steps:
        events += [event for _, event in _passages(system, closer(system, course, k, relative=relative))]
    return sorted(events, key=lambda event: event.time)


def _passages(system: System, course: Course) -> list[tuple[int, Event]]:
    """Events with the output point before each."""
    watched = [(part, "lift", "speed", "travel", WORDS_OF_A_PART) for part in system.moving]
    watched += [(n, "position", "velocity", "stroke", WORDS_OF_A_CYLINDER) for n in system.motion.cylinders]
    found = []
    for name, place, speed, reach, (low, high) in watched:
        places, speeds = (course.states[:, course.names.index(f"{what} of {name}")] for what in (place, speed))
        ends = places, places - course.th[:, system.parameters[f"{name}.{reach}"]]
        for from_end, words in zip(ends, (low, high), strict=True):
            found += [(k, Event(t, name, words[up])) for k, t, up in _crossings(course.times, from_end, speeds)]
    return found


def _crossings(times: Vector, values: Vector, speeds: Vector) -> list[tuple[int, float, bool]]:
    """Where a place goes through zero: the point before, the time, and whether upwards; by cubics (Hermite)."""
    found = []
    for k in np.nonzero(((values[:-1] > 0) != (values[1:] > 0)) & (np.diff(times) > 0))[0]:
        h = times[k + 1] - times[k]
        a, b, da, db = values[k], values[k + 1], h * speeds[k], h * speeds[k + 1]
        cubic = [2 * a - 2 * b + da + db, -3 * a + 3 * b - 2 * da - db, da, a]
        roots = [r.real for r in np.roots(cubic) if abs(r.imag) < 1e-9 and 0 <= r.real <= 1]
        share = min(roots) if roots else a / (a - b)
        found.append((int(k), float(times[k] + share * h), bool(b > 0)))
    return found


def figures_of(times: Vector, values: Vector) -> Figures:
    """The figures of one pressure (Pa) at ``times`` (s)."""
    k, end = int(np.argmax(values)), float(values[-1])
    if values[k] - values[0] <= ROUNDING * abs(values[k]):
        k = 0
    change = max(abs(float(values[0]) - end), 0.1 * float(np.ptp(values)), 1.0)
    outside = np.nonzero(np.abs(values - end) > SETTLED * change)[0]
    last = int(outside[-1]) + 1 if len(outside) else 0
    frequency = _frequency(times, values)
    settled = float(times[last]) if last < len(times) - 1 and not frequency else None
    return Figures(float(values[0]), float(values[k]), float(times[k]), end, settled, frequency)


def _frequency(times: Vector, values: Vector) -> float:
    """Frequency (Hz) of what still swings at the end of the run."""
    tail = times >= times[-1] - TAIL * (times[-1] - times[0])
    t, y = times[tail], values[tail] - np.mean(values[tail])
    if np.ptp(y) <= SWINGS * max(abs(float(np.mean(values[tail]))), 1e5):
        return 0.0
    ups = np.nonzero((y[:-1] <= 0) & (y[1:] > 0))[0]
    return float((len(ups) - 1) / (t[ups[-1]] - t[ups[0]])) if len(ups) > 2 else 0.0
