"""A shipped valve made to the size of a duty: lengths scaled with the root of the flow, spring to the setting."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from oilway import quantity
from oilway.elements.base import Part
from oilway.errors import ImpossibleCircuit, NoSolution, OilwayError
from oilway.laws.springs import spring_rate
from oilway.model.catalogue import kinds
from oilway.model.load import LOAD, PUMP, read_machine
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.setting import Setting
from oilway.model.tree import Problems, block_of
from oilway.oil import Oil
from oilway.solve.point import pushed
from oilway.solve.stability import stability
from oilway.solve.steady import steady
from oilway.study.setting import Stand, put_on_stand, settle

POWERS = {  # of the scale, by kind of quantity: forces follow areas, so that pressures stay what they are
    "length": 1, "pitch": 1, "rate": 1, "area": 2, "force": 2, "damping": 2, "volume": 3, "mass": 3,
}  # fmt: skip
AS_IT_IS = ("clearance", "worn gap", "transition Reynolds number")  # fits are what the workshop can make
WIRE = ("wire diameter", "mean diameter", "active coils")
ENDS = (0.1, 1.0)  # shares of the turns between which the range of the adjuster is told
RANGE_STEP = 0.05


@dataclass(frozen=True)
class Sized:
    """A valve of the size of a duty, set on its stand.

    ``machine`` on the circuit it brings along, ``bench`` on the stand on which it is set; ``scale`` of its
    lengths; ``pressure`` (Pa) at ``flow`` (m3/s) is its setting, made with ``turns``; ``low`` and ``high`` (Pa)
    are what its adjuster reaches.
    """

    name: str
    choices: dict[str, str]
    machine: Machine
    bench: Machine
    adjuster: str
    scale: float
    pressure: float
    flow: float
    turns: float
    low: float
    high: float
    roles: dict[str, str] = field(default_factory=dict)

    def stand(self, point: Mapping[str, float] | None = None) -> Stand:
        """The stand on which it is set, with values laid over its operating point."""
        return Stand(self.bench, self.adjuster, dict(point or {}))

    def full(self, point: Mapping[str, float] | None = None, flow: float | None = None) -> float:
        """Pressure (Pa) that its setting speaks of, at its setting's flow or another (m3/s)."""
        return self.stand(point).pressure(self.flow if flow is None else flow)

    def damping(self) -> float | None:
        """Damping ratio of its least damped swing at its setting on the stand; None where nothing swings."""
        stand = self.stand()
        stand.th[stand.flow] = self.flow
        z = steady(stand.system, stand.th)
        swings = [m.damping for m in stability(stand.system, z, stand.th).modes if m.frequency > 0]
        return min(swings, default=None)

    def holds(self, *roles: str) -> str:
        """The parameter that holds the pressure at a port of this role on the stand, or an empty text."""
        name = f"{self.bench.mounted[0].at(*roles)}.pressure"
        return name if name in self.bench.system.parameters else ""

    def read(self, chamber: str, point: Mapping[str, float]) -> float:
        """Pressure (Pa) of a chamber of the circuit it brings along, at an operating point of that."""
        system = self.machine.system
        th = pushed(system, self.machine.theta(dict(point)), "open")
        return float(steady(system, th)[system.index[f"pressure in {chamber}"]])


def sized(
    name: str,
    choices: Mapping[str, str],
    pressure: float,
    flow: float,
    *,
    inlet: float | None = None,
    oil: Oil | None = None,
    temperature: float | None = None,
) -> Sized:
    """A shipped valve scaled from its rated flow to ``flow`` (m3/s) and set to ``pressure`` (Pa).

    Similar in shape: areas and therefore flows go with the square of the scale, pressures stay.  The spring with
    the adjuster is made stronger or weaker with the setting.  Its setting is made at the same share of its flow as
    the shipped one's; ``inlet`` (Pa) is held at its inlet meanwhile, where that is held at a pressure.
    Errors: :class:`ImpossibleCircuit` where its adjuster does not reach the setting; :class:`NoSolution`.
    """
    machine = settle(read_machine(Path(name), dict(choices)))
    if oil is not None:
        machine = replace(machine, oil=oil)
    if temperature is not None:
        machine = replace(machine, temperature=temperature, point={**machine.point, OIL_TEMPERATURE: temperature})
    mounted = machine.mounted[0]
    shipped, rated = mounted.setting, mounted.valve.rated_flow
    assert shipped is not None
    assert rated is not None
    size = flow / quantity.parse(rated.text, "flow")
    at = shipped.flow * size
    machine = _scaled(machine, math.sqrt(size), pressure / shipped.pressure)
    mounted = replace(mounted, setting=Setting(pressure, at))
    machine = replace(machine, mounted=[mounted, *machine.mounted[1:]])
    adjuster = mounted.valve.adjuster
    machine, bench = (_fed(m, inlet) for m in (machine, put_on_stand(machine, mounted)))
    most = float(bench.parts[adjuster].values["most turns"] or 0.0)
    turns = Stand(bench, adjuster).solve_turns(pressure, at, most)
    if math.isnan(turns):
        raise ImpossibleCircuit(f"{name}: no turns of its adjuster make {quantity.show(pressure, 'pressure')}")
    machine, bench = (m.with_part(adjuster, {"turns": turns}) for m in (machine, bench))
    low, high = _range(bench, adjuster, at, most)
    roles = {port.name: port.role for port in mounted.valve.ports.values()}
    return Sized(
        name, dict(choices), machine, bench, adjuster, math.sqrt(size), pressure, at, turns, low, high, roles
    )


def _fed(machine: Machine, inlet: float | None) -> Machine:
    """With the inlet of the valve held at a pressure, where a tank holds it."""
    feed = machine.parts[machine.mounted[0].at("inlet")]
    return machine if inlet is None or feed.kind != "tank" else machine.with_part(feed.name, {"pressure": inlet})


def _scaled(machine: Machine, scale: float, stronger: float) -> Machine:
    """All own parts of a valve on its stand scaled; what belongs to the stand stays."""
    valve = machine.mounted[0].valve
    foreign = {PUMP, LOAD, *block_of(valve.stand, "parts", Problems(), "stand").items}
    for name, part in machine.parts.items():
        if name not in foreign and part.kind != "tank":
            values = _scaled_values(part, scale)
            if name == valve.adjuster:
                values = _stronger(part, values, scale, stronger)
            machine = machine.with_part(name, values)
    return machine


def _scaled_values(part: Part, scale: float) -> dict[str, float | str | None]:
    return {
        record.name: float(value) * scale ** POWERS[record.kind]
        for record in kinds()[part.kind].records
        if record.kind in POWERS
        and record.name not in AS_IT_IS
        and (value := part.values.get(record.name)) is not None
    }


def _stronger(
    part: Part, values: dict[str, float | str | None], scale: float, stronger: float
) -> dict[str, float | str | None]:
    rate = part.values["rate"]
    if rate is None:
        wire = (float(part.values[key] or 0.0) for key in ("shear modulus", *WIRE))
        rate = float(spring_rate(*wire))
    return {**values, **dict.fromkeys(WIRE), "rate": float(rate) * scale * stronger}


def _range(bench: Machine, adjuster: str, flow: float, most: float) -> tuple[float, float]:
    """Lowest and highest pressure its adjuster makes: from almost out, to as far in as its spring goes."""
    found = []
    for share in ENDS:
        while share > 0:
            try:
                stand = Stand(bench, adjuster)
                stand.th[stand.turns] = share * most
                found.append(stand.pressure(flow))
                break
            except OilwayError:  # the spring is solid there: less far in
                share -= RANGE_STEP
    if len(found) < len(ENDS):
        raise NoSolution(f"the reach of the adjuster {adjuster} is not told: no turns of it solve")
    return min(found), max(found)
