"""Speed of the shipped valves and the hoist against the targets, with a rival in the same run.

Run ``python -m benchmarks speed``.  The rival is ``scipy.optimize.root`` (methods hybr and lm) on the same
residual and exact Jacobian, scaled the same way, from the same start.  Medians; other loads only ever add.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console

import oilway
from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import show
from oilway.model.load import PUMP, read_machine
from oilway.model.machine import Machine
from oilway.model.system import System, Vector
from oilway.solve.curve import march
from oilway.solve.point import pushed
from oilway.solve.steady import TOLERANCE, steady
from oilway.study.curve import POINTS
from oilway.study.setting import settle
from oilway.study.story import HOIST, VALVES, examples
from oilway.text import print_explained

REPEATS = 7
NEARBY = 0.02  # a warm start comes from a load pressure this share away
LEAST = 1e-6  # share of the full flow at which the curve begins


@dataclass(frozen=True)
class Line:
    """One line of the table; ``target`` in ms, ``None`` for a line that only informs."""

    what: str
    target: float | None
    measured: float
    rival: str = ""

    @property
    def met(self) -> bool:
        """True unless a target is missed."""
        return self.target is None or self.measured <= self.target


def median(work: Callable[[], Any], repeats: int = REPEATS, inner: int = 1) -> float:
    """Milliseconds per run, the median of ``repeats`` after one unmeasured run."""
    work()
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        for _ in range(inner):
            work()
        times.append((time.perf_counter() - begin) / inner)
    return 1e3 * statistics.median(times)


def hoist() -> Machine:
    """The tipping-trailer hoist with the two-stage relief, set."""
    return settle(read_machine(examples() / HOIST, VALVES["two-stage"]))


def rival(system: System, th: Vector, start: Vector, method: str) -> Vector | None:
    """SciPy's answer from the same start, or None where it is no state of rest."""
    from scipy.optimize import root

    def f(x: Vector) -> tuple[Vector, Vector]:
        left, jacobian = system.scaled(x * system.scale, th)
        return left.copy(), jacobian.copy()

    with np.errstate(all="ignore"):
        x = root(f, start / system.scale, jac=True, method=method).x
    # A looser test than our own answers have to pass.
    good = np.all(np.isfinite(x)) and np.abs(f(x)[0]).max() < 100 * TOLERANCE
    return x * system.scale if good else None


def against(system: System, th: Vector, start: Vector) -> str:
    """Time and success of both methods of the rival on one solve."""
    said = []
    for method in ("hybr", "lm"):
        found = "solved" if rival(system, th, start, method) is not None else "NOT solved"
        said.append(f"{method} {median(lambda m=method: rival(system, th, start, m), inner=5):.2f} ms {found}")
    return ", ".join(said)


def one_state() -> list[Line]:
    """The hoist at rest, warm and cold, at the file's load, close below the setting and above it."""
    machine, lines = hoist(), []
    system, column = machine.system, machine.system.parameters["box.load pressure"]
    for load in ("1500 psi", "2150 psi", "2600 psi"):
        th = pushed(system, machine.theta(machine.point_from({"load pressure": load})), "open")
        near = th.copy()
        near[column] *= 1 + NEARBY
        start, zero = steady(system, near), system.start.copy()
        warm = median(lambda t=th, s=start: steady(system, t, s), inner=20)
        cold = median(lambda t=th: steady(system, t), inner=3)
        lines.append(Line(f"hoist, load {load}, warm", 1.0, warm, against(system, th, start)))
        lines.append(Line(f"hoist, load {load}, cold", 20.0, cold, against(system, th, zero)))
    return lines


def curves() -> list[Line]:
    """100 points rising and the same falling; the rival solves as many points, without friction's memory."""
    lines = []
    for name in ("direct relief", "pilot relief"):
        machine = oilway.load(name)
        ours = median(lambda m=machine: oilway.relief_curve(m))
        lines.append(Line(f"{name}, {POINTS} points up and down", 60.0, ours, curve_rival(machine)))
    return lines


def curve_rival(machine: Machine) -> str:
    """SciPy over the same flows, each point started from the one before."""
    system, full = machine.system, float(machine.parts[PUMP].values["flow"] or 0.0)
    th, column = pushed(system, machine.theta(), "open"), system.parameters[f"{PUMP}.flow"]
    flows = full * (LEAST + (1 - LEAST) * np.linspace(0, 1, POINTS) ** 2)
    first = march(system, th, f"{PUMP}.flow", flows[:1])[0]
    said = []
    for method in ("hybr", "lm"):
        begin, solved, z = time.perf_counter(), 0, first
        for flow in [*flows, *flows[::-1]]:
            th[column] = flow
            found = rival(system, th, z, method)
            z, solved = (z, solved) if found is None else (found, solved + 1)
        said.append(f"{method} {1e3 * (time.perf_counter() - begin):.0f} ms, {solved}/{2 * POINTS} solved")
    return ", ".join(said)


def command_line() -> list[Line]:
    """``oilway explain`` on the hoist, start-up included, and where its time goes."""
    file = str(examples() / HOIST)
    wall = median(lambda: fresh("-m", "oilway", "explain", file))
    lines = [Line("command: oilway explain tipping_hoist.yaml", 800.0, wall)]
    bare = median(lambda: fresh("-c", "pass"))
    library = median(lambda: fresh("-c", "import oilway"))
    face = median(lambda: fresh("-c", "import oilway, oilway.cli, oilway.text, rich.console"))
    lines += [
        Line("  of it: bare interpreter", None, bare),
        Line("  of it: import of the library", None, library - bare),
        Line("  of it: import of command line and text", None, face - library),
    ]
    return lines + inside(file)


def fresh(*arguments: str) -> None:
    """Run the interpreter anew."""
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)


def inside(file: str) -> list[Line]:
    """The steps of one explain in a running interpreter."""
    path = Path(file)
    unset = read_machine(path)
    machine = settle(unset)
    explained = oilway.explain(machine)
    steps: dict[str, Callable[[], Any]] = {
        "reading the file and its valves, one System assembled": lambda: read_machine(path),
        "assembling and compiling a System (three times in all)": lambda: assemble(machine),
        "solving the setting, one System assembled": lambda: settle(unset),
        "solving and explaining the point": lambda: oilway.explain(machine),
        "printing": lambda: print_explained(Console(file=StringIO(), width=110), explained, "shop"),
    }
    return [Line(f"  of it: {what}", None, median(work)) for what, work in steps.items()]


def assemble(machine: Machine) -> None:
    """The System of a machine anew, with everything that the first solve compiles."""
    vars(machine).pop("system", None)
    system = machine.system
    system.scaled(system.start, machine.theta())


def run() -> bool:
    """Print the table; True when every target is met."""
    show(where_and_with_what())
    print(f"\nSpeed, medians of {REPEATS}, ms")
    print(f"  {'what':<62}{'target':>8}{'measured':>10}  rival: scipy.optimize.root")
    met = True
    for part in (one_state, curves, command_line):
        for line in part():
            target = "" if line.target is None else f"{line.target:g}"
            missed = "" if line.met else "  MISSED"
            print(f"  {line.what:<62}{target:>8}{line.measured:>10.2f}  {line.rival}{missed}", flush=True)
            met = met and line.met
    return met
