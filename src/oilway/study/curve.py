"""The pressure-flow curve of a relief valve, rising and falling, and the figures a technician reads off it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np

from oilway import quantity
from oilway.errors import InputError, Place, Problem
from oilway.model.machine import Machine
from oilway.model.setting import CRACKED
from oilway.model.system import Vector
from oilway.solve.curve import march
from oilway.solve.point import pushed
from oilway.solve.root import bracket_root
from oilway.solve.steady import steady
from oilway.study.sweep import POINTS, Sweep, is_drawn, on_its_stand, spaced

LEAST = 1e-6  # the march begins at this share of the full flow, where a tight valve has only just cracked
NEAR = 0.02  # the gradient is taken over this last share of the flow


@dataclass(frozen=True)
class Opening:
    """The pressure (Pa) and flow (m3/s) at which one moving part first leaves its seat, on the way up."""

    part: str
    pressure: float
    flow: float


@dataclass
class Curve(Sweep):
    """A pressure-flow curve of a valve that opens by pressure at its inlet, which is what it reads.

    ``cracked_flow`` is the small flow at which the cracking and reseating pressures are read;
    ``outlet_pressure`` that of the tank behind the valve.
    """

    reads: ClassVar[str] = "inlet pressure"

    cracked_flow: float
    outlet_pressure: float
    openings: list[Opening] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def cracking(self) -> float:
        """Cracking pressure: inlet pressure on the way up at the cracking flow."""
        return self.at(self.rising, self.cracked_flow)

    @property
    def reseating(self) -> float:
        """Reseating pressure: inlet pressure on the way down at the cracking flow."""
        return self.at(self.falling, self.cracked_flow)

    @property
    def override(self) -> float:
        """Full-flow pressure less cracking pressure."""
        return self.full - self.cracking

    @property
    def override_share(self) -> float:
        """Override as a share of the cracking pressure."""
        return self.override / self.cracking if self.cracking > 0 else float("inf")

    @property
    def over_first_opening(self) -> float:
        """Full-flow pressure less the pressure at which the first part (the pilot) leaves its seat."""
        return self.full - self.openings[0].pressure if self.openings else 0.0

    @property
    def gradient(self) -> float:
        """Pressure per flow (Pa s/m3) at full flow."""
        low = (1 - NEAR) * self.full_flow
        return (self.full - self.at(self.rising, low)) / (self.full_flow - low)


def relief_curve(
    machine: Machine,
    *,
    flow: float | None = None,
    cracked_flow: float | None = None,
    points: int = POINTS,
    point: dict[str, float] | None = None,
) -> Curve:
    """The curve of a valve on the stand on which it is set, from almost no flow to ``flow`` (m3/s) and down again.

    ``cracked_flow`` (m3/s) defines the cracking pressure, 1 % of full flow unless given; ``point`` lays
    operating values (tank pressure, oil temperature, turns ...) over the stand's own.
    Errors: :class:`InputError` for a machine that is no valve on the stand; :class:`NoSolution`.
    """
    if is_drawn(machine):
        what = "this valve is set by what is drawn from its outlet and does not open by pressure"
        raise InputError(Problem(Place(str(machine.path)), what, "its curve is a reducing_curve"))
    machine, pump = on_its_stand(machine, point or {})
    setting, feed = machine.mounted[0].setting, machine.set_by[1]
    full = flow or float(pump.values["flow"] or 0.0)
    if cracked_flow is None:
        cracked_flow = setting.cracked_flow if setting is not None and flow is None else CRACKED * full
    if not 0 < cracked_flow < full:
        raise InputError(Problem(Place("curve"), "the cracking flow lies between zero and the full flow"))
    system, th = machine.system, machine.theta(point)
    flows = spaced(LEAST * full, full, points, cracked_flow)
    up = march(system, th, feed, flows, start=_seated(machine, th, flows[0]))
    down = march(system, th, feed, flows[::-1], start=up[-1])[::-1]
    inlet = system.index[f"pressure in {machine.set_by[0]}"]
    openings = _openings(machine, th, inlet, flows, up)
    return Curve(
        machine.title, flows,
        np.array([z[inlet] for z in up]), np.array([z[inlet] for z in down]),
        cracked_flow, _behind(machine, th, up[-1], pump.nodes["inlet"]),
        openings,
        [*_notes(openings, cracked_flow), *_pilots(machine, th)],
    )  # fmt: skip


def _behind(machine: Machine, th: Vector, z: Vector, chamber: str) -> float:
    """The pressure (Pa) of the chamber that the pump draws from: a tank's, or as solved."""
    system, tank = machine.system, f"{chamber}.pressure"
    return float(
        th[system.parameters[tank]] if tank in system.parameters else z[system.index[f"pressure in {chamber}"]]
    )


def _pilots(machine: Machine, th: Vector) -> list[str]:
    """At what the remote pilot ports of the valve stand meanwhile."""
    mounted, notes = machine.mounted[0], []
    for port in mounted.valve.ports.values():
        outside = mounted.outside[port.chamber]
        column = machine.system.parameters.get(f"{outside}.pressure")
        if port.role == "pilot" and outside == machine.set_by[0]:
            notes.append(f"pilot port {port.name} joined to where the pressure is read, as it is set")
        elif port.role == "pilot" and column is not None:
            notes.append(f"pilot port {port.name} held at {quantity.show(float(th[column]), 'pressure')}")
    return notes


def _notes(openings: list[Opening], cracked_flow: float) -> list[str]:
    """What a reader of the figures must know."""
    if openings and openings[0].flow <= cracked_flow:
        return []
    return [
        "leakage alone carries the flow that counts as cracked: no part has left its seat at that pressure; "
        "look at where parts leave their seats, or take a larger flow as cracked"
    ]


def _seated(machine: Machine, th: Vector, flow: float) -> Vector:
    """Where the march begins: a state reached from a stand at rest, with every part that can be on its seat."""
    th = th.copy()
    th[machine.system.parameters[machine.set_by[1]]] = flow
    return steady(machine.system, th)


def _openings(machine: Machine, th: Vector, inlet: int, flows: Vector, up: list[Vector]) -> list[Opening]:
    """Where each part leaves its seat against its dry friction, between two points of the rising branch."""
    found, system = [], machine.system
    th = pushed(system, th, "open")
    pump = system.parameters[machine.set_by[1]]
    lifts = [[status.free for status in system.ledger(z, th)[1]] for z in up]
    for i, part in enumerate(system.moving):
        k = next((k for k, free in enumerate(lifts) if free[i] > 0), None)
        if k is None:
            continue
        flow, z = float(flows[k]), up[k]
        if k > 0:
            state = [up[k]]

            def lift_at(q: float, state: list[Vector] = state, i: int = i) -> float:
                th[pump] = q
                state[0] = steady(system, th, state[0])
                return system.ledger(state[0], th)[1][i].free

            flow = bracket_root(lift_at, float(flows[k - 1]), flow, 1e-12, (lifts[k - 1][i], lifts[k][i]))
            z = state[0]
        found.append(Opening(part, float(z[inlet]), flow))
    return sorted(found, key=lambda opening: opening.flow)
