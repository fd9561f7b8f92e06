"""The transient: the same residual in its motion form, integrated in time with a stiff integrator.

Seats, stops and end stops are one-sided stiff contacts, so lift-off and impact need no events to be integrated;
their times are located afterwards on the dense output (docs/numerics.md).  Inputs are straight lines between
knots, and the integrator is started anew at each knot.
Source of the integrator: A. C. Hindmarsh et al., "SUNDIALS: Suite of nonlinear and differential/algebraic equation
solvers", ACM Trans. Math. Softw. 31 (2005) 363-396 (from memory): CVODES, variable-order backward differences.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import casadi as ca
import numpy as np

from oilway.elements.network import FRICTION
from oilway.errors import NoSolution
from oilway.model.system import System, Vector
from oilway.solve.result import State

CHUNK, STRETCH = 250, 1.0  # output points and s of one call of the integrator: then progress can be told
RELATIVE = 1e-6  # tolerance on the scaled states, relative and absolute: 0.1 Pa, 1 nm and 0.3 um/s
# Sizes of the states here.  Near a vacuum oil with air in it gives way a thousand times more than under pressure,
# so a coarser pressure (Pa) loses oil there; a finer speed of parts (m/s) costs steps and shows nothing.
PRESSURE, SPEED = 1e5, 0.3
MOST_STEPS = 200_000  # of the integrator between two output points; more means that it has stalled
CRAWL = 1e-7  # s: as many steps that are shorter than this on average mean the same
WITHIN = 50  # points within one output step, where it is looked at closer
OIL, ENERGY = 1e-2, 1e2  # kg and J: sizes of the oil that goes into tanks and of the energy that leaves


@dataclass(frozen=True)
class Knot:
    """A moment (s) at which the parameters are ``th`` (m,); between knots they change in a straight line.

    Two knots at the same moment make a step.
    """

    time: float
    th: Vector


@dataclass(frozen=True)
class Books:
    """The energy of a whole course, J, by the same laws as the states.

    ``spent`` is the integral of the power that leaves the machine by what becomes of it and part (negative: put
    in); ``gained`` what is held at the end above the beginning, by holder; ``inputs`` what of it changes of the
    parameters have brought (an adjuster turned against its spring).  Gained is inputs less spent, but for errors
    of integration.
    """

    spent: dict[tuple[str, str], float]
    gained: dict[str, float]
    inputs: float


@dataclass
class Course:
    """What happened: ``times`` (n,), ``states`` (n, k) in SI, and the parameters (n, m) at each time.

    ``mass_left_over`` is what is missing or too much in the mass balance of the whole run (kg), ``books`` its
    energy where that was asked for.  ``complete`` is False for a run that stalled; ``steps`` counts those of the
    integrator.
    """

    times: Vector
    states: Vector
    th: Vector
    names: list[str]
    mass_left_over: float = 0.0
    complete: bool = True
    books: Books | None = None
    steps: int = 0


def resting_states(state: State) -> Vector:
    """The states of the motion form for a solved state of rest: what the transient begins from."""
    system = state.machine.system
    motion = system.motion
    states = np.zeros(len(motion.names))
    states[: system.size] = state.z
    for part, status in state.statuses.items():
        # The lift before seat and stop; what dry friction held is not a lift.
        states[system.index[f"lift of {part}"]] = status.free
    for name, velocity in state.velocities.items():
        states[system.index[f"velocity of {name}"]] = velocity
    for k, unknown in enumerate(system.unknowns):
        if unknown.kind == "rotation":  # the drive of a shaft's friction is no speed
            states[k] = state.readings[unknown.owner][1]
    first = system.size + len(motion.parts)
    for k, name in enumerate(motion.cylinders):
        states[first + k] = state.parameter(f"{name}.position")
    return states


def transient(
    system: System,
    states: Vector,
    knots: Sequence[Knot],
    step: float,
    *,
    relative: float = RELATIVE,
    partial: bool = False,
    energy: bool = False,
    progress: Callable[[float], None] | None = None,
) -> Course:
    """Integrate from the first knot to the last, with output every ``step`` s (and at every knot).

    ``relative`` is the tolerance on the scaled states; dry friction acts.  A run that stalls raises
    :class:`NoSolution` with time, state and equation; with ``partial`` what was reached is returned instead.
    ``energy`` keeps the books of energy too.  ``progress`` is told the time reached (s), again and again.
    """
    knots = [Knot(k.time, with_friction(system, k.th)) for k in knots]
    course = _Building(system, knots[0], states, changing([k.th for k in knots]), relative, energy)
    for before, after in itertools.pairwise(knots):
        if after.time <= before.time:
            course.switch(after.th)
            continue
        for start, end, count in _chunks(before.time, after.time, step):
            at = np.linspace(start, end, count + 1)
            if not course.through(at, _between(before, after, at)):
                if partial:
                    return course.done(complete=False)
                raise _stalled(system, course.states[-1], course.th[-1], course.times[-1])
            if progress is not None:
                progress(course.times[-1])
    return course.done(complete=True)


def closer(system: System, course: Course, k: int, *, relative: float = RELATIVE) -> Course:
    """The stretch from output point k to the next once more, with points in between.

    Points in between are left out where the integrator gives up, as it did not at the first time.
    """
    start, end = (Knot(float(course.times[j]), course.th[j]) for j in (k, k + 1))
    step = _Building(system, start, course.states[k], changing(course.th), relative)
    at = np.linspace(start.time, end.time, WITHIN + 1)
    if not step.go(at, _between(start, end, at)):
        step.times, step.states, step.th = (list(x[k : k + 2]) for x in (course.times, course.states, course.th))
    return step.done(complete=course.complete)


class _Building:
    """A course under construction."""

    def __init__(
        self,
        system: System,
        first: Knot,
        states: Vector,
        changing: tuple[int, ...],
        relative: float,
        energy: bool = False,
    ) -> None:
        self.system, self.changing, self.relative, self.energy = system, changing, relative, energy
        self.times, self.states, self.th = [first.time], [states], [first.th]
        self.gone = np.zeros(_entries(system, energy))  # see _integrator
        self.begun = self._held()
        self.steps, self.counted, self.since = 0, 0, first.time  # of the integrator; already judged, and when

    def through(self, at: Vector, th: Vector) -> bool:
        """Go over the moments ``at``, as far as it goes from point to point; False for a run that stalls there."""
        if self.go(at, th):
            return not self._crawls()
        return all(self.go(at[k : k + 2], th[k : k + 2]) and not self._crawls() for k in range(len(at) - 1))

    def go(self, at: Vector, th: Vector) -> bool:
        """Integrate on over the moments ``at`` (n,) with parameters (n, m); False when the integrator gives up."""
        integrator = _integrator(self.system, len(at) - 1, self.relative, self.changing, self.energy)
        scale = sizes(self.system)
        inputs = np.concatenate([th[0], th[-1, self.changing], [at[-1] - at[0]]])
        try:
            result = integrator(x0=np.append(self.states[-1] / scale, np.zeros(len(self.gone))), p=inputs)
        except RuntimeError:
            return False
        reached = np.array(result["xf"]).T
        if not np.all(np.isfinite(reached)):
            return False
        self.times.extend(at[1:])
        self.states.extend(reached[:, : len(scale)] * scale)
        self.th.extend(th[1:])
        self.gone += reached[-1, len(scale) :]
        self.steps += int(integrator.stats()["nsteps"])
        return True

    def _crawls(self) -> bool:
        """Whether a great many steps have hardly moved the time."""
        taken, passed = self.steps - self.counted, self.times[-1] - self.since
        if taken < MOST_STEPS:
            return False
        self.counted, self.since = self.steps, self.times[-1]
        return bool(passed < CRAWL * taken)

    def switch(self, th: Vector) -> None:
        """Change the parameters at once; what that does to oil and energy held is no error of the run."""
        before = self._held()
        self.th[-1] = th
        brought = self._held() - before
        self.gone[0] -= brought[0] / OIL
        if self.energy:
            self.gone[1] += brought[1:].sum() / ENERGY

    def _held(self) -> Vector:
        """Oil in all chambers (kg) and energy by holder (J)."""
        return np.array(_holding(self.system)(self.states[-1], self.th[-1])).ravel()

    def done(self, *, complete: bool) -> Course:
        """The course, with its mass balance."""
        motion, gained = self.system.motion, self._held() - self.begun
        books = None
        if self.energy:
            inputs, *spent = map(float, ENERGY * self.gone[1:])
            held = zip(motion.holders, map(float, gained[1:]), strict=True)
            books = Books(dict(zip(motion.spenders, spent, strict=True)), dict(held), inputs)
        return Course(
            np.array(self.times), np.array(self.states), np.array(self.th), motion.names,
            float(gained[0] + OIL * self.gone[0]), complete, books, self.steps,
        )  # fmt: skip


def changing(th: Sequence[Vector] | Vector) -> tuple[int, ...]:
    """Which parameters differ between the moments, of one set (n, m) or of several (n, sets, m)."""
    differ = np.asarray(th) != th[0]
    return tuple(map(int, np.nonzero(differ.reshape(-1, differ.shape[-1]).any(axis=0))[0]))


def with_friction(system: System, th: Vector) -> Vector:
    """Parameters (m,), or of several sets (sets, m), under which dry friction acts."""
    th = th.copy()
    th[..., system.parameters[FRICTION]] = 1.0
    return th


def _between(before: Knot, after: Knot, at: Vector) -> Vector:
    """Parameters (n, m) at the moments ``at`` (n,)."""
    share = (at - before.time) / (after.time - before.time)
    return before.th + share[:, None] * (after.th - before.th)


def _chunks(start: float, end: float, step: float) -> list[tuple[float, float, int]]:
    """Stretches of at most CHUNK output points and about STRETCH s that cover start..end evenly."""
    points = max(1, int(np.ceil((end - start) / step - 1e-9)))
    edges = [*range(0, points, min(CHUNK, max(1, int(STRETCH / step)))), points]
    at = np.linspace(start, end, points + 1)
    return [(at[a], at[b], b - a) for a, b in itertools.pairwise(edges)]


@lru_cache(maxsize=32)
def _holding(system: System) -> Any:
    motion = system.motion
    return ca.Function("holding", [motion.states, motion.th], [ca.densify(ca.vertcat(motion.mass, motion.held))])


def _entries(system: System, energy: bool) -> int:
    """How many entries of the books are integrated beside the states."""
    return 2 + len(system.motion.spenders) if energy else 1


def sizes(system: System) -> Vector:
    """Sizes of the states here, SI, (k,)."""
    own = {"pressure": PRESSURE, "speed": SPEED}
    named = zip(system.motion.names, system.motion.scale, strict=True)
    return np.array([own.get(name.split(" ")[0], size) for name, size in named])


@lru_cache(maxsize=32)
def _integrator(system: System, count: int, relative: float, changing: tuple[int, ...], energy: bool) -> Any:
    """CVODES over a stretch of unit length with ``count`` output points; ``changing`` inputs go straight across.

    Inputs: all parameters at its beginning, the changing ones at its end, its length (s).  Integrated beside the
    states: the oil that goes into tanks less what changes of the inputs bring; with ``energy`` what those bring of
    energy, and what is spent.  As quadratures they would cost a second evaluation of the laws.
    """
    motion = system.motion
    size, entries = len(motion.names), _entries(system, energy)
    scaled, share = ca.SX.sym("y", size + entries), ca.SX.sym("share")
    first, last = ca.SX.sym("a", motion.th.shape[0]), ca.SX.sym("b", len(changing))
    span, th, drift = ca.SX.sym("span"), ca.SX(first), ca.SX(*first.shape)
    for j, k in enumerate(changing):
        drift[k] = last[j] - first[k]
        th[k] = first[k] + share * drift[k]
    scale = ca.DM(sizes(system))
    oil = span * motion.into_tanks - ca.jtimes(motion.mass, motion.th, drift)
    beside = [oil / OIL]
    if energy:
        beside += [ca.jtimes(ca.sum1(motion.held), motion.th, drift) / ENERGY, span * motion.spent / ENERGY]
    ode = ca.vertcat(span * motion.rates / scale, *beside)
    symbols = ca.vertcat(motion.states, motion.th)
    problem = {
        "x": scaled,
        "t": share,
        "p": ca.vertcat(first, last, span),
        "ode": ca.cse(ca.substitute(ode, symbols, ca.vertcat(scaled[:size] * scale, th))),
    }
    # The integrator weighs the mean error of all that it integrates: more entries must not loosen the states.
    tolerance = relative * float(np.sqrt((size + 1) / (size + entries)))
    options = {
        "reltol": tolerance,
        "abstol": tolerance,
        # A long stretch gives up sooner, and is then gone through from point to point.
        "max_num_steps": min(MOST_STEPS, max(1, 5 * MOST_STEPS // count)),  # 0 would mean the default
        "show_eval_warnings": False,
        "disable_internal_warnings": True,  # a stall is told by the exception
    }
    moments = list(np.linspace(0, 1, count + 1)[1:])
    return ca.integrator("transient", "cvodes", problem, 0.0, moments, options)


def _stalled(system: System, states: Vector, th: Vector, time: float) -> NoSolution:
    motion = system.motion
    rates = ca.Function("rates", [motion.states, motion.th], [motion.rates])
    pace = np.abs(np.array(rates(states, th)).ravel() / motion.scale)
    worst = motion.names[int(np.nanargmax(pace))]
    return NoSolution(
        f"the run stalled after {time:.4g} s",
        equation=f"rate of {worst}",
        unknown=worst,
        hint="look at what makes it change so fast there: a tiny volume, a stiff seat, a step in an input, a wide "
        "passage with a tiny transition Reynolds number",
    )
