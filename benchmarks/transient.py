"""Speed of the transient against the targets, with SciPy's BDF on the same residual in the same run.

Run ``python -m benchmarks transient``.  The case is the shipped two-stage relief, its flow doubled at once from
rest; 0.5 s.  SciPy gets the same rates, compiled by CasADi, with their exact Jacobian, in the same scaled states
with the same tolerances.  Both are compared with our own run at 1e-10.  Times are the least of several runs: other
loads only ever add.
"""

from __future__ import annotations

from typing import Any

import casadi as ca
import numpy as np

import oilway
from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import best, once, show
from benchmarks.speed import Line, hoist
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.point import solve_point
from oilway.solve.transient import RELATIVE, Course, Knot, resting_states, transient
from oilway.study.run import POINTS, read_change
from oilway.study.run import run as run_machine

DURATION = 0.5  # s
RAISE = 3.0  # s
LEAST_GAIN = 12.0  # times faster than the rival
PASCAL = 1e5


class FlowStep:
    """The two-stage relief with its flow doubled at the start, for either integrator."""

    def __init__(self) -> None:
        self.machine: Machine = oilway.load("pilot relief")
        self.system = self.machine.system
        before, after = (self.machine.point_from({"pump flow": flow}) for flow in ("9 gpm", "18 gpm"))
        self.start = resting_states(solve_point(self.machine, before))
        th = self.machine.theta(after)
        self.knots = [Knot(0.0, th), Knot(DURATION, th)]

    def ours(self, relative: float = RELATIVE, points: int = POINTS) -> Course:
        """Our own integration."""
        return transient(self.system, self.start, self.knots, DURATION / points, relative=relative)

    def rival(self) -> Any:
        """``scipy.integrate.solve_ivp`` with BDF."""
        from scipy.integrate import solve_ivp

        motion, th = self.system.motion, self.ours(points=1).th[0]
        size = motion.scale
        rates = ca.Function("f", [motion.states, motion.th], [motion.rates])
        slopes = ca.Function("j", [motion.states, motion.th], [ca.jacobian(motion.rates, motion.states)])
        return lambda: solve_ivp(
            lambda _, y: np.array(rates(y * size, th)).ravel() / size,
            (0.0, DURATION),
            self.start / size,
            method="BDF",
            jac=lambda _, y: np.array(slopes(y * size, th)) / size[:, None] * size,
            t_eval=np.linspace(0, DURATION, POINTS + 1),
            rtol=RELATIVE,
            atol=RELATIVE,
        )


def inlet_error(case: FlowStep, states: Vector, truth: Course) -> float:
    """Largest error of the inlet pressure (bar) of states (n, k) in SI."""
    k = truth.names.index("pressure in inlet")
    return float(np.abs(states[:, k] - truth.states[:, k]).max()) / PASCAL


def relief() -> tuple[list[Line], bool]:
    """The flow step: ours, the rival, and whether the gain is large enough."""
    case = FlowStep()
    truth, ours, rival = case.ours(1e-10), case.ours(), case.rival()
    built, _ = once(lambda: FlowStep().ours())
    here = best(case.ours, 15)
    there, answer = once(rival)
    again, _ = once(rival)
    there = min(there, again)
    theirs = answer.y.T * case.system.motion.scale
    gain = there / here
    said = (
        f"scipy BDF {1e3 * there:.0f} ms, {gain:.0f} x (wanted {LEAST_GAIN:g} x), error "
        f"{inlet_error(case, ours.states, truth):.1g} bar here, {inlet_error(case, theirs, truth):.1g} bar there"
    )
    lines = [
        Line(f"two-stage relief, flow step, {DURATION} s, {POINTS} points", 30.0, 1e3 * here, said),
        Line("  of it: with 100 points", None, 1e3 * best(lambda: case.ours(points=100), 9)),
        Line("  from the file, assembled and compiled anew", None, 1e3 * built),
    ]
    return lines, gain >= LEAST_GAIN


def raising() -> list[Line]:
    """The hoist raised and stopped, with all series, events and figures."""
    machine = hoist()
    changes = [read_change(machine, text) for text in ("0.5 s over 0.3 s: lever=1", "2 s over 0.2 s: lever=0")]
    point = machine.point_from({"lever": "0"})
    took = best(lambda: run_machine(machine, RAISE, changes, point=point), 5)
    return [Line(f"hoist raised and stopped, {RAISE:g} s, whole study", 1e3 * RAISE, 1e3 * took)]


def run() -> bool:
    """Print the table; True when every target is met."""
    show(where_and_with_what())
    print("\nTransients at a relative tolerance of 1e-6, the least of several, ms")
    print(f"  {'what':<62}{'target':>8}{'measured':>10}  rival: scipy.integrate.solve_ivp")
    lines, met = relief()
    for line in [*lines, *raising()]:
        target = "" if line.target is None else f"{line.target:g}"
        print(f"  {line.what:<62}{target:>8}{line.measured:>10.2f}  {line.rival}{'' if line.met else '  MISSED'}")
        met = met and line.met
    return met
