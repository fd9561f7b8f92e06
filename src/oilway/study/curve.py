"""The pressure-flow curve of a relief valve, rising and falling, and the figures a technician reads off it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from oilway.errors import InputError, Place, Problem
from oilway.model.load import PUMP
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.setting import CRACKED
from oilway.model.system import System, Vector
from oilway.solve.curve import march
from oilway.solve.point import pushed
from oilway.solve.root import bracket_root
from oilway.solve.steady import steady
from oilway.study.setting import on_setting_stand

POINTS = 100
LEAST = 1e-6  # the march begins at this share of the full flow, where a tight valve has only just cracked
NEAR = 0.02  # the gradient is taken over this last share of the flow


@dataclass(frozen=True)
class Opening:
    """The pressure (Pa) and flow (m3/s) at which one moving part first leaves its seat, on the way up."""

    part: str
    pressure: float
    flow: float


@dataclass
class Curve:
    """A pressure-flow curve: arrays (n,) in SI, flow counted at 0 psi gauge, pressures gauge at the inlet.

    ``rising`` and ``falling`` stand at the same ``flows``.  ``cracked_flow`` is the small flow at which the
    cracking and reseating pressures are read.
    """

    name: str
    flows: Vector
    rising: Vector
    falling: Vector
    cracked_flow: float
    outlet_pressure: float
    openings: list[Opening] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def full_flow(self) -> float:
        """The flow (m3/s) the curve ends at."""
        return float(self.flows[-1])

    @property
    def cracking(self) -> float:
        """Cracking pressure: inlet pressure on the way up at the cracking flow."""
        return self._at(self.rising, self.cracked_flow)

    @property
    def reseating(self) -> float:
        """Reseating pressure: inlet pressure on the way down at the cracking flow."""
        return self._at(self.falling, self.cracked_flow)

    @property
    def full(self) -> float:
        """Full-flow pressure."""
        return float(self.rising[-1])

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
    def hysteresis(self) -> float:
        """Rising less falling pressure at half the full flow."""
        half = 0.5 * self.full_flow
        return self._at(self.rising, half) - self._at(self.falling, half)

    @property
    def gradient(self) -> float:
        """Pressure per flow (Pa s/m3) at full flow."""
        low = (1 - NEAR) * self.full_flow
        return (self.full - self._at(self.rising, low)) / (self.full_flow - low)

    def _at(self, branch: Vector, flow: float) -> float:
        return float(np.interp(flow, self.flows, branch))


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
    machine = _on_a_pump(machine, point or {})
    mounted = machine.mounted[0]
    setting = mounted.setting
    full = flow or float(machine.parts[PUMP].values["flow"] or 0.0)
    if cracked_flow is None:
        cracked_flow = setting.cracked_flow if setting is not None and flow is None else CRACKED * full
    if not 0 < cracked_flow < full:
        raise InputError(Problem(Place("curve"), "the cracking flow lies between zero and the full flow"))
    system, th = machine.system, machine.theta(point)
    flows = _spaced(LEAST * full, full, points, cracked_flow)
    pump = f"{PUMP}.flow"
    up = march(system, th, pump, flows, start=_seated(machine, th, flows[0]))
    down = march(system, th, pump, flows[::-1], start=up[-1])[::-1]
    inlet = system.index[f"pressure in {machine.parts[PUMP].nodes['outlet']}"]
    outlet = machine.parts[PUMP].nodes["inlet"]
    openings = _openings(system, th, inlet, flows, up)
    return Curve(
        machine.title, flows,
        np.array([z[inlet] for z in up]), np.array([z[inlet] for z in down]),
        cracked_flow, float(th[system.parameters[f"{outlet}.pressure"]]),
        openings,
        _notes(openings, cracked_flow),
    )  # fmt: skip


def _on_a_pump(machine: Machine, point: dict[str, float]) -> Machine:
    """The valve with a test pump on it, as it is set."""
    if machine.mounted and machine.mounted[0].prefix == "":
        machine = on_setting_stand(machine)
    if not machine.mounted or machine.set_by[1] != f"{PUMP}.flow":
        what = "a curve is taken of a valve that is set by the flow of a test pump"
        raise InputError(Problem(Place(str(machine.path)), what, "oilway explain shows this one point by point"))
    for name in point:
        if name != OIL_TEMPERATURE and name not in machine.system.parameters:
            what = f"there is no '{name}' on the stand on which this valve is set"
            raise InputError(Problem(Place("operating point"), what))
    return machine


def _notes(openings: list[Opening], cracked_flow: float) -> list[str]:
    """What a reader of the figures must know."""
    if openings and openings[0].flow <= cracked_flow:
        return []
    return [
        "leakage alone carries the flow that counts as cracked: no part has left its seat at that pressure; "
        "look at where parts leave their seats, or take a larger flow as cracked"
    ]


def _spaced(low: float, high: float, points: int, through: float) -> Vector:
    """Flows from low to high, closer together where a valve begins to open, one of them the cracking flow."""
    share = np.linspace(0.0, 1.0, points) ** 2
    flows = low + (high - low) * share
    flows[int(np.argmin(np.abs(flows[1:-1] - through))) + 1] = through
    return np.asarray(flows)


def _seated(machine: Machine, th: Vector, flow: float) -> Vector:
    """Where the march begins: a state reached from a stand at rest, with every part that can be on its seat."""
    th = th.copy()
    th[machine.system.parameters[f"{PUMP}.flow"]] = flow
    return steady(machine.system, th)


def _openings(system: System, th: Vector, inlet: int, flows: Vector, up: list[Vector]) -> list[Opening]:
    """Where each part leaves its seat against its dry friction, between two points of the rising branch."""
    found = []
    th = pushed(system, th, "open")
    pump = system.parameters[f"{PUMP}.flow"]
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
