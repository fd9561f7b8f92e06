"""The story of the tipping-trailer hoist: the same machine and setting with a direct and a two-stage relief."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.curve import Curve, relief_curve
from oilway.study.explain import words
from oilway.study.setting import settle

HOIST = "tipping_hoist.yaml"
RELIEF, CYLINDER = "main relief", "hoist cylinder"
LOADS = ("1500 psi", "2150 psi", "2600 psi")
CLOSE = "2150 psi"
SPEEDS = (("rated speed", "2000 rpm"), ("idle", "800 rpm"))
LEVERS = (("lever open", "1"), ("neutral", "0"))
VALVES = {
    "direct-acting": {
        f"{RELIEF}.valve": "direct relief",
        f"{RELIEF}.setting": "cracks 1900 psi, 2300 psi at 18 gpm",
    },
    "two-stage": {f"{RELIEF}.valve": "pilot relief", f"{RELIEF}.setting": "2300 psi at 18 gpm"},
}


@dataclass(frozen=True)
class Told:
    """One machine at one operating point: what the gauges, the meter and the operator notice (SI)."""

    valve: str
    condition: str
    pump_pressure: float
    over_relief: float
    velocity: float
    heat_over_relief: float
    words: str
    state: State


@dataclass(frozen=True)
class Story:
    """The whole story: three loads, the load close below the setting, and the two curves."""

    loads: list[Told]
    close: list[Told]
    curves: list[Curve]
    files: Path


def examples() -> Path:
    """Folder of the example files: inside the installed package, or beside the source tree."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "examples"
    return inside if inside.is_dir() else package.parent.parent / "examples"


def hoist(valve: str, check: str = "fitted") -> Machine:
    """The hoist with one of the two relief valves, with or without its load check."""
    changes = {**VALVES[valve], "lever valve.load check": check}
    return settle(read_machine(examples() / HOIST, changes))


def story() -> Story:
    """Compute the story.  Errors: as :func:`oilway.explain`."""
    machines = {valve: hoist(valve) for valve in VALVES}
    loads = [
        _tell(machines[valve], valve, f"load {load}", load, "1", "2000 rpm") for load in LOADS for valve in VALVES
    ]
    close = []
    for lever, position in LEVERS:
        for speed, rpm in SPEEDS:
            close += [_tell(machines[v], v, f"{lever}, {speed}", CLOSE, position, rpm) for v in VALVES]
    bare = {valve: hoist(valve, "left out") for valve in VALVES}
    close += [_tell(bare[v], v, "lever open, idle, no load check", CLOSE, "1", "800 rpm") for v in VALVES]
    curves = [relief_curve(settle(read_machine(Path(f"{name} relief")))) for name in ("direct", "pilot")]
    return Story(loads, close, curves, examples())


def _tell(machine: Machine, valve: str, condition: str, load: str, lever: str, speed: str) -> Told:
    point = machine.point_from({"load pressure": load, "lever": lever, "engine speed": speed})
    state = solve_point(machine, point)
    relief = next(m for m in machine.mounted if m.name == RELIEF)
    into_return = [e for e in state.flows["return line"] if e.part.startswith(relief.prefix)]
    return Told(
        valve,
        condition,
        state.pressures["pump line"],
        state.at_no_pressure(sum(e.value for e in into_return)),
        state.velocities[CYLINDER],
        sum(e.value for e in state.power if e.part.startswith(relief.prefix)),
        words(state, relief),
        state,
    )
