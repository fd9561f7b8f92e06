"""Size: chains of 1 to 50 valves, dense against sparse algebra, and gradients by the implicit function theorem."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import casadi as ca
import numpy as np

from benchmarks.choice_model import System, parallel, random_starts, series, single
from benchmarks.choice_report import Row, best, once, row
from benchmarks.choice_rivals import have
from benchmarks.choice_solve import Array, Bound, Compiled, Outcome, closed_transient, newton, pseudo_transient


class Sparse(Compiled):
    """The same solver on the sparse Jacobian, factorised by SuperLU."""

    def build(self) -> None:
        """Bind (y, th) -> (r, nonzeros of J) and lay out -J with a full diagonal once."""
        from scipy.sparse import csc_matrix

        y, th, r = self.symbols
        jac = ca.jacobian(r, y)
        pattern = jac.sparsity() + ca.Sparsity.diag(self.n)
        jac = ca.project(jac, pattern)
        self.function = ca.Function("rj", [y, th], [r, jac], ["y", "th"], ["r", "j"])
        self.bound = Bound(self.function)
        self.r, self.nonzeros = self.bound.results
        starts, rows = np.array(pattern.colind()), np.array(pattern.row())
        self.place = np.flatnonzero(rows == np.repeat(self.diagonal, np.diff(starts)))
        self.matrix = csc_matrix((np.zeros(rows.size), rows, starts), shape=(self.n, self.n))

    def step(self, dt: float) -> Array:
        """Implicit Euler step by sparse LU."""
        from scipy.sparse.linalg import splu

        np.negative(self.nonzeros, out=self.matrix.data)
        if dt < np.inf:
            self.matrix.data[self.place] += self.mass / dt
        try:
            return np.asarray(splu(self.matrix).solve(self.r))
        except RuntimeError:
            return np.full(self.n, np.nan)


class Embedded(Compiled):
    """Residual and step in one CasADi call, its own sparse linear solver inside (named in `plugin`)."""

    plugin = "qr"

    def build(self) -> None:
        """Bind (y, th, 1/dt) -> (r, d)."""
        y, th, r = self.symbols
        jac = ca.Function(
            "rj",
            [y, th],
            [r, ca.project(ca.jacobian(r, y), ca.jacobian(r, y).sparsity() + ca.Sparsity.diag(self.n))],
        )
        my, mth, rate = ca.MX.sym("y", self.n), ca.MX.sym("th", th.numel()), ca.MX.sym("rate")
        res, j = jac(my, mth)
        d = ca.solve(ca.diag(ca.DM(self.mass)) * rate - j, res, self.plugin)
        self.function = ca.Function("step", [my, mth, rate], [res, d])
        self.bound = Bound(self.function)
        self.r, self.d = self.bound.results

    def step(self, dt: float) -> Array:
        """Implicit Euler step; the residual is evaluated again with the factorisation."""
        self.bound.args[2][:] = 1 / dt
        self.bound.call()
        return self.d.copy()


def solve_times(make: Callable[[System], Compiled], sys: System) -> tuple[float, float, float, float, int]:
    """Build, one step, cold and warm seconds, and cold steps (minus: did not converge)."""
    built, f = once(lambda: make(sys))
    seconds, cold = once(lambda: pseudo_transient(f, np.zeros(f.n)))
    f(cold.y)
    step = best(lambda: [f(cold.y), f.step(np.inf)], 5, 5)
    flow, column = f.th[0], f.sys.th_names.index("flow")
    f.th[column] = flow * 1.05
    warm = best(lambda: newton(f, cold.y), 3)
    return built, step, seconds, warm, cold.steps if cold.ok else -cold.steps


def chains() -> list[Row]:
    """Series and parallel chains of 1, 5, 20, 50 valves by each linear algebra."""
    kinds: dict[str, Callable[[System], Compiled]] = {"NumPy dense": Compiled, "CasADi qr inside": Embedded}
    if have("scipy"):
        kinds["SciPy splu"] = Sparse
    rows = []
    for name, maker in (("series", series), ("parallel", parallel)):
        for kind, make in kinds.items():
            size, cost = [], []
            for n in (1, 5, 20, 50):
                compose, sys = once(partial(maker, n))
                built, step, cold, warm, steps = solve_times(make, sys)
                size.append(len(sys.y))
                cost.append(step)
                rows.append(
                    row(
                        "3 chains",
                        f"{name}, {n} valves ({size[-1]} unknowns), {kind}",
                        step * 1e6,
                        "us",
                        f"one step; build {(compose + built) * 1e3:.0f} ms; cold {cold * 1e3:.1f} ms in "
                        f"{steps} steps; warm {warm * 1e3:.2f} ms",
                    )
                )
            power = np.polyfit(np.log(size[1:]), np.log(cost[1:]), 1)[0]
            rows.append(row("3 chains", f"{name}, {kind}: exponent of a step, 5 to 50 valves", power))
    return rows


def coupled() -> list[Row]:
    """Refusing against clipping a step that is too long, in chains, from zero and 6 random starts."""
    rows = []
    for name, maker, n in (("series", series, 5), ("series", series, 20), ("parallel", parallel, 20)):
        f = Compiled(maker(n))
        starts = np.vstack([np.zeros((1, f.n)), random_starts(f.sys, 6, 3)])
        rules: dict[str, Callable[[Compiled, Array], Outcome]] = {
            "steps refused": pseudo_transient,
            "steps clipped": partial(pseudo_transient, clip=True),
            "steps closed by Newton": closed_transient,
        }
        for label, solver in rules.items():
            found = [solver(f, start) for start in starts]
            note = f"linear solves median {np.median([o.steps for o in found]):.0f}"
            rows.append(
                row("3 chains", f"cold, {name}, {n} valves, {label}", f"{sum(o.ok for o in found)}/7", "", note)
            )
    return rows


def exact_gradient(f: Compiled, slope: Bound, point: Array) -> Array:
    """dy/dth (n, m) from J dy = -r_th."""
    f(point)
    slope.args[0][:], slope.args[1][:] = point, f.th
    slope.call()
    return np.asarray(-np.linalg.solve(f.jac, slope.results[0].reshape(f.th.size, f.n).T))


def differences(f: Compiled, point: Array, columns: list[int], relative: float, central: bool) -> Array:
    """dy/dth of the named columns from re-solved points."""
    base, out = f.th.copy(), []
    for c in columns:
        ends = []
        for sign in (1, -1) if central else (1, 0):
            f.th[:] = base
            f.th[c] *= 1 + sign * relative
            ends.append(newton(f, point).y)
        out.append((ends[0] - ends[1]) / (relative * base[c] * (2 if central else 1)))
    f.th[:] = base
    return np.array(out).T


def gradients() -> list[Row]:
    """dy/dth of the default valve by the implicit function theorem, against differences of solved points."""
    f, part = Compiled(single()), "4 gradients"
    y, th, r = f.symbols
    slope = Bound(ca.Function("slope", [y, th], [ca.densify(ca.jacobian(r, th))]))
    point = newton(f, pseudo_transient(f, np.zeros(f.n)).y + 1e-6).y
    idle = ("main_travel", "pilot_travel", "contact")
    columns = [i for i, n in enumerate(f.sys.th_names) if f.th[i] > 0 and n not in idle]
    true = exact_gradient(f, slope, point)[:, columns]
    cost = best(partial(exact_gradient, f, slope, point), 5, 50) * 1e6
    rows = [row(part, f"exact, {f.th.size} parameters x {f.n} unknowns", cost, "us")]
    for relative in (1e-3, 1e-4, 1e-5, 1e-6, 1e-8):
        for central in (True, False):
            work = partial(differences, f, point, columns, relative, central)
            error = np.max(np.abs(work() - true) / np.abs(true).max(axis=0))
            kind = "central" if central else "forward"
            label = f"{kind} differences, {len(columns)} parameters, step {relative:.0e}"
            note = f"largest relative difference from exact {error:.1e}"
            rows.append(row(part, label, best(work, 3) * 1e6, "us", note))
    return rows
