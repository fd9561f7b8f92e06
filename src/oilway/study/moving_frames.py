"""A run as frames: the channels of :mod:`oilway.study.frame` at each output time, so that a picture can play."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from oilway.model.system import Status, System, Vector
from oilway.solve.result import State, booked, finding_of
from oilway.solve.transient import Course, closer
from oilway.study.frame import Frame, frame
from oilway.study.run import Run

CLOSE_UPS = 8  # output steps with a seat or stop met in them that are shown in slow motion
FINER = 5  # of the points that a close-up is integrated at, every so many is shown


@dataclass
class MovingFrames:
    """``times`` s and ``frames``, one for each; closer together around the first seats and stops met."""

    times: list[float]
    frames: list[Frame]


def moving_frames(run: Run, point: dict[str, float]) -> MovingFrames:
    """Frames of a run that began at ``point``, from the same terms by which it was integrated.

    Ledgers are those of the moment: what a force ledger leaves over is mass times acceleration, what a flow
    ledger leaves over presses the oil of its chamber.
    """
    times, states, th = _moments(run)
    ledgers = run.machine.system.moving_ledgers(states, th)
    shown = [_state(run, point, k, states, th, *ledgers) for k in range(len(times))]
    return MovingFrames(times.tolist(), [frame(state) for state in shown])


def _moments(run: Run) -> tuple[Vector, Vector, Vector]:
    """Times (n,), states (n, k) and parameters (n, m) of the output points, and of points between some of them."""
    course, found = run.course, sorted({_before(run.course, event.time) for event in run.events})
    pieces, last = [], 0
    for k in found[:CLOSE_UPS]:
        near = closer(run.machine.system, course, k)
        inside = slice(FINER, -1, FINER)
        pieces += [_piece(course, slice(last, k + 1)), _piece(near, inside)]
        last = k + 1
    pieces.append(_piece(course, slice(last, None)))
    times, states, th = (np.concatenate([piece[i] for piece in pieces]) for i in range(3))
    return times, states, th


def _piece(course: Course, some: slice) -> tuple[Vector, Vector, Vector]:
    return course.times[some], course.states[some], course.th[some]


def _before(course: Course, time: float) -> int:
    """The output point before a time."""
    return min(max(int(np.searchsorted(course.times, time, "right")) - 1, 0), len(course.times) - 2)


def _state(
    run: Run, point: dict[str, float], k: int, states: Vector, th: Vector, terms: Vector,
    free: dict[str, Vector], velocities: dict[str, Vector], pressures: dict[str, Vector],
) -> State:  # fmt: skip
    machine, system = run.machine, run.machine.system
    here = _in_place(system, run.course.names, states[k], th[k])
    changed = {name for change in run.changes for name in change.values} & set(system.parameters)
    point = {**machine.point, **point} | {name: float(here[system.parameters[name]]) for name in changed}
    statuses = [Status(n, float(x[k]), here[system.parameters[f"{n}.travel"]]) for n, x in free.items()]
    moment = booked(
        machine, point, here, states[k, : system.size], terms[k], statuses,
        {name: float(v[k]) for name, v in velocities.items()},
        {name: float(p[k]) for name, p in pressures.items()},
    )  # fmt: skip
    limits = [(limit, float(terms[k, i])) for i, limit in system.limits.items()]
    moment.findings = [f for limit, value in limits if (f := finding_of(limit, value)) is not None]
    return moment


def _in_place(system: System, names: list[str], states: Vector, th: Vector) -> Vector:
    """The parameters, with every cylinder where the run has taken it."""
    here = th.copy()
    for cylinder in system.motion.cylinders:
        here[system.parameters[f"{cylinder}.position"]] = states[names.index(f"position of {cylinder}")]
    return here
