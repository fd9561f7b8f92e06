"""The transient: the same residual in its motion form, integrated in time with a stiff integrator.

Seats, stops and end stops are one-sided stiff contacts, so lift-off and impact need no events to be integrated;
their times are located afterwards on the dense output (docs/numerics.md).  Inputs are straight lines between
knots, and the integrator is started anew at each knot.
Source of the integrator: A. C. Hindmarsh et al., "SUNDIALS: Suite of nonlinear and differential/algebraic equation
solvers", ACM Trans. Math. Softw. 31 (2005) 363-396 (from memory): CVODES, variable-order backward differences.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import casadi as ca
import numpy as np

from oilway.elements.network import FRICTION
from oilway.errors import NoSolution
from oilway.model.system import System, Vector
from oilway.solve.result import State

CHUNK = 250  # output points of one call of the integrator
RELATIVE = 1e-6  # tolerance on the scaled states, relative and absolute: 0.1 Pa, 1 nm and 0.3 um/s
# Sizes of the states here.  Near a vacuum oil with air in it gives way a thousand times more than under pressure,
# so a coarser pressure (Pa) loses oil there; a finer speed of parts (m/s) costs steps and shows nothing.
PRESSURE, SPEED = 1e5, 0.3
MOST_STEPS = 200_000  # of the integrator between two output points; more means that it has stalled
WITHIN = 50  # points within one output step, where it is looked at closer
OIL = 1e-2  # kg: size of the oil that goes into tanks


@dataclass(frozen=True)
class Knot:
    """A moment (s) at which the parameters are ``th`` (m,); between knots they change in a straight line.

    Two knots at the same moment make a step.
    """

    time: float
    th: Vector


@dataclass
class Course:
    """What happened: ``times`` (n,), ``states`` (n, k) in SI, and the parameters (n, m) at each time.

    ``into_tanks`` is the oil (kg) that went into tanks, ``mass_left_over`` what is missing or too much in the
    mass balance of the whole run (kg).  ``complete`` is False for a run that stalled.
    """

    times: Vector
    states: Vector
    th: Vector
    names: list[str]
    into_tanks: float = 0.0
    mass_left_over: float = 0.0
    complete: bool = True


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
) -> Course:
    """Integrate from the first knot to the last, with output every ``step`` s (and at every knot).

    ``relative`` is the tolerance on the scaled states; dry friction acts.  A run that stalls raises
    :class:`NoSolution` with time, state and equation; with ``partial`` what was reached is returned instead.
    """
    knots = [Knot(k.time, _with_friction(system, k.th)) for k in knots]
    course = _Building(system, knots[0], states, _changing([k.th for k in knots]), relative)
    for before, after in itertools.pairwise(knots):
        if after.time <= before.time:
            course.th[-1] = after.th
            continue
        for start, end, count in _chunks(before.time, after.time, step):
            at = np.linspace(start, end, count + 1)
            th = _between(before, after, at)
            # Where it gives up, once more from point to point: as far as it goes.
            if not course.go(at, th) and not all(course.go(at[k : k + 2], th[k : k + 2]) for k in range(count)):
                if partial:
                    return course.done(complete=False)
                raise _stalled(system, course.states[-1], course.th[-1], course.times[-1])
    return course.done(complete=True)


def closer(system: System, course: Course, k: int, *, relative: float = RELATIVE) -> Course:
    """The stretch from output point k to the next once more, with points in between.

    Points in between are left out where the integrator gives up, as it did not at the first time.
    """
    start, end = (Knot(float(course.times[j]), course.th[j]) for j in (k, k + 1))
    step = _Building(system, start, course.states[k], _changing(course.th), relative)
    at = np.linspace(start.time, end.time, WITHIN + 1)
    if not step.go(at, _between(start, end, at)):
        step.times, step.states, step.th = (list(x[k : k + 2]) for x in (course.times, course.states, course.th))
    return step.done(complete=course.complete)


class _Building:
    """A course under construction."""

    def __init__(
        self, system: System, first: Knot, states: Vector, changing: tuple[int, ...], relative: float
    ) -> None:
        self.system, self.changing, self.relative = system, changing, relative
        self.times, self.states, self.th = [first.time], [states], [first.th]
        self.into_tanks = 0.0

    def go(self, at: Vector, th: Vector) -> bool:
        """Integrate on over the moments ``at`` (n,) with parameters (n, m); False when the integrator gives up."""
        integrator = _integrator(self.system, len(at) - 1, self.relative, self.changing)
        scale = _sizes(self.system)
        inputs = np.concatenate([th[0], th[-1, self.changing], [at[-1] - at[0]]])
        try:
            result = integrator(x0=np.append(self.states[-1] / scale, 0.0), p=inputs)
        except RuntimeError:
            return False
        reached = np.array(result["xf"]).T
        if not np.all(np.isfinite(reached)):
            return False
        self.times.extend(at[1:])
        self.states.extend(reached[:, :-1] * scale)
        self.th.extend(th[1:])
        self.into_tanks += OIL * float(reached[-1, -1])
        return True

    def done(self, *, complete: bool) -> Course:
        """The course, with its mass balance."""
        motion, mass = self.system.motion, _mass(self.system)
        gained = float(mass(self.states[-1], self.th[-1])) - float(mass(self.states[0], self.th[0]))
        return Course(
            np.array(self.times), np.array(self.states), np.array(self.th), motion.names,
            self.into_tanks, gained + self.into_tanks, complete,
        )  # fmt: skip


def _changing(th: Sequence[Vector] | Vector) -> tuple[int, ...]:
    """Which parameters differ between the moments."""
    return tuple(map(int, np.nonzero(np.any(np.asarray(th) != th[0], axis=0))[0]))


def _with_friction(system: System, th: Vector) -> Vector:
    th = th.copy()
    th[system.parameters[FRICTION]] = 1.0
    return th


def _between(before: Knot, after: Knot, at: Vector) -> Vector:
    """Parameters (n, m) at the moments ``at`` (n,)."""
    share = (at - before.time) / (after.time - before.time)
    return before.th + share[:, None] * (after.th - before.th)


def _chunks(start: float, end: float, step: float) -> list[tuple[float, float, int]]:
    """Stretches of at most CHUNK output points that cover start..end evenly."""
    points = max(1, int(np.ceil((end - start) / step - 1e-9)))
    edges = [*range(0, points, CHUNK), points]
    at = np.linspace(start, end, points + 1)
    return [(at[a], at[b], b - a) for a, b in itertools.pairwise(edges)]


@lru_cache(maxsize=32)
def _mass(system: System) -> Any:
    motion = system.motion
    return ca.Function("mass", [motion.states, motion.th], [motion.mass])


def _sizes(system: System) -> Vector:
    own = {"pressure": PRESSURE, "speed": SPEED}
    named = zip(system.motion.names, system.motion.scale, strict=True)
    return np.array([own.get(name.split(" ")[0], size) for name, size in named])


@lru_cache(maxsize=32)
def _integrator(system: System, count: int, relative: float, changing: tuple[int, ...]) -> Any:
    """CVODES over a stretch of unit length with ``count`` output points; ``changing`` inputs go straight across.

    Inputs: all parameters at its beginning, the changing ones at its end, its length (s).  The oil that goes into
    tanks is integrated as one more state: as a quadrature it would cost a second evaluation of the laws.
    """
    motion = system.motion
    scaled, share = ca.SX.sym("y", len(motion.names) + 1), ca.SX.sym("share")
    first, last = ca.SX.sym("a", motion.th.shape[0]), ca.SX.sym("b", len(changing))
    span, th = ca.SX.sym("span"), ca.SX(first)
    for j, k in enumerate(changing):
        th[k] = first[k] + share * (last[j] - first[k])
    scale = ca.DM(_sizes(system))
    symbols = ca.vertcat(motion.states, motion.th)
    rates, into = ca.substitute(
        [motion.rates, motion.into_tanks], [symbols], [ca.vertcat(scaled[:-1] * scale, th)]
    )
    problem = {
        "x": scaled,
        "t": share,
        "p": ca.vertcat(first, last, span),
        "ode": ca.cse(span * ca.vertcat(rates / scale, into / OIL)),
    }
    options = {
        "reltol": relative,
        "abstol": relative,
        "max_num_steps": MOST_STEPS,
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
        hint="look at what makes it change so fast there: a tiny volume, a stiff seat, a step in an input",
    )
