"""Rivals of the provisional choice, all evaluating the model of `choice_model`.

Optional ones (scipy, sympy, numba, gcc) are left out of the table where they are not installed.
"""

from __future__ import annotations

import math
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import casadi as ca
import numpy as np

from benchmarks.choice_model import F_SCALE, System, single, valve_rest
from benchmarks.choice_solve import TOL, Compiled, Outcome


def have(name: str) -> bool:
    """True when a library is installed, without importing it."""
    return find_spec(name) is not None


BINARY = {
    ca.OP_ADD: "({} + {})",
    ca.OP_SUB: "({} - {})",
    ca.OP_MUL: "({} * {})",
    ca.OP_DIV: "({} / {})",
    ca.OP_FMIN: "fmin({}, {})",
    ca.OP_FMAX: "fmax({}, {})",
    ca.OP_LT: "({} < {})",
    ca.OP_LE: "({} <= {})",
    ca.OP_IF_ELSE_ZERO: "({} * {})",
}
UNARY = {
    ca.OP_NEG: "(-{})",
    ca.OP_SQ: "({0} * {0})",
    ca.OP_SQRT: "sqrt({})",
    ca.OP_FABS: "abs({})",
    ca.OP_SIGN: "sign({})",
    ca.OP_INV: "(1.0 / {})",
    ca.OP_TWICE: "(2.0 * {})",
    ca.OP_NOT: "(1.0 - {})",
}


def tape_source(f: ca.Function) -> str:
    """Python text of an SX function: `def tape(a0, a1, ..., o0, o1, ...)` over nonzeros, one line an operation."""
    names = ", ".join([f"a{i}" for i in range(f.n_in())] + [f"o{i}" for i in range(f.n_out())])
    lines = [f"def tape({names}):"]
    for k in range(f.n_instructions()):
        op, out, arg = f.instruction_id(k), f.instruction_output(k), f.instruction_input(k)
        if op == ca.OP_CONST:
            lines.append(f" w{out[0]} = {f.instruction_constant(k)!r}")
        elif op == ca.OP_INPUT:
            lines.append(f" w{out[0]} = a{arg[0]}[{arg[1]}]")
        elif op == ca.OP_OUTPUT:
            lines.append(f" o{out[0]}[{out[1]}] = w{arg[0]}")
        else:
            form = BINARY.get(op) or UNARY[op]
            lines.append(f" w{out[0]} = " + form.format(*[f"w{i}" for i in arg]))
    return "\n".join(lines)


def tape(f: ca.Function, space: dict[str, Any]) -> Callable[..., None]:
    """The tape of f as a Python function over the given sqrt, fmin, fmax, sign."""
    scope = dict(space)
    exec(tape_source(f), scope)  # our own text, made a line above
    made: Callable[..., None] = scope["tape"]
    return made


SCALAR = {
    "sqrt": math.sqrt,
    "fmin": min,
    "fmax": max,
    "sign": lambda x: 1.0 if x > 0 else (-1.0 if x < 0 else 0.0),
}
VECTOR = {"sqrt": np.sqrt, "fmin": np.minimum, "fmax": np.maximum, "sign": np.sign}


def numba_tape(f: ca.Function) -> Callable[..., None]:
    """The scalar tape under numba; compiled at its first call."""
    import numba

    sign = numba.njit(SCALAR["sign"])
    jitted: Callable[..., None] = numba.njit(tape(f, {**SCALAR, "sign": sign}))
    return jitted


def generated_c(f: ca.Function) -> ca.Function:
    """f as C compiled by gcc -O2 and loaded back: the floor of evaluation time."""
    folder = Path(tempfile.mkdtemp())
    source, library = folder / f"{f.name()}.c", folder / f"{f.name()}.so"
    generator = ca.CodeGenerator(source.name)
    generator.add(f)
    generator.generate(f"{folder}/")
    subprocess.run(["gcc", "-O2", "-shared", "-fPIC", str(source), "-o", str(library)], check=True)
    return ca.external(f.name(), str(library))


def have_gcc() -> bool:
    """True when a C compiler is on the path."""
    return shutil.which("gcc") is not None


def sympy_functions() -> list[Callable[..., Any]]:
    """Residual and Jacobian of the single valve by sympy and lambdify, same text of laws."""
    import sympy

    class Space:
        sqrt, fabs, fmin, fmax = sympy.sqrt, sympy.Abs, sympy.Min, sympy.Max

    sys = single()
    y = sympy.symbols("y0:4", real=True)
    th = {name: sympy.Symbol(name, positive=True) for name in sys.th_names}
    p1, p2, s1, s2 = (v * s for v, s in zip(y, sys.scale, strict=True))
    q = valve_rest(Space, p1, p2, s1, s2, 0, th, th)
    r = sympy.Matrix(
        [
            th["rho"] * th["flow"] - q["orifice"] - q["main"],
            q["orifice"] - q["pilot"],
            q["f1"] / F_SCALE,
            q["f2"] / F_SCALE,
        ]
    )
    arguments = [*y, *th.values()]
    return [sympy.lambdify(arguments, m, "numpy", cse=True) for m in (r, r.jacobian(y))]


def numpy_residual(f: Compiled) -> Callable[[np.ndarray], list[float]]:
    """Residual of the single valve straight from the laws' text with Python floats: the hand-written rival."""
    sys = f.sys
    scale = [float(s) for s in sys.scale]

    class Space:
        sqrt, fabs, fmin, fmax = math.sqrt, abs, min, max

    def residual(y: np.ndarray) -> list[float]:
        th = dict(zip(sys.th_names, f.th.tolist(), strict=True))
        p1, p2, s1, s2 = (v * s for v, s in zip(y.tolist(), scale, strict=True))
        q = valve_rest(Space, p1, p2, s1, s2, 0.0, th, th)
        return [
            th["rho"] * th["flow"] - q["orifice"] - q["main"],
            q["orifice"] - q["pilot"],
            q["f1"] / F_SCALE,
            q["f2"] / F_SCALE,
        ]

    return residual


def difference_jacobian(
    residual: Callable[[np.ndarray], list[float]], y: np.ndarray, h: float = 1e-7
) -> np.ndarray:
    """Forward-difference Jacobian: n + 1 residuals."""
    r0 = np.array(residual(y))
    columns = []
    for i in range(y.size):
        moved = y.copy()
        moved[i] += h
        columns.append((np.array(residual(moved)) - r0) / h)
    return np.column_stack(columns)


def scipy_solver(f: Compiled, method: str) -> Callable[[Compiled, np.ndarray], Outcome]:
    """SciPy `root` (hybr, lm) or `least_squares` (trf) on the same residual and exact Jacobian."""
    from scipy.optimize import least_squares, root

    def residual(y: np.ndarray) -> np.ndarray:
        f(y)
        return f.r.copy()

    def jacobian(y: np.ndarray) -> np.ndarray:
        f(y)
        return f.jac.copy()

    def solve(_: Compiled, start: np.ndarray) -> Outcome:
        if method == "trf":
            found = least_squares(residual, start, jac=jacobian, xtol=1e-14, ftol=1e-14, gtol=1e-14, max_nfev=200)
        else:
            found = root(residual, start, jac=jacobian, method=method, tol=1e-13)
        return Outcome(found.x, bool(f(found.x) < 10 * TOL), int(found.nfev))

    return solve


def rootfinder(sys: System, kind: str = "newton") -> ca.Function:
    """CasADi's own root finder on the same residual: the whole solve in one call."""
    y, th, r = ca.vertcat(*sys.y), ca.vertcat(*sys.th), ca.vertcat(*sys.r)
    options: dict[str, Any] = {"abstol": TOL, "error_on_fail": False}
    if kind == "newton":
        options |= {"max_iter": 30, "line_search": True}
    return ca.rootfinder("root", kind, {"x": y, "p": th, "g": r}, options)
