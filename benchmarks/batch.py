"""Thousands at once against the targets: full-flow set points and runs in time of the shipped two-stage relief.

Run ``python -m benchmarks batch``.  Every set has other springs (+-10 %) and orifices (+-5 %).  Rivals of the set
points: our own single solve and ``scipy.optimize.root`` on the same residual, Jacobian and start.  Rival of the
runs: CVODES one by one, as single runs are made.  Rivals take a few sets and are scaled up; the least of several.
"""

from __future__ import annotations

import resource
import time

import numpy as np

import oilway
from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import best, once, show
from benchmarks.transient import DURATION, FlowStep, inlet_error
from oilway.model.system import System, Vector
from oilway.solve import batch_runs, compiled
from oilway.solve.batch import cores_here, rests
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.solve.transient import Knot, transient
from oilway.study.sweep import on_its_stand

SET_POINTS, WITHIN = 10_000, 0.2  # s
RUNS, RUNS_WITHIN, RUNS_INTERPRETED = 1_000, 1.5, 10.0
FEW = 200  # sets that a rival takes
FEW_RUNS = 5
OUTPUT = 1e-3  # s


def varied(system: System, th: Vector, sets: int) -> Vector:
    """Parameters of sets with other springs and orifices."""
    rows, draw = np.tile(th, (sets, 1)), np.random.default_rng(0)
    for name, k in system.parameters.items():
        part, _, key = name.rpartition(".")
        reach = 0.1 if key == "rate" else 0.05 if key == "diameter" and "orifice" in part else 0.0
        rows[:, k] *= 1 + reach * draw.uniform(-1, 1, sets)
    return rows


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
    for sets in (100, 1000):
        line(f"  {sets}", best(lambda sets=sets: rests(system, rows[:sets], start), 10), "")
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
    """1,000 runs of 0.5 s."""
    case = FlowStep()
    rows = varied(case.system, case.knots[0].th, RUNS)
    rows[0] = case.knots[0].th
    states, knots = np.tile(case.start, (RUNS, 1)), [Knot(0.0, rows), Knot(DURATION, rows)]
    wanted, of = (RUNS_WITHIN, RUNS) if compiled.AVAILABLE else (RUNS_INTERPRETED, 4 * FEW_RUNS)
    few = [Knot(k.time, k.th[:of]) for k in knots]
    first, _ = once(
        lambda: batch_runs.transients(case.system, states[:8], [Knot(k.time, k.th[:8]) for k in knots], 0.1)
    )
    line("first call: build, and compile unless kept on disk", first, "")
    took, processor, found = np.inf, np.inf, None
    for _ in range(5 if compiled.AVAILABLE else 1):
        begun, busy = time.perf_counter(), time.process_time()
        found = batch_runs.transients(case.system, states[:of], few, OUTPUT)
        took = min(took, (time.perf_counter() - begun) * RUNS / of)
        processor = min(processor, (time.process_time() - busy) * RUNS / of)
    assert found is not None
    truth = transient(case.system, case.start, [Knot(k.time, k.th[0]) for k in knots], OUTPUT, relative=1e-10)
    error = inlet_error(case, found.states[0], truth)
    said = f"{len(found.failures)} failed, {found.alone} run alone, {found.steps / of:.0f} steps each"
    said += f", error {error:.1g} bar"
    line(
        f"{RUNS} runs of {DURATION} s, rtol 1e-6",
        took,
        f"{said}; wanted {wanted} s{'' if took <= wanted else ' MISSED'}",
    )
    line("  processor time of the same", processor, f"{1e6 * processor / RUNS * of / found.steps:.2f} us a step")
    pairs = [(states[k], [Knot(q.time, q.th[k]) for q in knots]) for k in range(FEW_RUNS)]
    alone = best(lambda: [transient(case.system, x, q, OUTPUT) for x, q in pairs], 3) * RUNS / FEW_RUNS
    one = transient(case.system, *pairs[0], OUTPUT)
    line(
        "  CVODES one by one", alone, f"{alone / took:.0f} x, error {inlet_error(case, one.states, truth):.1g} bar"
    )
    return took <= wanted


def run() -> bool:
    """Print both tables; True when the targets are met."""
    show(where_and_with_what())
    how = "compiled by LLVM" if compiled.AVAILABLE else "interpreted: llvmlite is not there"
    print(f"\nThousands at once, {how}, {cores_here()} cores; the least of several")
    met = [set_points(), runs()]
    print(f"  most memory of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    return all(met)
