"""Robustness: cold starts, the stick band of dry friction, a folded curve."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import casadi as ca
import numpy as np

from benchmarks.choice_model import (
    BAR,
    GPM,
    MAIN_ANGLE,
    P_SCALE,
    System,
    direct,
    random_sets,
    random_starts,
    seat,
    single,
)
from benchmarks.choice_report import Row, once, row
from benchmarks.choice_rivals import have, scipy_solver
from benchmarks.choice_solve import (
    Array,
    Compiled,
    Outcome,
    by_residual,
    closed_transient,
    cold,
    march,
    newton,
    pseudo_transient,
    settled,
    steady,
    step_limits,
)

Solver = Callable[[Compiled, Array], Outcome]


def wide_sets(sys: System, count: int) -> Array:
    """Random parameter sets, 0.02..40 gpm, with dry friction, flow-force recovery and drain back-pressure."""
    rng, sets, at = np.random.default_rng(11), random_sets(sys, count, 7), sys.th_names.index
    sets[:, at("flow")] = np.exp(rng.uniform(np.log(0.02), np.log(40), count)) * GPM
    sets[:, at("main_friction")] = rng.choice([0, 0, 5, 60], count)
    sets[:, at("pilot_friction")] = rng.choice([0, 0, 0.5, 10], count)
    sets[:, at("main_recovered")] = rng.uniform(0, 1, count)
    sets[:, at("p_drain")] = rng.choice([0, 0, 20 * BAR, 100 * BAR], count)
    return sets


def trial(label: str, f: Compiled, solver: Solver, sets: Array, starts: Array) -> Row:
    """Success and time of one solver over sets x starts."""

    def run() -> list[Outcome]:
        found = []
        for th in sets:
            f.th[:] = th
            found += [solver(f, start) for start in starts]
        return found

    with np.errstate(all="ignore"):
        seconds, found = once(run)
    steps = [o.steps for o in found]
    note = f"{seconds / len(found) * 1e3:.2f} ms each; steps median {np.median(steps):.0f}, max {max(steps)}"
    return row("1 cold start", label, f"{sum(o.ok for o in found)}/{len(found)}", "", note)


def cold_starts() -> list[Row]:
    """Cold-start success: Newton, pseudo-transient and its growth rules, SciPy."""
    f = Compiled(single())
    nominal, many = np.array([f.sys.th0]), random_starts(f.sys, 1000, 5)
    sets, few = wide_sets(f.sys, 200), np.vstack([np.zeros(f.n), random_starts(f.sys, 4, 6)])
    rows = [
        trial("damped Newton, default valve, 1,000 starts", f, newton, nominal, many),
        trial("pseudo-transient, default valve, 1,000 starts", f, pseudo_transient, nominal, many),
    ]
    try_it = partial(trial, f=f, sets=sets, starts=few)
    rows += [
        try_it("damped Newton, 200 sets x 5 starts", solver=newton),
        try_it("pseudo-transient x1.5, refuse (recommended)", solver=pseudo_transient),
        try_it("... the same on three rungs of damping, branch tested", solver=cold),
        try_it("... every implicit step closed by Newton", solver=closed_transient),
        try_it("... x2", solver=partial(pseudo_transient, grow=lambda _o, _n: 2.0)),
        try_it("... dt by residual reduction", solver=partial(pseudo_transient, grow=by_residual, most=400)),
        try_it(
            "... steps clipped, not refused (see chains)", solver=partial(pseudo_transient, clip=True, most=400)
        ),
    ]
    if have("scipy"):
        rows += [
            trial(f"scipy {m}, exact Jacobian, 40 sets x 5 starts", f, scipy_solver(f, m), sets[:40], few)
            for m in ("hybr", "lm", "trf")
        ]
    return rows + constants(f, sets, few)


def constants(f: Compiled, sets: Array, few: Array) -> list[Row]:
    """Pseudo-transient with one constant at a time away from the recommended value."""
    rows, try_it = [], partial(trial, f=f, sets=sets, starts=few)
    for pressure, lift in ((30, 0.5), (1000, 5)):
        f.limit = step_limits(f.scale, pressure * BAR, lift * 1e-3)
        rows.append(
            try_it(f"... limits {pressure} bar, {lift} mm (recommended: 100 bar, 1 mm)", solver=pseudo_transient)
        )
    f.limit = step_limits(f.scale, 100 * BAR, 1e-3)
    light = f.mass
    for damping in (0.5, 50.0):
        f.mass = np.array(single(damping).mass)
        rows.append(try_it(f"... parts damped {damping:g} N s/m (recommended: 5)", solver=pseudo_transient))
    f.mass = light
    for k in (1e5, 1e6, 1e8, 1e9):
        stiff = sets.copy()
        stiff[:, f.sys.th_names.index("contact")] = k
        rows.append(trial(f"... contact K = {k:.0e} N/m (recommended: 1e7)", f, pseudo_transient, stiff, few))
    return rows


def shifted(preload: float, contact: float, start: Array, rise: Array) -> Array:
    """Pressures [bar] p1, p2 of a frictionless valve of the given main preload [N], rising."""
    f = Compiled(single())
    f.th[:] = f.sys.default(main_preload=preload, contact=contact)
    return np.array([o.y[:2] for o in march(f, start, "flow", rise)]) * P_SCALE / BAR


def stick_band() -> list[Row]:
    """Rising and falling branches against a frictionless valve whose preload is shifted by the friction."""
    friction, rise, rows = 40.0, np.linspace(0.2, 25, 100) * GPM, []
    drop = np.zeros(2)
    for k in (1e6, 1e7, 1e8, 1e9):
        f = Compiled(single())
        f.th[:] = f.sys.default(main_friction=friction, contact=k, flow=float(rise[0]))
        begin = pseudo_transient(f, np.zeros(f.n)).y
        seconds, points = once(partial(march, f, begin, "flow", np.r_[rise, rise[::-1]], (("main_ref", "x1"),)))
        p = np.array([o.y[:2] for o in points]) * P_SCALE / BAR
        up, down = p[:100], p[100:][::-1]
        drop = (up - down)[50]
        slid = slice(0, 95)  # just after the reversal the part is still stuck
        error = max(
            np.abs(up - shifted(100 + friction, k, begin, rise)).max(),
            np.abs(down - shifted(100 - friction, k, begin, rise))[slid].max(),
        )
        steps = [o.steps for o in points]
        rows.append(
            row(
                "6 stick band",
                f"K = {k:.0e}: error of both branches against preload +-Fc",
                error,
                "bar",
                f"{sum(o.ok for o in points)}/200 solved, steps mean {np.mean(steps):.1f}, max {max(steps)}; "
                f"{seconds * 1e3:.0f} ms",
            )
        )
    hand = 2 * friction / (np.pi / 4 * 24e-3**2) / BAR
    rows.append(
        row(
            "6 stick band",
            "hand value 2 Fc/A, and branch distance in p1 - p2 mid-curve",
            f"{hand:.3f}",
            "bar",
            f"{drop[0] - drop[1]:.3f} computed: rate x lift and flow force differ between the branches",
        )
    )
    return rows


def fold_reference(feed: float = 6e-3, preload: float = 300.0, rate: float = 40e3) -> float:
    """Supply pressure [Pa] at the closing fold, by walking the open branch with lift as the parameter."""
    lifts = np.linspace(1e-6, 1e-3, 20001)
    d, oil = 6e-3, {"nu": 32e-6, "rt": 9.33, "rho": 870.0}
    p = np.full_like(lifts, 100 * BAR)
    for _ in range(60):  # force balance, linear in p but for the laminar part: a fixed point
        m, ff = seat(np, p, lifts, d, 0.7, MAIN_ANGLE, oil)
        p = (preload + rate * lifts) / (np.pi / 4 * d * d + ff / p)
    speed = m / oil["rho"] / (np.pi / 4 * feed**2)
    supply = p + (speed**2 + oil["nu"] * oil["rt"] / feed * speed) * oil["rho"] / (2 * 0.7**2)
    return float(supply.min())


def sweep(f: Compiled, solver: Solver, supplies: Array) -> tuple[str, str, str]:
    """Where the valve opens going up and shuts coming down, and what went wrong on the way."""
    column, lift = f.sys.th_names.index("supply"), ca.Function("x", list(f.symbols[:2]), [f.sys.out["x"]])
    y, opened, failed, bad, most = np.zeros(2), [], 0, 0, 0
    for supply in supplies:
        f.th[column] = supply * BAR
        found = solver(f, y)
        y, most = found.y, max(most, found.steps)
        failed, bad = failed + (not found.ok), bad + (not settled(f, y))
        opened.append(float(lift(y, f.th)) > 0)
    half = supplies.size // 2
    shut = half + opened[half:].index(False) if False in opened[half:] else -1
    return (
        f"{supplies[opened.index(True)]:.2f}/{supplies[shut]:.2f}",
        "bar",
        f"{failed} failed, {bad} points on the unstable branch, most steps {most}",
    )


def newton_only(f: Compiled, start: Array) -> Outcome:
    """Newton without a safeguard; a failed point leaves the march where it was."""
    found = newton(f, start)
    return found if found.ok else Outcome(start, False, found.steps)


def either(f: Compiled, start: Array) -> Outcome:
    """Newton, then one pseudo-transient, no test of the branch."""
    found = newton(f, start)
    return found if found.ok else pseudo_transient(f, start, most=400)


def fold() -> list[Row]:
    """Supply pressure up and down past a poppet that its flow force opens (recovered = 2)."""
    steps = np.arange(60, 140.01, 0.25)
    f = Compiled(direct())
    f.th[:] = f.sys.default(flow=0.0)
    rows = [
        row("7 fold", f"{label}: opens / reseats", *sweep(f, solver, np.r_[steps, steps[::-1]]))
        for label, solver in (
            ("Newton alone", newton_only),
            ("Newton, one pseudo-transient", either),
            ("Newton, branch test, three rungs (recommended)", steady),
            ("every point by closed implicit steps", closed_transient),
            ("three-rung cold at every point", cold),
        )
    ]
    crack = 300.0 / (np.pi / 4 * 6e-3**2) / BAR
    rows.append(
        row(
            "7 fold",
            "reference (hand F0/A; walk along lift); grid 0.25 bar",
            f"{crack:.2f}/{fold_reference() / BAR:.2f}",
            "bar",
        )
    )
    return rows + basins()


def basins() -> list[Row]:
    """Which equilibria random starts lead to, between the folds: shut, unstable middle, open."""
    f, rows = Compiled(direct()), []
    f.th[:] = f.sys.default(flow=0.0, supply=101 * BAR)
    for label, solver in (
        ("Newton", newton),
        ("pseudo-transient", pseudo_transient),
        ("closed implicit steps", closed_transient),
        ("three rungs", cold),
    ):
        found = [solver(f, start) for start in random_starts(f.sys, 1000, 2)]
        bad = sum(o.ok and not settled(f, o.y) for o in found)
        what = f"1,000 random starts between the folds: {label}"
        rows.append(row("7 fold", what, f"{sum(o.ok for o in found)}/1000", "", f"{bad} on the unstable branch"))
    return rows
