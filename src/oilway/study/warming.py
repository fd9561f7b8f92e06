"""How fast the oil warms, where its temperature settles, and what tanks and coolers give off there."""

from __future__ import annotations

from dataclasses import dataclass, field

from oilway import quantity
from oilway.elements.cooler import Cooler
from oilway.elements.tank import Tank
from oilway.laws.heat import (
    cooler_conductance,
    heat_given_off,
    steady_temperature,
    wall_conductance,
    warming_rate,
)
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.solve.result import State


@dataclass(frozen=True)
class Way:
    """What gives heat off: W per degree over its medium (degC) at this operating point."""

    conductance: float
    medium: float


@dataclass(frozen=True)
class Warming:
    """Heat (W) that goes into the oil; ``rise`` K/s with none given off, ``steady`` degC, where they are known.

    ``missing`` says what the file must give for them; ``taken`` what was taken as common practice.  ``given`` is
    what each tank and cooler gives off where it settles (W), ``coolers`` those of them that are coolers;
    ``cooled`` the K/s with all of them at work on the oil as warm as it is now, where there is a cooler.
    """

    heat: float
    rise: float | None
    steady: float | None
    missing: list[str]
    taken: list[str]
    given: dict[str, float] = field(default_factory=dict)
    coolers: list[str] = field(default_factory=list)
    cooled: float | None = None


def warming(state: State, heat: float) -> Warming:
    """How fast ``heat`` (W) warms the oil and where that settles, by what tanks and coolers say of themselves."""
    tanks, coolers = _sorted_out(state.machine)
    walls = [t for t in tanks if t.number("cooling area")]
    ways = {t.name: _wall(t, state.machine) for t in walls} | {c.name: _cooler(c, state) for c in coolers}
    missing: list[str] = []
    rise = cooled = steady = None
    mass = state.parameter("oil.rho0") * sum(t.number("oil volume") or 0.0 for t in tanks)
    if mass > 0:
        rise = warming_rate(heat, mass)
        if coolers:
            cooled = warming_rate(heat - sum(_given(ways, _oil_temperature(state)).values()), mass)
    else:
        missing.append("how fast the oil warms: give the tank its 'oil volume'")
    if sum(way.conductance for way in ways.values()) > 0:
        steady = steady_temperature(heat, [(way.conductance, way.medium) for way in ways.values()])
    else:
        why = "; no oil goes through the cooler" if coolers else ""
        missing.append(f"where its temperature settles: give the tank its 'cooling area'{why}")
    given = {} if steady is None else _given(ways, steady)
    taken = [] if steady is None else _taken(state.machine, walls, coolers)
    return Warming(heat, rise, steady, missing, taken, given, [c.name for c in coolers], cooled)


def _sorted_out(machine: Machine) -> tuple[list[Tank], list[Cooler]]:
    elements = machine.elements.values()
    return [e for e in elements if isinstance(e, Tank)], [e for e in elements if isinstance(e, Cooler)]


def _wall(tank: Tank, machine: Machine) -> Way:
    conductance = wall_conductance(tank.number("heat transfer"), tank.number("cooling area"))
    return Way(float(conductance), float(machine.oil.air_temperature))


def _cooler(cooler: Cooler, state: State) -> Way:
    """At the flow that goes through it now, either way."""
    flow = abs(state.at_no_pressure(state.flow_through(cooler.name)))
    rated_flow, rated = (cooler.number(record) or 0.0 for record in ("rated flow", "heat given off"))
    medium = cooler.number("medium temperature")
    air = float(state.machine.oil.air_temperature)
    return Way(cooler_conductance(flow, rated_flow, rated), air if medium is None else medium)


def _given(ways: dict[str, Way], oil: float) -> dict[str, float]:
    """W by tank and cooler with oil of a temperature (degC)."""
    return {name: float(heat_given_off(way.conductance, oil, way.medium)) for name, way in ways.items()}


def _oil_temperature(state: State) -> float:
    return state.point.get(OIL_TEMPERATURE, state.machine.temperature)


def _taken(machine: Machine, walls: list[Tank], coolers: list[Cooler]) -> list[str]:
    """What the steady temperature takes as common practice."""
    taken = [
        f"heat transfer of {tank.name} {tank.number('heat transfer'):g} W/m2K"
        for tank in walls
        if "heat transfer" not in tank.part.given
    ]
    by_air = walls or any(c.number("medium temperature") is None for c in coolers)
    if by_air and "air_temperature" in machine.oil.defaults:
        taken.append(f"air temperature {quantity.show(machine.oil.air_temperature, 'temperature')}")
    return taken
