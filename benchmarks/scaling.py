"""What a transient costs as the circuit grows: 1 to 50 relief valves written as text, in parallel and in series.

Run ``python -m benchmarks scaling``.  In parallel each valve stands on its own branch of one line, behind an
orifice; in series the oil of each goes into the line of the next.  The flow is stepped up from rest.  What counts
is the time of one step of the integrator; its growth is the exponent fitted over the sizes (1: linear).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

import oilway
from benchmarks.choice import machine as where_and_with_what
from benchmarks.choice_report import best, once, show
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.transient import Course, Knot, resting_states, transient

SIZES = (1, 2, 5, 10, 20, 50)
MOST_GROWTH = 1.1  # exponent of the time of a step: linear, with the scatter of a shared machine
DURATION, POINTS = 0.05, 50  # s
VALVE = """
{n} seat room: {{kind: chamber, volume: 50 cm3}}
{n} poppet: {{kind: moving part, mass: 30 g, travel: 3 mm, viscous friction: 1500 N s/m}}
{n} face: {{kind: face, on: {n} poppet, chamber: {n} seat room, diameter: 10 mm, pushes: open}}
{n} seat: {{kind: poppet seat, on: {n} poppet, from: {n} seat room, to: {to}, diameter: 10 mm}}
{n} spring: {{kind: spring, on: {n} poppet, rate: 60 N/mm, compression: {preload} mm}}
{n} branch: {{kind: orifice, from: {source}, to: {n} seat room, diameter: 6 mm}}
"""


def circuit(count: int, series: bool) -> Machine:
    """So many valves of which no two are quite alike."""
    parts = ["tank: {kind: tank}", "line 0: {kind: chamber, volume: 0.5 L}"]
    flow = 4 if series else 4 * count
    parts.append(f"pump: {{kind: test pump, inlet: tank, outlet: line 0, flow: {flow} gpm}}")
    for k in range(count):
        here, below = (f"line {k}", f"line {k + 1}") if series else ("line 0", "tank")
        below = "tank" if k == count - 1 else below
        if below.startswith("line"):
            parts.append(f"{below}: {{kind: chamber, volume: 0.5 L}}")
        # In series each opens some bar above the next: all of them together stay below 1000 bar.
        preload = (0.5 if series else 8.0) * (1 + 0.03 * k / count)
        parts.append(VALVE.format(n=f"v{k}", source=here, to=below, preload=round(preload, 4)).strip())
    body = "\n".join(f"  {line}" for part in parts for line in part.splitlines())
    text = f"format: 1\nmachine: chain\noil: {{grade: ISO VG 46, viscosity index: 100}}\nparts:\n{body}\n"
    return oilway.loads(text, "chain.yaml")


def stepped(machine: Machine) -> Callable[[], Course]:
    """A run with the flow half as large again from the beginning."""
    rest = solve_point(machine)
    th = rest.th.copy()
    th[machine.system.parameters["pump.flow"]] *= 1.5
    knots, start = [Knot(0.0, th), Knot(DURATION, th)], resting_states(rest)
    return lambda: transient(machine.system, start, knots, DURATION / POINTS, energy=True)


def growth(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """Exponent of a power law through times, least squares on logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def measured(series: bool) -> float:
    """Print a line for each size; the exponent of the time of a step."""
    print(f"  {'in series' if series else 'in parallel'}")
    per_step = []
    for count in SIZES:
        machine = circuit(count, series)
        work = stepped(machine)
        built, course = once(work)
        took = best(work, 5)
        per_step.append(took / course.steps)
        size = f"{count:>4} valves {len(course.names):>5} states {course.steps:>6} steps"
        print(f"  {size} {1e3 * took:>9.2f} ms {1e6 * per_step[-1]:>8.1f} us a step {built:>8.2f} s at first")
    return growth(SIZES, per_step)


def run() -> bool:
    """Print the table; True when no step grows faster than linearly."""
    show(where_and_with_what())
    print(f"\nTransients of growing circuits, {DURATION} s, with their books of energy; the least of several")
    met = True
    for series in (False, True):
        exponent = measured(series)
        good = exponent <= MOST_GROWTH
        missed = "" if good else "  MISSED"
        print(f"  time of a step grows with the power {exponent:.2f} (wanted at most {MOST_GROWTH:g}){missed}")
        met = met and good
    return met
