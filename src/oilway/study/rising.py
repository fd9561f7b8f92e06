"""A load that rises: in which order the pressure controls of a machine act."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.controls import Control, acts

WORDS = ("load pressure", "load force", "load torque")
LEAST = {"pressure": 3e5, "force": 1e3, "torque": 5.0}  # SI: where a load begins that the file leaves at zero
FIRST = 0.2  # of the load of the file, where the rise begins
STEP = 1.1  # from one point to the next
MOST_STEPS = 80
BEYOND = 1.3  # times the highest setting: the rise ends when a chamber gets there
HALVINGS = 12  # of one step: a load is found to 1/4096 of it


@dataclass(frozen=True)
class Act:
    """A control begins to act: at which load (SI), and the pressure (Pa) where it senses."""

    control: str
    load: float
    pressure: float


@dataclass(frozen=True)
class Rise:
    """One load raised from ``start`` to ``end`` (SI, of quantity kind ``kind``).

    ``point`` lays positions of levers over the file's; ``acts`` in order; ``already``
    what acted from the start; ``stopped`` why the rise ended early, or empty.
    """

    load: str
    kind: str
    point: dict[str, float]
    start: float
    end: float
    acts: tuple[Act, ...]
    already: tuple[str, ...] = ()
    stopped: str = ""


def levers(machine: Machine) -> list[str]:
    """Full parameter names of the positions of all levers."""
    return [f"{name}.position" for name, part in machine.parts.items() if part.kind == "lever"]


def rises(machine: Machine, found: Sequence[Control]) -> list[Rise]:
    """Each load raised alone, with the levers as in the file, in neutral, and (from neutral) all fully over."""
    loads = [t for word in WORDS if word in machine.axes for t in _in_use(machine, word)]
    names = levers(machine)
    at_rest = all(machine.theta()[machine.system.parameters[n]] == 0 for n in names)
    ways: list[dict[str, float]] = [{}]
    if names:
        ways.append(dict.fromkeys(names, 1.0 if at_rest else 0.0))
    return [_rise(machine, found, load, way) for load in loads for way in ways] if found else []


def _in_use(machine: Machine, word: str) -> list[str]:
    """Loads of this word; of a load that takes a force or a pressure, the one its file gives."""
    out = []
    for target in machine.axes[word].targets:
        part = machine.parts[target.rpartition(".")[0]]
        other = machine.elements[part.name].exclusive
        given = [key for key in other if part.values.get(key)] or list(other[-1:])
        if not other or target.rpartition(".")[2] in given:
            out.append(target)
    return out


def _rise(machine: Machine, found: Sequence[Control], load: str, way: dict[str, float]) -> Rise:
    kind = machine.resolve(load)[1]
    given = abs(float(machine.theta()[machine.system.parameters[load]]))
    start = value = FIRST * given if given > 0 else LEAST[kind]
    highest = BEYOND * max(c.full for c in found)
    told: list[Act] = []
    already: tuple[str, ...] = ()
    before: tuple[float, State] | None = None
    stopped = ""
    for _ in range(MOST_STEPS):
        try:
            state = solve_point(machine, {**way, load: value}, before[1].z if before else None)
        except OilwayError as err:
            stopped = str(err)
            break
        new = [c for c in found if acts(c, state) and c.name not in {*already, *(a.control for a in told)}]
        if before is None:
            already = tuple(c.name for c in new)
        else:
            begun = [_begin(machine, c, {**way}, load, before, (value, state)) for c in new]
            told += sorted(begun, key=lambda act: act.load)
        before = value, state
        if max(state.pressures.values()) > highest:
            break
        value *= STEP
    end = before[0] if before else start
    return Rise(load, kind, way, start, end, tuple(told), already, stopped)


def _begin(
    machine: Machine,
    control: Control,
    way: dict[str, float],
    load: str,
    low: tuple[float, State],
    high: tuple[float, State],
) -> Act:
    """Between two loads, the one at which a control begins to act."""
    z: Vector = low[1].z
    for _ in range(HALVINGS):
        middle = 0.5 * (low[0] + high[0])
        try:
            state = solve_point(machine, {**way, load: middle}, z)
        except OilwayError:
            break
        if acts(control, state):
            high = middle, state
        else:
            low, z = (middle, state), state.z
    return Act(control.name, high[0], high[1].pressures[control.chamber])
