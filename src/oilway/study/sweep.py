"""What pressure-flow curves share: the stand on which a valve is set, the flows of a march, its two branches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from oilway.elements.base import Part
from oilway.errors import InputError, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.system import Vector
from oilway.study.setting import on_setting_stand

POINTS = 100
PUMP = "test pump"  # the kind whose flow a curve is taken over


@dataclass
class Sweep:
    """A pressure over a flow, there and back: arrays (n,) in SI, flow counted at 0 psi gauge, pressures gauge.

    ``rising`` and ``falling`` stand at the same ``flows``; friction makes the difference.
    """

    reads: ClassVar[str] = ""  # which pressure it is

    name: str
    flows: Vector
    rising: Vector
    falling: Vector

    @property
    def full_flow(self) -> float:
        """The flow (m3/s) the curve ends at."""
        return float(self.flows[-1])

    @property
    def full(self) -> float:
        """Pressure at full flow."""
        return float(self.rising[-1])

    @property
    def hysteresis(self) -> float:
        """How far apart (Pa) the pressures on rising and on falling flow are at half the full flow."""
        half = 0.5 * self.full_flow
        return abs(self.at(self.rising, half) - self.at(self.falling, half))

    def at(self, branch: Vector, flow: float) -> float:
        """The pressure of a branch at a flow, straight between the points."""
        return float(np.interp(flow, self.flows, branch))

    def branches(self) -> dict[str, tuple[Vector, Vector]]:
        """Every branch by name: flows and pressures, in the order in which they were taken."""
        return {"rising": (self.flows, self.rising), "falling": (self.flows[::-1], self.falling[::-1])}


def is_drawn(machine: Machine) -> bool:
    """Whether the setting of a valve on its stand is made by what is drawn from the place where it is read."""
    pump = _pump(machine)
    return pump is not None and pump.nodes["inlet"] == machine.set_by[0]


def on_its_stand(machine: Machine, point: dict[str, float]) -> tuple[Machine, Part]:
    """A valve on the stand on which it is set, and the test pump there whose flow sets it.

    Errors: :class:`InputError` for what is no such valve, or for a word of ``point`` that the stand does not know.
    """
    if machine.mounted and machine.mounted[0].prefix == "":
        machine = on_setting_stand(machine)
    pump = _pump(machine)
    if pump is None:
        what = "a curve is taken of a valve that is set by the flow of a test pump"
        raise InputError(Problem(Place(str(machine.path)), what, "oilway explain shows this one point by point"))
    for name in point:
        if name != OIL_TEMPERATURE and name not in machine.system.parameters:
            what = f"there is no '{name}' on the stand on which this valve is set"
            raise InputError(Problem(Place("operating point"), what))
    return machine, pump


def _pump(machine: Machine) -> Part | None:
    chamber, flow = machine.set_by
    part = machine.parts.get(flow.rpartition(".")[0])
    return part if part is not None and part.kind == PUMP and chamber in part.nodes.values() else None


def spaced(low: float, high: float, points: int, through: float) -> Vector:
    """Flows from low to high, closer together where a valve begins to open, one of them ``through``."""
    share = np.linspace(0.0, 1.0, points) ** 2
    flows = low + (high - low) * share
    flows[int(np.argmin(np.abs(flows[1:-1] - through))) + 1] = through
    return np.asarray(flows)
