"""Steady state: damped Newton on the exact Jacobian, with a pseudo-transient of the same residual behind it.

Warm Newton first; when it does not get there, each balance is let run in pseudo-time (chambers fill, parts
creep against a damper) with a step that grows while it goes easily, and Newton finishes.  Every answer passes
the same residual check.  Of several balances only one that can be stayed in is taken, while there is one.
Measured choices: docs/numerics.md.
Source: C. T. Kelley and D. E. Keyes, "Convergence analysis of pseudo-transient continuation", SIAM J. Numer.
Anal. 35 (1998) 508-523 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from oilway.errors import ImpossibleCircuit, NoSolution
from oilway.model.system import System, Vector

TOLERANCE = 1e-10  # largest scaled residual of an accepted state
ROUNDING = 8 * float(np.finfo(float).eps)  # of a residual, as a share of |Jacobian| |unknowns|
WARM_STEPS = 12
POLISH_STEPS = 40
MARCH_STEPS = 600
CREEP_DAMPING = (1e3, 3e4, 1e2)  # N s/m: dampers of the pseudo-transient, tried in turn
FIRST_STEP, LARGEST_STEP, SHORTEST_STEP = 1e-4, 1e6, 1e-13  # s of pseudo-time
HEAVIEST = 10.0  # scaled: about 2 m3 of oil, 100 t; rest does not depend on it, and more would not get there
POLISH_FROM = 1.0  # s: steps this long mean that little moves any more
STEP_ITERATIONS, PATIENCE = 10, 3  # of one implicit step; how many may pass without a gain
STEP_CLOSED = 1e-2  # an implicit step closes when its residual has fallen to this share
# Largest move of one iteration, SI.
STRIDE = {"pressure": 3e6, "drive": 1e-3, "flow": 2.0, "velocity": 1.0, "rotation": 20.0, "share": 1.0}
FAR = 10.0  # strides
ROUNDED_FROM = 1e-6  # a residual above this is never put down to rounding; ledgers close to as much
RUNAWAY = {"pressure": 1e9, "velocity": 100.0, "flow": 1e6}  # Pa, m/s, kg/s: no rest is looked for beyond


@dataclass
class Effort:
    """What a solve took: Newton steps, pseudo-time steps, and how many dampers were tried."""

    newton: int = 0
    march: int = 0
    dampers: int = 0


@dataclass
class _Problem:
    """One solve: the system at a parameter vector.  All in scaled unknowns and rows."""

    system: System
    th: Vector
    effort: Effort

    def __post_init__(self) -> None:
        unknowns = self.system.unknowns
        self.stride = np.array([STRIDE[u.kind] for u in unknowns]) / self.system.scale
        self.is_drive = np.array([u.kind == "drive" for u in unknowns], dtype=bool)
        self.is_pressure = np.array([u.kind == "pressure" for u in unknowns], dtype=bool)
        self.highest = np.array([RUNAWAY.get(u.kind, np.inf) for u in unknowns]) / self.system.scale
        self.diagonal = np.arange(len(unknowns))
        self.stopped = self.system.start / self.system.scale  # where the last march ended
        self.saddle: Vector | None = None  # the last balance found that nothing could stay in

    def evaluate(self, z: Vector) -> tuple[Vector, Vector]:
        """Residual and Jacobian at z (scaled); views that the next call overwrites."""
        return self.system.scaled(z * self.system.scale, self.th)

    def step(self, left: Vector, jacobian: Vector, inertia: Vector) -> Vector:
        """Solve (inertia - J) d = left; the Jacobian is spent."""
        np.negative(jacobian, out=jacobian)
        jacobian[self.diagonal, self.diagonal] += inertia
        try:
            return np.asarray(np.linalg.solve(jacobian, left))
        except np.linalg.LinAlgError:
            return np.asarray(np.linalg.lstsq(jacobian, left, rcond=None)[0])

    def at_rest(self, z: Vector, f: Vector, jacobian: Vector) -> bool:
        """Whether a residual is as small as an accepted state asks, or as rounding of the unknowns allows.

        Between two chambers joined by a very wide passage the last digit of a pressure is a flow.
        """
        size = np.abs(f)
        largest = float(size.max())
        if not largest < ROUNDED_FROM:
            return False
        return largest < TOLERANCE or bool(np.all(size < TOLERANCE + ROUNDING * (np.abs(jacobian) @ np.abs(z))))

    def holds(self, z: Vector, jacobian: Vector, inertia: Vector) -> bool:
        """Whether a balance can be stayed in; one that every nudge drives away from is kept as ``saddle``.

        All real modes of inertia dz/dt = residual die away only where the determinant of -J is positive.
        """
        if np.linalg.slogdet(np.diag(inertia) - jacobian)[0] >= 0:
            return True
        self.saddle = z
        return False

    def limit(self, z: Vector, step: Vector) -> float:
        """Share of a step that keeps every unknown within its stride; nan when the step is not finite.

        What is far out already (a part pressed hard on its stop) may go as far again.
        """
        stride = self.stride + np.maximum(np.abs(z) - FAR * self.stride, 0.0)
        reach = float(np.abs(step / stride).max())
        return min(1.0, 1.0 / reach) if reach > 0 else 1.0 if reach == 0 else float("nan")

    def inertia(self, z: Vector, damper: float) -> Vector:
        """What each balance stores per unit of its unknown; parts creep against a damper.

        Below no pressure a chamber counts as filled: the air in it would take minutes of pseudo-time to press.
        """
        filled = np.where(self.is_pressure, np.maximum(z, 0.0), z)
        storage = self.system.storage(filled * self.system.scale, self.th)
        storage[self.is_drive] = damper
        return np.minimum(storage * self.system.scale / self.system.row_scale, HEAVIEST)


def steady(system: System, th: Vector, start: Vector | None = None, effort: Effort | None = None) -> Vector:
    """Unknowns z (n,) at rest for parameters th (m,), warm-started where a start is given.

    Errors: :class:`NoSolution` naming the worst equation and its unknown, :class:`ImpossibleCircuit` where a
    pressure runs away.  No numbers are returned then.
    """
    if system.size == 0:
        return np.zeros(0)
    problem = _Problem(system, th, effort or Effort())
    if start is not None:
        z = _newton(problem, start / system.scale, WARM_STEPS)
        if z is not None:
            return z * system.scale
    first, saddle = (system.start if start is None else start) / system.scale, problem.saddle
    dead_headed: ImpossibleCircuit | None = None
    for damper in CREEP_DAMPING:
        problem.effort.dampers += 1
        try:
            z, dead_headed = _march(problem, first, damper), None
        except ImpossibleCircuit as error:
            # A wild start can do the same to a circuit that is sound, so the others are tried all the same.
            z, dead_headed = None, error
        if z is not None:
            return z * system.scale
        saddle = saddle if problem.saddle is None else problem.saddle
        first = system.start / system.scale
    if saddle is not None:
        return saddle * system.scale  # the only balance there is; stability tells that it does not hold
    raise dead_headed or _failure(problem)


def _newton(problem: _Problem, start: Vector, steps: int) -> Vector | None:
    """Newton with a limited stride; None when it does not arrive, or at a balance that cannot be stayed in."""
    z = start.copy()
    f, jacobian = problem.evaluate(z)
    inertia = problem.inertia(z, 1.0) / LARGEST_STEP  # keeps oil that nothing moves where it is
    for _ in range(steps):
        if problem.at_rest(z, f, jacobian):
            return z if problem.holds(z, jacobian, inertia) else None
        problem.effort.newton += 1
        step = problem.step(f, jacobian, inertia)
        share = problem.limit(z, step)
        if not share > 0:
            return None
        z += share * step
        f, jacobian = problem.evaluate(z)
    return None


def _march(problem: _Problem, start: Vector, damper: float) -> Vector | None:
    """Pseudo-transient: implicit Euler steps, longer while they go easily, shorter when one will not close."""
    z, dt, problem.saddle = start.copy(), FIRST_STEP, None
    for _ in range(MARCH_STEPS):
        problem.effort.march += 1
        moved, iterations = _implicit_step(problem, z, dt, damper)
        if moved is None:
            dt *= 0.2
            if dt < SHORTEST_STEP:
                return None
            continue
        z = problem.stopped = moved
        if np.any(beyond := np.abs(z) > problem.highest):
            if np.any(beyond & problem.is_pressure & (z > 0)):
                raise _runaway(problem, z)
            return None  # a load that nothing holds, or a void that nothing fills
        dt = min(dt * (10.0 if iterations <= 2 else 4.0 if iterations <= 4 else 1.5), LARGEST_STEP)
        if dt >= POLISH_FROM:
            polished = _newton(problem, z, POLISH_STEPS)
            if polished is not None or problem.saddle is not None:
                return polished
    return None


def _implicit_step(problem: _Problem, old: Vector, dt: float, damper: float) -> tuple[Vector | None, int]:
    """One implicit Euler step by Newton; None when it does not close in a few iterations."""
    inertia = problem.inertia(old, damper) / dt
    z = old.copy()
    f, jacobian = problem.evaluate(z)
    if problem.at_rest(z, f, jacobian):
        return z, 0
    aim = max(STEP_CLOSED * float(np.abs(f).max()), 0.1 * TOLERANCE)
    left, best, waited = f, np.inf, 0
    for iteration in range(1, STEP_ITERATIONS + 1):
        problem.effort.newton += 1
        step = problem.step(left, jacobian, inertia)
        share = problem.limit(z, step)
        if not share > 0:
            return None, iteration
        # A gain is not asked for at once: behind a check valve or a seat the residual jumps before it falls.
        z += share * step
        f, jacobian = problem.evaluate(z)
        left = f - inertia * (z - old)
        size = float(np.abs(left).max())
        if size < aim:
            return z, iteration
        best, waited = (size, 0) if size < 0.7 * best else (best, waited + 1)
        if waited >= PATIENCE:
            return None, iteration
    return None, STEP_ITERATIONS


def _runaway(problem: _Problem, z: Vector) -> ImpossibleCircuit:
    worst = int(np.argmax(np.where(problem.is_pressure, z, 0.0)))
    unknown = problem.system.unknowns[worst]
    return ImpossibleCircuit(
        f"dead-headed: the pressure in {unknown.owner} rises without end, nothing lets the oil out",
        equation=unknown.equation,
        unknown=unknown.name,
        hint="give the oil a path to tank, or a relief valve that opens",
        part=unknown.owner,
    )


def _failure(problem: _Problem) -> NoSolution:
    """The balance that was furthest from closing where the last march stopped."""
    z = problem.stopped
    f = np.abs(problem.evaluate(z)[0])
    fast = (np.abs(z) > problem.highest) & ~problem.is_pressure
    worst = int(np.argmax(np.where(fast, f, 0.0) if fast.any() else f))
    unknown = problem.system.unknowns[worst]
    return NoSolution(
        "no state of rest was found at this operating point",
        equation=f"{unknown.equation} (off by {f[worst] * unknown.row_scale:.3g} SI)",
        unknown=unknown.name,
        hint="look at what feeds or holds it: a missing path, a zero clearance, a value with the wrong unit",
        part=unknown.owner,
    )
