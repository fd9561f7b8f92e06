"""Solver under test: buffered CasADi evaluation, damped Newton, pseudo-transient continuation, march.

The pseudo-transient rule that survived the trials (docs/numerics.md): grow dt on every accepted step whatever
the residual does; refuse, never clip, a step beyond the limits. Fast path of a CasADi call: `Function.buffer()`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import casadi as ca
import numpy as np

from benchmarks.choice_model import BAR, P_SCALE, System

TOL = 1e-9  # norm of the scaled residual: 1e-9 kg/s, 1e-7 N
Array = np.ndarray


class Bound:
    """A CasADi function tied once to NumPy memory: write `args`, call, read `results` (columns first)."""

    def __init__(self, function: ca.Function) -> None:
        self.args = [np.zeros(function.nnz_in(i)) for i in range(function.n_in())]
        self.results = [np.zeros(function.nnz_out(i)) for i in range(function.n_out())]
        self._buffer, self._call = function.buffer()
        for i, array in enumerate(self.args):
            self._buffer.set_arg(i, memoryview(array))  # type: ignore[call-arg, arg-type]  # its stub is wrong
        for i, array in enumerate(self.results):
            self._buffer.set_res(i, memoryview(array))  # type: ignore[call-arg, arg-type]

    def call(self) -> None:
        """Evaluate. A method, so that its holder keeps buffer and arrays alive: losing them is a segfault."""
        self._call()


class Compiled:
    """Residual and dense Jacobian of a System; `step` solves (M/dt - J) d = r by LAPACK."""

    def __init__(self, sys: System) -> None:
        self.sys, self.n = sys, len(sys.y)
        self.mass, self.scale, self.th = np.array(sys.mass), np.array(sys.scale), np.array(sys.th0)
        self.limit = step_limits(self.scale, 100 * BAR, 1e-3)
        self.diagonal = np.arange(self.n)
        self.symbols = ca.vertcat(*sys.y), ca.vertcat(*sys.th), ca.vertcat(*sys.r)
        self.build()

    def build(self) -> None:
        """Make and bind the function (y, th) -> (r, J)."""
        y, th, r = self.symbols
        self.function = ca.Function("rj", [y, th], [r, ca.densify(ca.jacobian(r, y))], ["y", "th"], ["r", "j"])
        self.bound = Bound(self.function)
        self.r, flat = self.bound.results
        self.jac = flat.reshape(self.n, self.n).T  # a view: CasADi writes by columns

    def __call__(self, y: Array) -> float:
        """Evaluate at y; return the residual norm."""
        self.bound.args[0][:] = y
        self.bound.args[1][:] = self.th
        self.bound.call()
        return float(np.sqrt(self.r @ self.r))

    def step(self, dt: float) -> Array:
        """Implicit Euler step, Newton's for dt = inf; NaN (which every caller refuses) where singular."""
        matrix: Array = -self.jac
        if dt < np.inf:
            matrix[self.diagonal, self.diagonal] += self.mass / dt
        try:
            return np.asarray(np.linalg.solve(matrix, self.r))
        except np.linalg.LinAlgError:
            return np.full(self.n, np.nan)


def step_limits(scale: Array, pressure: float, lift: float) -> Array:
    """Largest move of one pseudo-time step, scaled as the unknowns: Pa and m in."""
    return np.asarray(np.where(scale == P_SCALE, pressure, lift) / scale)


@dataclass(frozen=True)
class Outcome:
    """Where a solve stopped: scaled unknowns, whether the residual is below TOL, steps used."""

    y: Array
    ok: bool
    steps: int


def newton(f: Compiled, start: Array, most: int = 20) -> Outcome:
    """Damped Newton: halve the step until the residual norm falls."""
    y, norm = start, f(start)
    for step in range(most):
        if norm < TOL:
            return Outcome(y, True, step)
        d = f.step(np.inf)
        if not np.isfinite(d @ d):
            return Outcome(y, False, step)
        part = 1.0
        while not (trial := f(y + part * d)) < (1 - 1e-4 * part) * norm:
            part /= 2
            if part < 1e-4:
                return Outcome(y, False, step)
        y, norm = y + part * d, trial
    return Outcome(y, norm < TOL, most)


Grow = Callable[[float, float], float]


def always(_old: float, _new: float) -> float:
    """Grow dt on every accepted step."""
    return 1.5


def by_residual(old: float, new: float) -> float:
    """The textbook rule (switched evolution relaxation): dt follows the inverse of the residual."""
    return float(np.clip(old / max(new, 1e-300), 0.3, 5.0))


def pseudo_transient(
    f: Compiled, start: Array, most: int = 1500, grow: Grow = always, clip: bool = False, dt: float = 1e-4
) -> Outcome:
    """Linear implicit Euler on M y' = r with dt growing to infinity, where it is Newton's method."""
    y, norm = start.copy(), f(start)
    for step in range(most):
        if norm < TOL:
            return Outcome(y, True, step)
        d = f.step(dt)
        over = float(np.max(np.abs(d) / f.limit))
        if not over <= 1:
            if not clip or not np.isfinite(over):
                dt *= max(0.1, 0.5 / over) if np.isfinite(over) else 0.1
                continue
            d /= over
        y += d
        old, norm = norm, f(y)
        dt = min(dt * grow(old, norm), 1e12)
    return Outcome(y, norm < TOL, most)


def implicit_step(f: Compiled, old: Array, dt: float, most: int = 12) -> tuple[Array | None, int]:
    """One implicit Euler step closed to 1 % by Newton; None when it does not close. Clipping is safe inside."""
    f(old)
    y, left = old.copy(), f.r.copy()
    aim = max(1e-2 * float(np.abs(left).max()), 0.1 * TOL)
    for iteration in range(1, most + 1):
        f.r[:] = left
        d = f.step(dt)
        over = float(np.max(np.abs(d) / f.limit))
        if not np.isfinite(over):
            return None, iteration
        y = y + d / max(1.0, over)
        f(y)
        left = f.r - f.mass / dt * (y - old)
        if float(np.abs(left).max()) < aim:
            return y, iteration
    return None, most


def closed_transient(f: Compiled, start: Array, most: int = 1500) -> Outcome:
    """Pseudo-transient with every implicit step closed by Newton; `steps` counts linear solves."""
    y, dt, used = start, 1e-4, 0
    while used < most:
        if f(y) < TOL:
            return Outcome(y, True, used)
        moved, iterations = implicit_step(f, y, dt)
        used += iterations
        if moved is None:
            dt *= 0.2
            continue
        y = moved
        dt = min(dt * (10.0 if iterations <= 2 else 4.0 if iterations <= 4 else 1.5), 1e6)
    return Outcome(y, f(y) < TOL, used)


def settled(f: Compiled, y: Array) -> bool:
    """False on the unstable middle branch of a fold: an odd number of modes of J run away, whatever the masses."""
    f(y)
    return bool(np.linalg.slogdet(-f.jac)[0] >= 0)


def cold(f: Compiled, start: Array) -> Outcome:
    """Pseudo-transient with the parts at 1, 100 and 0.01 times their damping, until one settles.

    A pseudo-motion may cycle for ever at one ratio of damping to volume; the equilibria do not depend on it.
    """
    mass, used = f.mass, 0
    best: Outcome | None = None
    for ratio in (1.0, 100.0, 0.01):
        f.mass = np.where(f.scale == P_SCALE, mass, ratio * mass)
        found = pseudo_transient(f, start, most=400 + 4 * f.n)
        used += found.steps
        best = found if best is None or found.ok else best
        if found.ok and settled(f, found.y):
            break
    f.mass = mass
    assert best is not None
    return Outcome(best.y, best.ok, used)


def steady(f: Compiled, start: Array) -> Outcome:
    """Warm start: Newton; the cold solver from the same start if that fails or lands on an unstable branch."""
    found = newton(f, start)
    return found if found.ok and settled(f, found.y) else cold(f, start)


def march(
    f: Compiled, start: Array, name: str, values: Array, memory: tuple[tuple[str, str], ...] = ()
) -> list[Outcome]:
    """Quasi-static sweep of one parameter; `memory` pairs (ref parameter, lift) that carry dry friction."""
    column = f.sys.th_names.index(name)
    refs = [f.sys.th_names.index(ref) for ref, _ in memory]
    y, th, _ = f.symbols
    lifts = Bound(ca.Function("x", [y, th], [ca.vertcat(*[f.sys.out[x] for _, x in memory])]))
    points = []
    for value in values:
        f.th[column] = value
        points.append(steady(f, start))
        start = points[-1].y
        if refs:
            lifts.args[0][:], lifts.args[1][:] = start, f.th
            lifts.call()
            f.th[refs] = lifts.results[0]
    return points
