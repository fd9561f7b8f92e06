"""Thousands at once against the targets: full-flow set points and runs in time of the shipped two-stage relief.

Run ``python -m benchmarks batch``.  Every set has other springs (+-10 %) and orifices (+-5 %).  Rivals of the set
points: our own single solve and ``scipy.optimize.root`` on the same residual, Jacobian and start.  Rivals take a
few sets and are scaled up; the least of several.  Rivals of the runs: :mod:`benchmarks.batch_rivals`.
"""

from __future__ import annotations

import numpy as np

import oilway
from benchmarks.batch_growth import sets, valves
from benchmarks.batch_rivals import table, varied
from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import best, once, show
from oilway.model.system import System, Vector
from oilway.solve import compiled
from oilway.solve.batch import cores_here, rests
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.study.sweep import on_its_stand

SET_POINTS, WITHIN = 10_000, 0.2  # s
RUNS_WITHIN, RUNS_INTERPRETED = 1.5, 10.0  # s
TO_FLOOR = 2.0
FEW = 200  # sets that a rival takes


def line(what: str, seconds: float, said: str) -> None:
    """Print one line of the table."""
    print(f"  {what:<58} {seconds:>9.3f} s   {said}")


def set_points() -> bool:
    """10,000 full-flow set points, and growth with their number."""
    machine = on_its_stand(oilway.load("pilot relief"), {})[0]
    system, th = machine.system, pushed(machine.system, machine.theta(), "open")
    start, rows = steady(system, th), varied(system, th, SET_POINTS)
    first, _ = once(lambda: rests(system, rows[:8], start))
    line("first call: build, and compile unless kept on disk", first, "")
    took = best(lambda: rests(system, rows, start), 10)
    found = rests(system, rows, start)
    off = np.abs((found.z[:FEW] - np.array([steady(system, t, start) for t in rows[:FEW]])) / system.scale).max()
    said = f"{len(found.failures)} failed, {found.alone} solved alone, off single solves by {off:.1g} (scaled)"
    line(
        f"{SET_POINTS} full-flow set points",
        took,
        f"{said}; wanted {WITHIN} s{'' if took <= WITHIN else ' MISSED'}",
    )
    for few in (100, 1000):
        line(f"  {few}", best(lambda few=few: rests(system, rows[:few], start), 10), "")
    single = best(lambda: [steady(system, t, start) for t in rows[:FEW]], 5) * SET_POINTS / FEW
    line("  one by one, our own single solve", single, f"{single / took:.0f} x")
    rival = scipy_root(system, rows[:FEW], start) * SET_POINTS / FEW
    line("  scipy.optimize.root, hybr, one by one", rival, f"{rival / took:.0f} x")
    return took <= WITHIN


def scipy_root(system: System, rows: Vector, start: Vector) -> float:
    """Seconds that scipy takes for these sets."""
    from scipy.optimize import root

    def residual(y: Vector, th: Vector) -> tuple[Vector, Vector]:
        f, jacobian = system.scaled(y * system.scale, th)
        return f.copy(), jacobian.copy()

    return best(lambda: [root(residual, start / system.scale, args=(th,), jac=True) for th in rows], 3)


def runs() -> bool:
    """1,000 runs of 0.5 s beside their rivals, and how that grows."""
    found = table()
    ours, floor, interpreted = (found[name] for name in ("batch", "floor", "interpreted"))
    exact = ours.most <= found["single"].most and ours.mean <= found["single"].mean
    wanted = {
        f"many at once within {RUNS_WITHIN} s": ours.wall <= RUNS_WITHIN,
        f"every step held to 1e-6, within {RUNS_WITHIN} s": found["strict"].wall <= RUNS_WITHIN,
        f"interpreted within {RUNS_INTERPRETED:g} s": interpreted.wall <= RUNS_INTERPRETED,
        "no less exact than runs one by one": exact,
    }
    if np.isfinite(floor.wall):
        wanted[f"within {TO_FLOOR:g} x of C ({ours.wall / floor.wall:.2g} x)"] = ours.wall <= TO_FLOOR * floor.wall
    for what, met in wanted.items():
        print(f"  wanted: {what}{'' if met else '  MISSED'}")
    print("\nHow it grows")
    sets()
    for series in (False, True):
        print(f"  time of a step grows with the power {valves(series):.2f}")
    return all(wanted.values())


def run() -> bool:
    """Print all tables; True when the targets are met."""
    show(where_and_with_what())
    how = "compiled by LLVM" if compiled.AVAILABLE else "interpreted: llvmlite is not there"
    print(f"\nThousands at once, {how}, {cores_here()} cores; the least of several")
    return all([set_points(), runs()])
