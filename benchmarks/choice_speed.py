"""Speed: one evaluation by every rival, a pressure-flow curve, 1,000 variations, import and build times."""

from __future__ import annotations

import subprocess
import sys as python
from collections.abc import Callable
from functools import partial
from multiprocessing import get_context
from typing import Any

import casadi as ca
import numpy as np

from benchmarks.choice_model import GPM, System, series, single
from benchmarks.choice_report import Row, best, once, row
from benchmarks.choice_rivals import (
    SCALAR,
    VECTOR,
    difference_jacobian,
    generated_c,
    have,
    have_gcc,
    numba_tape,
    numpy_residual,
    rootfinder,
    scipy_solver,
    sympy_functions,
    tape,
)
from benchmarks.choice_solve import TOL, Array, Bound, Compiled, Outcome, march, pseudo_transient, steady

Evaluate = Callable[[Array, Array], tuple[Array, Array]]


def evaluation() -> list[Row]:
    """Residual plus 4x4 Jacobian of the default valve, per call."""
    f = Compiled(single())
    y = pseudo_transient(f, np.zeros(f.n)).y + 0.01
    lists, r, j = (y.tolist(), f.th.tolist()), np.zeros(4), np.zeros(16)
    python_tape, by_hand = tape(f.function, SCALAR), numpy_residual(f)

    def timed(label: str, work: Callable[[], Any], note: str = "") -> Row:
        return row("2 one evaluation of r and J, 4 unknowns", label, best(work, 5, 300) * 1e6, "us", note)

    f(y)
    rows = [
        timed("CasADi, buffer, arguments already in place", f.bound.call),
        timed("CasADi, buffer, with arguments copied and the norm taken", partial(f, y)),
        timed("CasADi, plain call", partial(f.function, y, f.th)),
        timed("same tape as plain Python", partial(python_tape, *lists, r, j)),
        timed("laws in plain Python, residual only", partial(by_hand, y)),
        timed("laws in plain Python, J by differences", partial(difference_jacobian, by_hand, y)),
    ]
    if have("sympy"):
        seconds, made = once(sympy_functions)
        note = f"after {seconds:.2f} s to derive and build"
        rows.append(timed("sympy lambdify", lambda: [g(*y, *f.th) for g in made], note))
    if have("numba"):
        seconds, jitted = once(partial(numba_tape, f.function))
        first, _ = once(partial(jitted, y, f.th, r, j))
        note = f"after {seconds + first:.2f} s for import and first call"
        rows.append(timed("tape under numba", partial(jitted, y, f.th, r, j), note))
    if have_gcc():
        seconds, compiled = once(partial(generated_c, f.function))
        rows.append(
            timed("generated C (the floor), buffer", Bound(compiled).call, f"after {seconds:.2f} s of gcc")
        )
    return rows


def algebra() -> list[Row]:
    """One dense solve at the sizes of this project."""
    rows, rng = [], np.random.default_rng(0)
    for n in (4, 10, 20, 40, 100, 250):
        a, b = rng.normal(size=(n, n)) + n * np.eye(n), rng.normal(size=n)
        note = ""
        if have("scipy"):
            from scipy.linalg.lapack import dgesv

            note = f"scipy dgesv {best(partial(dgesv, a, b), 5, 50) * 1e6:.1f} us"
        rows.append(
            row(
                "2 dense solve",
                f"numpy.linalg.solve, n = {n}",
                best(partial(np.linalg.solve, a, b), 5, 50) * 1e6,
                "us",
                note,
            )
        )
    return rows


def found(solver: Callable[[Compiled, Array], Outcome], f: Compiled, y: Array) -> Array:
    """Where a solver stopped, converged or not."""
    return solver(f, y).y


def sweep(f: Compiled, start: Array, flows: Array, solve: Callable[[Array], Array]) -> int:
    """Warm-started sweep by a rival; how many points end below 100 times our tolerance."""
    y, good = start, 0
    for q in flows:
        f.th[0] = q
        y = solve(y)
        good += f(y) < 100 * TOL
    return good


def curve() -> list[Row]:
    """100 points rising and 100 falling, warm-started."""
    f, part = Compiled(single()), "2 curve"
    from_zero = partial(pseudo_transient, f, np.zeros(f.n))
    seconds, start = once(from_zero)
    rise = np.linspace(0.2, 25, 100) * GPM
    flows = np.r_[rise, rise[::-1]]
    steps = [o.steps for o in march(f, start.y, "flow", flows) if o.ok]
    note = f"{len(steps)}/200, steps mean {np.mean(steps):.1f}, max {max(steps)}"
    cost = best(partial(march, f, start.y, "flow", flows)) * 1e3
    rows = [
        row(part, "200 points, Newton on buffered CasADi", cost, "ms", note),
        row(part, "cold start of one point", best(from_zero) * 1e3, "ms", f"first ever {seconds * 1e3:.1f} ms"),
    ]
    root = rootfinder(f.sys)
    rivals: dict[str, Callable[[Array], Array]] = {
        "casadi.rootfinder newton": lambda y: np.array(root(y, f.th)).ravel()
    }
    if have("scipy"):
        for m in ("hybr", "trf"):
            rivals[f"scipy {m}, exact Jacobian"] = partial(found, scipy_solver(f, m), f)
    for label, solve in rivals.items():
        cost, good = once(partial(sweep, f, start.y, flows, solve))
        rows.append(row(part, f"200 points, {label}", cost * 1e3, "ms", f"{good}/200 below 100x tolerance"))
    return rows


def batch_newton(evaluate: Evaluate, y: Array, th: Array) -> Array:
    """Full-step Newton on all columns at once, 10 steps; a column is frozen once it has converged."""
    y = y.copy()
    for _ in range(10):
        r, j = evaluate(y, th)
        active = np.einsum("ij,ij->j", r, r) > TOL**2
        if not active.any():
            break
        y[:, active] -= np.linalg.solve(j[active], r[:, active].T[:, :, None])[:, :, 0].T
    return y


def solve_share(share: tuple[Array, Array]) -> list[bool]:
    """One process's share of the variations (each builds its own functions)."""
    f, (start, sets) = Compiled(single()), share
    done = []
    for th in sets:
        f.th[:] = th
        done.append(steady(f, start).ok)
    return done


def mapped(plain: ca.Function, count: int, *kind: str | int) -> Evaluate:
    """All columns by CasADi's own map, serial or on threads."""
    many = Bound(plain.map(count, *kind))  # type: ignore[arg-type]

    def evaluate(y: Array, th: Array) -> tuple[Array, Array]:
        many.args[0][:], many.args[1][:] = y.T.ravel(), th.T.ravel()
        many.call()
        return many.results[0].reshape(count, 4).T, many.results[1].reshape(count, 4, 4).transpose(0, 2, 1)

    return evaluate


def numpy_wide(plain: ca.Function, count: int) -> Evaluate:
    """All columns by the tape on NumPy arrays, one array operation per instruction."""
    vector = tape(plain, VECTOR)

    def evaluate(y: Array, th: Array) -> tuple[Array, Array]:
        r, j = np.zeros((4, count)), np.zeros((16, count))
        with np.errstate(all="ignore"):
            vector(y, th, r, j)
        return r, j.reshape(4, 4, count).transpose(2, 1, 0)

    return evaluate


def variations() -> list[Row]:
    """1,000 parameter sets within 5 % of the default, from the default's solution."""
    f, part, count = Compiled(single()), "5 1,000 variations", 1000
    start = pseudo_transient(f, np.zeros(f.n)).y
    base = np.array(f.sys.th0)
    sets = base * np.random.default_rng(4).uniform(0.95, 1.05, (count, base.size))
    serial = partial(solve_share, (start, sets))
    rows = [row(part, "serial Python", count / best(serial, 3), "solves/s", f"{sum(serial())}/{count}")]
    kinds = {
        "CasADi map, batched NumPy solve": mapped(f.function, count),
        "... map on 2 threads": mapped(f.function, count, "thread", 2),
        "tape on NumPy arrays, batched NumPy solve": numpy_wide(f.function, count),
    }
    th, begin = np.ascontiguousarray(sets.T), np.repeat(start[:, None], count, axis=1)
    for label, evaluate in kinds.items():
        y = batch_newton(evaluate, begin, th)
        good = int((np.linalg.norm(evaluate(y, th)[0], axis=0) < TOL).sum())
        rate = count / best(partial(batch_newton, evaluate, begin, th), 3)
        rows.append(row(part, label, rate, "solves/s", f"{good}/{count} without any safeguard"))
    with get_context("spawn").Pool(2) as pool:
        halves = [(start, sets[:500]), (start, sets[500:])]
        rate = count / best(lambda: pool.map(solve_share, halves), 3)
    rows.append(row(part, "2 processes, already started", rate, "solves/s"))
    return rows


def start_up() -> list[Row]:
    """Import times in a fresh interpreter, and build times at 4, 40 and 200 unknowns."""

    def fresh(code: str) -> float:
        return best(lambda: subprocess.run([python.executable, "-c", code], check=True, capture_output=True), 3)

    bare = fresh("pass")
    rows = [row("8 start-up", "bare interpreter", bare * 1e3, "ms")]
    for name in ("numpy", "casadi", "scipy.optimize", "scipy.sparse.linalg", "sympy", "numba", "jax"):
        if have(name.split(".")[0]):
            rows.append(
                row("8 start-up", f"import {name}, above bare", (fresh(f"import {name}") - bare) * 1e3, "ms")
            )
    whole = (
        "import numpy as np; from benchmarks.choice_model import single;"
        "from benchmarks.choice_solve import Compiled, pseudo_transient;"
        "assert pseudo_transient(Compiled(single()), np.zeros(4)).ok"
    )
    rows.append(
        row("8 start-up", "interpreter, imports, build, cold solve of one valve", fresh(whole) * 1e3, "ms")
    )
    builders: tuple[Callable[[], System], ...] = (single, lambda: series(8), lambda: series(40))
    for make in builders:
        compose, system = once(make)
        built = best(partial(Compiled, system), 3)
        size, nonzeros = len(system.y), Compiled(system).function.n_instructions()
        rows.append(
            row(
                "8 start-up",
                f"compose and build r, J: {size} unknowns",
                (compose + built) * 1e3,
                "ms",
                f"{nonzeros} instructions",
            )
        )
    return rows
