"""What may be solved for every set of a spread at rest: a relief valve over its curve, channels at a point."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np

from oilway.model.machine import Machine
from oilway.model.setting import CRACKED
from oilway.model.system import Vector
from oilway.solve.batch import marches, rests, shown
from oilway.solve.point import pushed, solve_point
from oilway.solve.sensitivity import gradients
from oilway.solve.steady import steady
from oilway.study.curve import LEAST
from oilway.study.sweep import spaced

POINTS = 24  # of a curve on the way up
MIDWAY = 0.5  # of the full flow: a point on the way down, where friction has turned
SHUTTING = 8  # steps in which a valve that has all but shut is shut
FULL, CRACKING, OVERRIDE = "full-flow pressure", "cracking pressure", "override"
RESEATING = "reseating pressure"
KINDS = {"pressure": "pressure", "lift": "length", "speed": "velocity", "flow": "flow"}
READING = "reading"  # of an instrument


@dataclass
class Block:
    """What came of the sets from number ``first`` (from 0) on.

    ``values`` (sets, outputs) and ``lines`` (sets, points) in SI, nan where there is none; ``failures`` tells why,
    by number of the set.  ``prepared`` (s) went into compiling, which is kept on disk for the next time.
    """

    first: int
    values: Vector
    lines: Vector
    failures: dict[int, str] = field(default_factory=dict)
    prepared: float = 0.0


@dataclass
class Over:
    """What lines stand over, and what they are: names, quantity kinds, and ``x`` (points,) SI."""

    x_name: str
    x_kind: str
    x: Vector
    name: str
    kind: str


class Work(Protocol):
    """One thing to solve for sets of parameters (sets, m)."""

    @property
    def outputs(self) -> list[tuple[str, str]]:
        """Names of what it gives, and their quantity kinds."""

    @property
    def over(self) -> Over | None:
        """What its curves stand over; none without curves."""

    def solve(self, sets: Vector) -> Block:
        """The outputs of sets."""


class OverCurve:
    """A relief valve on its stand over its curve, up and down again."""

    def __init__(self, machine: Machine, th: Vector) -> None:
        self.outputs = [(name, "pressure") for name in (CRACKING, FULL, OVERRIDE, RESEATING)]
        self.system, self.th = machine.system, th
        chamber, self.feed = machine.set_by
        self.column, setting = self.system.parameters[self.feed], machine.mounted[0].setting
        full = float(th[self.column])
        cracked = setting.cracked_flow if setting is not None else CRACKED * full
        self.flows = spaced(LEAST * full, full, POINTS, cracked)
        self.at = int(np.argmin(np.abs(self.flows - cracked)))
        self.down = np.array([MIDWAY * full, cracked])
        self.inlet, self.name = self.system.index[f"pressure in {chamber}"], f"pressure:{chamber}"
        self.full_state = steady(self.system, th)

    @property
    def over(self) -> Over:
        """The inlet pressure over the flow."""
        return Over("flow", "flow", self.flows, "inlet pressure", "pressure")

    def solve(self, sets: Vector) -> Block:
        """Cracking, full-flow and reseating pressure and override; lines are the pressures on the way up."""
        flows = np.concatenate([self.flows, self.down])
        found = marches(self.system, sets, self.feed, flows, self._shut(sets))
        pressures = found.z[:, :, self.inlet]
        up, back = pressures[:, :POINTS], pressures[:, -1]
        values = np.column_stack([up[:, self.at], up[:, -1], up[:, -1] - up[:, self.at], back])
        return Block(0, values, up, {f.index: str(f.error) for f in found.failures})

    def _shut(self, sets: Vector) -> Vector:
        """Where each march begins: all but shut, each set from where it stood at a little more flow."""
        z = np.tile(self.full_state, (len(sets), 1))
        sets = sets.copy()
        for flow in [*self.flows[:0:-1], *np.geomspace(self.flows[1], self.flows[0], SHUTTING)[1:]]:
            sets[:, self.column] = flow
            found = rests(self.system, sets, z).z
            z = np.where(np.isfinite(found), found, z)
        return z

    def gradients(self) -> Vector:
        """Slopes of the outputs by all parameters, (outputs, m)."""
        cracked, full = (self._gradient(flow, "open") for flow in (self.flows[self.at], self.flows[-1]))
        return np.vstack([cracked, full, full - cracked, self._gradient(self.flows[self.at], "shut")])

    def _gradient(self, flow: float, push: Literal["open", "shut"]) -> Vector:
        here = pushed(self.system, self.th, push)
        here[self.column] = flow
        return gradients(self.system, steady(self.system, here, self.full_state), here, [self.name])[1]


class AtPoint:
    """Channels of a machine at its operating point."""

    over = None

    def __init__(self, machine: Machine, th: Vector, point: dict[str, float], channels: list[str]) -> None:
        self.system, self.th = machine.system, th
        self.outputs = [(name, channel_kind(machine, name)) for name in channels]
        self.symbols = [known_channels(machine)[name] for name in channels]
        self.start = solve_point(machine, point).z

    def solve(self, sets: Vector) -> Block:
        """The channels of every set; there are no lines."""
        found = rests(self.system, sets, self.start)
        values = shown(self.system, sets, found.z, self.symbols)
        return Block(0, values, np.empty((len(sets), 0)), {f.index: str(f.error) for f in found.failures})

    def gradients(self) -> Vector:
        """Slopes of the channels by all parameters, (outputs, m)."""
        z = steady(self.system, self.th, self.start)
        return gradients(self.system, z, self.th, self.symbols)[1]


def known_channels(machine: Machine) -> dict[str, str]:
    """Every channel whose value the System gives as a symbol, and what it is called there.

    Named as in :mod:`oilway.study.frame`: a flow counts from the chamber at the first port of its part.
    """
    symbols = machine.system.rest.shown
    known = {name: name for name in symbols if not name.startswith("flow:")}
    for name, part in machine.parts.items():
        first = next(iter(part.nodes.values()), "")
        if len(part.nodes) > 1 and f"flow:{name}@{first}" in symbols:
            known[f"flow:{name}"] = f"flow:{name}@{first}"
    return known


def channel_kind(machine: Machine, name: str) -> str:
    """The quantity kind of a channel."""
    sort, _, place = name.partition(":")
    if sort != READING:
        return KINDS[sort]
    return next(t.label for t in machine.system.terms if t.sort == READING and t.place == place)
