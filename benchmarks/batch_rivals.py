"""1,000 runs in time beside their rivals: each in a process of its own, so that its memory is its own too.

Part of ``python -m benchmarks batch``; ``python -m benchmarks.batch_rivals NAME`` measures one and prints JSON.
All get the same parameter sets, starts, scaled states, moments of output and tolerances (1e-6, relative and
absolute).  SciPy and SUNDIALS' binding for Python call the rates and the exact Jacobian of CasADi, bound to
memory; they and our own single run take a few of the sets.  Errors are those of the inlet pressure, against CVODES
at 1e-10.
"""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import casadi as ca
import numpy as np

from benchmarks import floor
from benchmarks.transient import DURATION, PASCAL, FlowStep
from oilway.model.system import System, Vector
from oilway.solve import batch_runs, compiled
from oilway.solve.stepping import stepping
from oilway.solve.transient import RELATIVE, Knot, sizes, transient, with_friction

RUNS, OUTPUT = 1_000, 1e-3  # s
CHECKED = 8  # sets whose error is looked at
AGAIN = 5  # times that the quick ones are measured
STRICT = 1e-5**1.5  # the relative tolerance at which every single step is held to 1e-6, see batch_runs.local


def varied(system: System, th: Vector, sets: int) -> Vector:
    """Parameters of sets with other springs (+-10 %) and orifices (+-5 %); the first set as shipped."""
    rows, draw = np.tile(th, (sets, 1)), np.random.default_rng(0)
    for name, k in system.parameters.items():
        part, _, key = name.rpartition(".")
        reach = 0.1 if key == "rate" else 0.05 if key == "diameter" and "orifice" in part else 0.0
        rows[1:, k] *= 1 + reach * draw.uniform(-1, 1, sets)[1:]
    return rows


@dataclass
class Measured:
    """Seconds for 1,000 runs by the clock and of processor, error in bar (mean square, most), memory in MB."""

    wall: float = np.nan
    processor: float = np.nan
    mean: float = np.nan
    most: float = np.nan
    memory: float = np.nan
    said: str = ""


class Case:
    """The flow step for many sets."""

    def __init__(self) -> None:
        self.flow = FlowStep()
        self.system, self.start = self.flow.system, self.flow.start
        self.th = with_friction(self.system, varied(self.system, self.flow.knots[0].th, RUNS))
        self.moments = np.linspace(0, DURATION, round(DURATION / OUTPUT) + 1)

    def knots(self, sets: int) -> list[Knot]:
        """From beginning to end for the first sets."""
        return [Knot(0.0, self.th[:sets]), Knot(DURATION, self.th[:sets])]

    def alone(self, k: int, relative: float = RELATIVE) -> Vector:
        """The states (t, k) of a single run."""
        ends = [Knot(0.0, self.th[k]), Knot(DURATION, self.th[k])]
        return transient(self.system, self.start, ends, OUTPUT, relative=relative).states

    def errors(self, states: list[Vector]) -> tuple[float, float]:
        """Errors of the inlet pressure, bar: mean square, and most."""
        k = self.system.index["pressure in inlet"]
        off = np.array([s[:, k] - self.alone(j, 1e-10)[:, k] for j, s in enumerate(states)]) / PASCAL
        return float(np.sqrt(np.mean(off**2))), float(np.abs(off).max())


class Law:
    """Rates and Jacobian of the scaled states of one set, bound to memory."""

    def __init__(self, case: Case, k: int) -> None:
        motion, size = case.system.motion, sizes(case.system)
        y = ca.SX.sym("y", len(size))
        here = [y * ca.DM(size), ca.DM(case.th[k])]
        rates = ca.substitute(motion.rates / ca.DM(size), ca.vertcat(motion.states, motion.th), ca.vertcat(*here))
        both = [ca.cse(rates), ca.cse(ca.densify(ca.jacobian(rates, y)))]
        self.size, self.start = size, case.start / size
        self.y, self.rates, self.slopes = np.zeros(len(size)), np.zeros(len(size)), np.zeros(len(size) ** 2)
        self._kept = [
            self._bound(ca.Function("f", [y], [f]), out)
            for f, out in zip(both, (self.rates, self.slopes), strict=True)
        ]

    def _bound(self, function: Any, out: Vector) -> Any:
        buffer, call = function.buffer()
        buffer.set_arg(0, memoryview(self.y))
        buffer.set_res(0, memoryview(out))
        return function, buffer, call

    def f(self, y: Vector) -> Vector:
        """The rates."""
        self.y[:] = y
        self._kept[0][2]()
        return self.rates

    def jacobian(self, y: Vector) -> Vector:
        """The Jacobian (k, k)."""
        self.y[:] = y
        self._kept[1][2]()
        return self.slopes.reshape(len(self.size), -1).T


Answer = tuple[Measured, list[Vector]]


def _many(case: Case, relative: float = RELATIVE) -> Answer:
    """Our own batch."""
    start, out = np.tile(case.start, (RUNS, 1)), Measured()
    begun = time.perf_counter()
    batch_runs.transients(case.system, start[:1], case.knots(1), OUTPUT)
    first = time.perf_counter() - begun
    for _ in range(AGAIN if compiled.AVAILABLE else 2):
        begun, busy = time.perf_counter(), time.process_time()
        found = batch_runs.transients(case.system, start, case.knots(RUNS), OUTPUT, relative=relative)
        out.wall = float(np.fmin(out.wall, time.perf_counter() - begun))
        out.processor = float(np.fmin(out.processor, time.process_time() - busy))
    out.said = (
        f"{found.steps / RUNS:.0f} steps a run, {1e6 * out.processor / found.steps:.2f} us each; "
        f"{len(found.failures)} failed, {found.alone} run alone; first call {first:.1f} s"
    )
    return out, list(found.states[:CHECKED])


def _on_one_core(case: Case) -> Answer:
    if not hasattr(os, "sched_setaffinity"):
        return Measured(said="this system ties no process to a core: left out"), []
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
    return _many(case)


def _floor(case: Case) -> Answer:
    """The same with the loop in C."""
    if floor.compiler() is None:
        return Measured(said="no C compiler here: left out"), []
    begun = time.perf_counter()
    loop = floor.Loop(stepping(case.system, ()))
    built = time.perf_counter() - begun
    object.__setattr__(batch_runs._tapes(case.system, ()), "loop", loop)
    out, states = _many(case)
    out.said = f"{out.said.split(';')[0]}; compiled in {built:.1f} s"
    return out, states


def _few(run: Callable[[int], Vector], few: int) -> Answer:
    """One set after the other."""
    run(0)
    begun, busy = time.perf_counter(), time.process_time()
    states = [run(k) for k in range(few)]
    wall, processor = time.perf_counter() - begun, time.process_time() - busy
    return Measured(wall * RUNS / few, processor * RUNS / few, said=f"{few} runs taken, on one core"), states


def _scipy(case: Case, method: str) -> Answer:
    from scipy.integrate import solve_ivp

    def run(k: int) -> Vector:
        law = Law(case, k)
        found = solve_ivp(
            lambda _, y: law.f(y).copy(),
            (0.0, DURATION),
            law.start,
            method=method,
            jac=lambda _, y: law.jacobian(y).copy(),
            t_eval=case.moments,
            rtol=RELATIVE,
            atol=RELATIVE,
        )
        return np.asarray(found.y.T * law.size)

    return _few(run, 3)


def _sundials(case: Case) -> Answer:
    from sksundae.cvode import CVODE

    def run(k: int) -> Vector:
        law = Law(case, k)

        def rates(_: float, y: Vector, out: Vector) -> None:
            out[:] = law.f(y)

        def slopes(_: float, y: Vector, __: Vector, out: Vector) -> None:
            out[:] = law.jacobian(y)

        solver = CVODE(rates, rtol=RELATIVE, atol=RELATIVE, jacfn=slopes, max_num_steps=100_000)
        return np.asarray(solver.solve(case.moments, law.start).y * law.size)

    return _few(run, CHECKED)


RIVALS: dict[str, tuple[str, str, Callable[[Case], Answer]]] = {
    "batch": ("Oilway, many at once", "", _many),
    "one core": ("  the same on one core", "", _on_one_core),
    "strict": ("  the same, every step held to 1e-6", "", lambda c: _many(c, STRICT)),
    "floor": ("C of the same step and loop, cc -O3 -march=native", "", _floor),
    "interpreted": ("Oilway without llvmlite", "", _many),
    "single": ("Oilway, one by one (CVODES inside CasADi)", "", lambda c: _few(c.alone, CHECKED)),
    "sundials": ("SUNDIALS CVODE through its Python binding", "sksundae", _sundials),
    "lsoda": ("SciPy LSODA", "scipy", lambda c: _scipy(c, "LSODA")),
    "bdf": ("SciPy BDF", "scipy", lambda c: _scipy(c, "BDF")),
}


def measured(name: str) -> Measured:
    """Measure one in a process of its own."""
    what, needs, _ = RIVALS[name]
    if needs and importlib.util.find_spec(needs) is None:
        return Measured(said=f"{needs} is not there (oilway[bench] brings it): left out")
    own = {**os.environ, **({"OILWAY_INTERPRETED": "1"} if name == "interpreted" else {})}
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks.batch_rivals", name],
        env=own,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"{what}: {done.stderr}")
    return Measured(**json.loads(done.stdout.splitlines()[-1]))


def table() -> dict[str, Measured]:
    """Measure all and print them; by name."""
    print(
        f"  {f'{RUNS} runs of {DURATION} s, rtol 1e-6':<50} {'clock':>9} {'processor':>10} {'ratio':>6} "
        f"{'error, bar':>17} {'memory':>7}"
    )
    found: dict[str, Measured] = {}
    for name, (what, _, _) in RIVALS.items():
        one = found[name] = measured(name)
        if np.isnan(one.wall):
            print(f"  {what:<50} {one.said}", flush=True)
            continue
        ratio = f"{one.wall / found['batch'].wall:.3g}"
        error = f"{one.mean:.1g} / {one.most:.1g}"
        print(
            f"  {what:<50} {one.wall:>7.2f} s {one.processor:>8.2f} s {ratio:>6} {error:>17} {one.memory:>4.0f} MB"
            f"  {one.said}",
            flush=True,
        )
    print("  (ratio: of the clock, to the first line; error of the inlet pressure: mean square / most)")
    return found


def _most_memory() -> float:
    """Most memory of this process, MB, where the system tells; what its parent had counts in no other way."""
    status = Path("/proc/self/status")
    lines = status.read_text(encoding="ascii").splitlines() if status.is_file() else []
    return next((float(text.split()[1]) / 1024 for text in lines if text.startswith("VmHWM")), np.nan)


def _answer(name: str) -> None:
    case = Case()
    out, states = RIVALS[name][2](case)
    out.memory = _most_memory()
    if states:
        out.mean, out.most = case.errors(states)
    print(json.dumps(asdict(out)))


if __name__ == "__main__":
    _answer(sys.argv[1])
