"""Cold starts: does every valve find its rest from anywhere, with internals far from those it was shipped with?

Run ``python -m benchmarks cold``.  Each valve is solved from 1,000 random starts as shipped, and from 20 random
starts for each of 200 random parameter sets.  A set from which no start finds a state, and every start says
why (dead-headed, spring at solid height), counts as infeasible; everything else that is not solved is a
failure and is listed with its equation.  Sets that come to rest in more than one way are listed with the
stability of each way.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.network import OIL
from oilway.errors import ImpossibleCircuit, NoSolution
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.system import System, Vector
from oilway.solve.point import pushed
from oilway.solve.result import build_state
from oilway.solve.shut_in import isolated_chambers
from oilway.solve.stability import stability
from oilway.solve.steady import steady
from oilway.study.setting import settle
from oilway.study.story import HOIST, VALVES, examples

STARTS, SETS, STARTS_PER_SET = 1000, 200, 20
TARGET = 0.999  # share of feasible starts that are solved
SAME = 1e-4  # scaled unknowns closer than this are one state
SPREAD = 1.5  # a value that is not nothing is varied by up to this factor either way
HIGHEST_START = quantity.parse("6000 psi", "pressure")
HIGHEST_LOAD = quantity.parse("4000 psi", "pressure")
FLOWS = (quantity.parse("0.02 gpm", "flow"), quantity.parse("40 gpm", "flow"))
SPEEDS = (5.0, 42.0)  # rev/s
TEMPERATURES = (-10.0, 100.0)  # degC
# Records that are nothing unless given, and how far they may go (SI); half of the sets leave each alone.
FROM_NOTHING = {
    "clearance": 30e-6,
    "worn gap": 20e-6,
    "seal clearance": 30e-6,
    "eccentricity": 1.0,
    "pressure": quantity.parse("200 psi", "pressure"),
    "dry friction": 20.0,
    "seal friction": 500.0,
    "recovered jet": 0.8,
    "minor losses": 5.0,
}


STEPPED = {"main relief.valve": "damped_step_relief.yaml", "main relief.setting": "2300 psi at 18 gpm"}


def _hoist(valve: str) -> Machine:
    return read_machine(examples() / HOIST, VALVES[valve])


# The lever valve is on the stand too: it has an inlet and an outlet.
SUBJECTS: dict[str, Callable[[], Machine]] = {
    "direct relief": partial(read_machine, Path("direct relief")),
    "pilot relief": partial(read_machine, Path("pilot relief")),
    "lever valve": partial(read_machine, Path("lever valve")),
    "stepped plunger (example)": partial(read_machine, examples() / "damped_step_relief.yaml"),
    "hoist, direct relief": partial(_hoist, "direct-acting"),
    "hoist, pilot relief": partial(_hoist, "two-stage"),
    "hoist, stepped plunger": partial(read_machine, examples() / HOIST, STEPPED),
}


@dataclass
class Tally:
    """What became of a number of starts.  ``failures`` and ``several`` are told in words."""

    starts: int = 0
    solved: int = 0
    infeasible: int = 0
    infeasible_sets: list[str] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)
    several: list[str] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        """Put another tally on top."""
        for name, value in vars(other).items():
            setattr(self, name, getattr(self, name) + value)

    @property
    def share(self) -> float:
        """Solved starts over feasible ones."""
        feasible = self.starts - self.infeasible
        return self.solved / feasible if feasible else 1.0


def random_start(system: System, th: Vector, rng: np.random.Generator) -> Vector:
    """A start (n,): pressures to 6000 psi, lifts within the travel, speeds to 1 m/s, line flows to 2 kg/s."""
    ranges = {"pressure": (0.0, HIGHEST_START), "velocity": (-1.0, 1.0), "flow": (-2.0, 2.0)}
    z = np.zeros(system.size)
    for k, unknown in enumerate(system.unknowns):
        if unknown.kind == "drive":
            z[k] = rng.uniform(0.0, th[system.parameters[f"{unknown.owner}.travel"]])
        else:
            z[k] = rng.uniform(*ranges[unknown.kind])
    return z


def random_parameters(machine: Machine, rng: np.random.Generator) -> Vector:
    """A parameter vector (m,) in which every quantity of every part, and the oil, is drawn anew and legal."""
    system, th = machine.system, machine.theta()
    oil = machine.oil.at(rng.uniform(*TEMPERATURES))
    for name in OIL:
        th[system.parameters[name]] = getattr(oil, name.removeprefix("oil."))
    # Each quantity has draws of its own, so that a new one in some element leaves the sets as they were.
    seed = int(rng.integers(2**32))
    for element in machine.elements.values():
        tried = 0
        values = _drawn(element, seed, tried)
        while type(element)(replace(element.part, values={**element.part.values, **values})).complaints():
            tried += 1
            values = _drawn(element, seed, tried)
        for name, value in values.items():
            th[system.parameters[f"{element.name}.{name}"]] = value
    return pushed(system, th, "open")


def _drawn(element: Element, seed: int, tried: int) -> dict[str, float]:
    """Values of one part: near its own, or over the whole range where an operating point would set them."""
    values: dict[str, float] = {}
    for record in element.records:
        now = element.number(record.name) if record.is_quantity else None
        if now is None:
            continue
        rng = np.random.default_rng([seed, tried, zlib.crc32(f"{element.name}.{record.name}".encode())])
        if record.name == "load pressure":
            value = rng.uniform(0.0, HIGHEST_LOAD)
        elif record.name in ("flow", "engine speed"):
            value = float(np.exp(rng.uniform(*np.log(FLOWS if record.name == "flow" else SPEEDS))))
        elif record.name == "position":
            value = rng.uniform(-1.0, 1.0) if element.kind == "lever" else rng.uniform(0.0, values["stroke"])
        elif now:
            value = now * SPREAD ** rng.uniform(-1.0, 1.0)
        else:
            value = rng.uniform(0.0, FROM_NOTHING.get(record.name, 0.0)) * rng.integers(2)
        values[record.name] = float(np.clip(value, record.low, record.high))
    return values


def trial(machine: Machine, th: Vector, starts: Iterator[Vector], label: str) -> Tally:
    """Solve from every start at one parameter vector."""
    tally, states, refused = Tally(), [], []
    for k, start in enumerate(starts):
        tally.starts += 1
        try:
            z = steady(machine.system, th, start)
            build_state(machine, {}, th, z)
            states.append(z)
        except NoSolution as error:
            refused.append((k, error))
    if refused and not states and all(isinstance(error, ImpossibleCircuit) for _, error in refused):
        tally.infeasible = len(refused)
        tally.infeasible_sets.append(f"{label}: {refused[0][1].what}")
        return tally
    tally.solved = len(states)
    tally.failures = [f"{label}, start {k}: {type(e).__name__}: {e.equation or e.what}" for k, e in refused]
    distinct = _distinct(machine.system, th, states)
    if len(distinct) > 1:
        tally.several.append(f"{label}: " + "; ".join(_told(machine, th, z, n) for z, n in distinct))
    return tally


def _distinct(system: System, th: Vector, states: list[Vector]) -> list[tuple[Vector, int]]:
    """States that differ, with how many starts ended there; pressures that nothing fixes do not count."""
    found: list[tuple[Vector, int]] = []
    for z in states:
        for k, (other, count) in enumerate(found):
            if np.abs((z - other) / system.scale)[_fixed(system, other, th)].max(initial=0.0) < SAME:
                found[k] = (other, count + 1)
                break
        else:
            found.append((z, 1))
    return found


def _fixed(system: System, z: Vector, th: Vector) -> Vector:
    loose = {f"pressure in {name}" for name in isolated_chambers(system, z, th)}
    return np.array([u.name not in loose for u in system.unknowns])


def _told(machine: Machine, th: Vector, z: Vector, count: int) -> str:
    """One of several states: how many starts found it, whether it is stable, and where its parts stand."""
    system = machine.system
    stands = ", ".join(f"{s.part} {1e3 * s.lift:.4f} mm" for s in system.ledger(z, th)[1])
    velocities = ", ".join(f"{name} {1e3 * v:.2f} mm/s" for name, v in system.ledger(z, th)[2].items())
    stable = "stable" if stability(system, z, th).stable else "unstable"
    return f"{count} starts end in a state that is {stable} ({', '.join(filter(None, (stands, velocities)))})"


def shipped(name: str, count: int, first: int = 0) -> Tally:
    """One subject as it is shipped, from random starts ``first`` onwards."""
    machine = settle(SUBJECTS[name]())
    th = pushed(machine.system, machine.theta(), "open")
    starts = (random_start(machine.system, th, np.random.default_rng([7, first + k])) for k in range(count))
    return trial(machine, th, starts, f"{name}, as shipped")


def varied(name: str, seeds: range, starts_per_set: int) -> Tally:
    """One subject with random parameter sets; a seed stands for a set."""
    machine, total = settle(SUBJECTS[name]()), Tally()
    for seed in seeds:
        rng = np.random.default_rng(seed)
        th = random_parameters(machine, rng)
        starts = (random_start(machine.system, th, rng) for _ in range(starts_per_set))
        total.add(trial(machine, th, starts, f"{name}, set {seed}"))
    return total


def _share_of_work(job: tuple[str, int | None, int]) -> Tally:
    name, first, count = job
    return varied(name, range(first, first + count), STARTS_PER_SET) if first is not None else shipped(name, count)


def run() -> bool:
    """Print the table and every failure; True when each subject meets the target."""
    jobs: list[tuple[str, int | None, int]] = []
    for name in SUBJECTS:
        jobs += [(name, None, STARTS), *((name, first, 25) for first in range(0, SETS, 25))]
    tallies: dict[tuple[str, bool], Tally] = {}
    with get_context("spawn").Pool(os.cpu_count()) as pool:
        for (name, first, _), tally in zip(jobs, pool.imap(_share_of_work, jobs), strict=True):
            tallies.setdefault((name, first is None), Tally()).add(tally)
    print(
        f"\nCold starts: {STARTS} as shipped; {SETS} parameter sets x {STARTS_PER_SET} starts; target {TARGET:.1%}"
    )
    print(
        f"  {'valve':<28}{'parameters':<12}{'starts':>8}{'infeasible':>12}{'solved':>8}{'failed':>8}{'share':>10}"
    )
    for (name, as_shipped), t in tallies.items():
        what = "shipped" if as_shipped else f"{SETS} sets"
        counts = f"{t.starts:>8}{t.infeasible:>12}{t.solved:>8}{len(t.failures):>8}{t.share:>10.3%}"
        print(f"  {name:<28}{what:<12}{counts}")
    for title, key in (
        ("Failures", "failures"),
        ("Infeasible sets", "infeasible_sets"),
        ("Sets with several states of rest", "several"),
    ):
        lines = [line for tally in tallies.values() for line in getattr(tally, key)]
        print(f"\n{title}: {len(lines)}", *lines, sep="\n  ")
    return all(tally.share >= TARGET for tally in tallies.values())
