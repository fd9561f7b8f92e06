"""What the operator feels: speed and force, drift and stall, heat and cavitation, read off a solved state.

Only the forces at standstill need solves of their own: the same machine with the actuator braked, one solve for
each way of the lever.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from oilway.elements.base import Element
from oilway.elements.chamber import AIR
from oilway.elements.cylinder import Cylinder
from oilway.elements.fixed_pump import STARVES, FixedPump
from oilway.elements.lever import Lever
from oilway.elements.motor import Motor
from oilway.elements.network import HEATS
from oilway.elements.spool_edge import SpoolEdge
from oilway.elements.stand import TestPump
from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.routes import Route, called, routes, routes_of_pump, valve_of
from oilway.study.warming import Warming, warming

STANDS = 1e-9  # m/s or rev/s
CREEPS = {"velocity": 1e-3, "rotation": 1 / 60}  # m/s, rev/s: slower is told as drift whatever the lever does
BRAKE = 1e9  # N of seal friction: more than any pressure could push
TRACE = 5e-6  # m of seal clearance on the brake: a trace of oil past the piston opens what a trace of motion would
LOCK = 1e6  # N m of a brake: more than any oil could turn
LITTLE = 1e-6  # share of a force that counts as nothing


@dataclass(frozen=True)
class Push:
    """What an actuator can do at standstill one way: ``most`` (N or N m) against ``needed`` by its load.

    ``needed`` is negative where the load helps; ``lever`` where the lever stands for it, ``None`` without one;
    ``now`` when it stands there at this operating point.
    """

    way: str
    most: float
    needed: float
    lever: float | None
    now: bool

    @property
    def spare(self) -> float:
        """What is left to speed up on; below nothing it stalls."""
        return self.most - self.needed


@dataclass(frozen=True)
class Drift:
    """Oil that leaves the chamber ``loaded`` while the load moves the actuator; ``idle`` takes no part in it.

    ``creeping`` says that the lever is in neutral, or the speed that of leakage.
    """

    loaded: str
    creeping: bool
    routes: list[Route]
    idle: list[str]


@dataclass(frozen=True)
class Actuator:
    """A cylinder (m/s, N) or motor (rev/s, N m): ``kind`` is the quantity kind of its speed.

    ``levers`` are those that move it; ``notes`` say why a force is missing.
    """

    name: str
    kind: str
    speed: float
    levers: dict[str, float]
    pushes: list[Push]
    at_stop: bool
    drift: Drift | None
    notes: list[str] = field(default_factory=list)

    @property
    def neutral(self) -> bool:
        """True when it has levers and all of them stand in neutral."""
        return _in_neutral(self.levers)

    @property
    def stalls(self) -> bool:
        """True when it is driven and its load asks for more than it can push."""
        return not self.at_stop and any(p.now and p.spare <= LITTLE * p.most for p in self.pushes)


@dataclass(frozen=True)
class Cavity:
    """Oil that is pulled too low: the gauge pressure (Pa), and the volume (m3/s at 0 psi) missing in a void."""

    place: str
    what: str
    pressure: float
    void: float


@dataclass(frozen=True)
class Felt:
    """What the operator feels at one operating point: SI throughout.

    ``pumped``: where the oil of each pump goes; ``heat``: W by component, largest first.
    """

    actuators: list[Actuator]
    pumped: dict[str, list[Route]]
    heat: dict[str, float]
    warming: Warming
    cavities: list[Cavity]


def consequences(state: State) -> Felt:
    """What an operator would feel of a solved state.  Solves the machine anew for the forces at standstill."""
    elements = state.machine.elements.values()
    heat = _heat(state)
    return Felt(
        [_actuator(state, e) for e in elements if isinstance(e, Cylinder | Motor)],
        {
            e.name: routes_of_pump(state, e.name, e.at("outlet"))
            for e in elements
            if isinstance(e, FixedPump | TestPump)
        },
        heat,
        warming(state, sum(heat.values())),
        _cavities(state),
    )


def has_actuator(machine: Machine) -> bool:
    """True when something in the machine moves a load."""
    return any(isinstance(e, Cylinder | Motor) for e in machine.elements.values())


# -- actuators ---------------------------------------------------------------------------------------------
def _actuator(state: State, element: Element) -> Actuator:
    levers = {name: state.parameter(f"{name}.position") for name in levers_of(state.machine, element)}
    speed, load = _speed(state, element), _load(state, element)
    notes: list[str] = []
    return Actuator(
        element.name,
        _kind(element),
        speed,
        levers,
        _pushes(state, element, load, levers, notes),
        any(e.label == "end stop" and abs(e.value) > 1.0 for e in state.forces.get(element.name, [])),
        _drift(state, element, speed, load, levers),
        notes,
    )


def _in_neutral(levers: dict[str, float]) -> bool:
    """True when there are levers and all of them stand in neutral."""
    return bool(levers) and not any(levers.values())


def _kind(element: Element) -> str:
    """Quantity kind of the speed of a cylinder or motor."""
    return "velocity" if isinstance(element, Cylinder) else "rotation"


def _speed(state: State, element: Element) -> float:
    """m/s of a cylinder, rev/s of a motor."""
    if isinstance(element, Cylinder):
        return state.velocities[element.name]
    return state.readings[element.name][1]


def _load(state: State, element: Element) -> float:
    """What works against extending or turning forwards, N or N m."""
    book = state.forces if isinstance(element, Cylinder) else state.torques
    return -sum(e.value for e in book[element.name] if e.label == "load")


def levers_of(machine: Machine, actuator: Element) -> list[str]:
    """The levers whose edges stand nearest to an actuator: fewest passages away."""
    reached, fresh = set(), {actuator.at(port.name) for port in actuator.ports if port.name != "case"}
    while fresh:
        fresh = {c for c in fresh if machine.parts[c].kind != "tank"}
        beside = [e for e in machine.elements.values() if any(set(pair) & fresh for pair in _ends(e))]
        edges = [e.text("on") for e in beside if isinstance(e, SpoolEdge)]
        levers = sorted({name for name in edges if isinstance(machine.elements[name], Lever)})
        if levers:
            return levers
        reached |= fresh
        passed = [e for e in beside if not isinstance(e, FixedPump | TestPump | Cylinder | Motor)]
        fresh = {c for e in passed for pair in _ends(e) for c in pair} - reached
    return []


def _ends(element: Element) -> list[tuple[str, str]]:
    return [(element.at(a), element.at(b)) for a, b in element.links()]


def _pushes(state: State, element: Element, load: float, levers: dict[str, float], notes: list[str]) -> list[Push]:
    """What it can do at standstill, each way that its one lever drives it; as it stands with none or several."""
    if not any(isinstance(e, FixedPump | TestPump) for e in state.machine.elements.values()):
        return []
    if len(levers) != 1:
        if _in_neutral(levers):
            return []
        return _push(state, element, load, {}, None, True, notes)
    (lever, stands), found = next(iter(levers.items())), []
    for place in (abs(stands) or 1.0, -(abs(stands) or 1.0)):
        found += _push(state, element, load, {f"{lever}.position": place}, place, place == stands, notes)
    if len({push.way for push in found}) < len(found):  # one of the two is another actuator's oil, not the pump's
        found = [push for push in found if push.now] or found[:1]
    return found


def _push(
    state: State,
    element: Element,
    load: float,
    point: dict[str, float],
    lever: float | None,
    now: bool,
    notes: list[str],
) -> list[Push]:
    """One way: the actuator braked beyond anything that moves it, so that its oil shows what it could push."""
    cylinder = isinstance(element, Cylinder)
    try:
        held = solve_point(state.machine, {**state.point, **point, **braked(state.machine, element, state.point)})
    except OilwayError as error:
        at = "" if lever is None else f" at lever {lever:g}"
        notes.append(f"no force at standstill{at}: {str(error).splitlines()[0]}")
        return []
    if any(element.at(port.name) in held.isolated for port in element.ports):
        return []  # shut in on one side: it bears whatever is put on it
    if cylinder:
        oil = sum(e.value for e in held.forces[element.name] if e.label in ("cap pressure", "rod pressure"))
        most = abs(oil) - state.parameter(f"{element.name}.seal friction")
        way = "extends" if oil > 0 else "retracts"
    else:
        oil = sum(e.value for e in held.torques[element.name] if e.label == "pressure")
        most = abs(oil) * state.parameter(f"{element.name}.mechanical efficiency")
        most -= state.parameter(f"{element.name}.brake torque")
        way = "forwards" if oil > 0 else "backwards"
    return [Push(way, most, load if oil > 0 else -load, lever, now)] if most > 0 else []


def braked(machine: Machine, element: Element, point: dict[str, float] | None = None) -> dict[str, float]:
    """Values by which a cylinder or motor stands whatever its oil does, beside the load it has."""
    if isinstance(element, Cylinder):
        clearance = f"{element.name}.seal clearance"
        given = machine.theta(point)[machine.system.parameters[clearance]]
        return {f"{element.name}.seal friction": BRAKE, clearance: max(float(given), TRACE)}
    # Not by more friction, which is a share of the torque of the oil: between two equal pressures it would turn.
    return {f"{element.name}.brake torque": LOCK}


def _drift(state: State, element: Element, speed: float, load: float, levers: dict[str, float]) -> Drift | None:
    """Which way the loaded oil leaves, while the load moves the actuator; none while it is driven or stands."""
    if abs(speed) < STANDS or load * speed >= 0:
        return None
    ports = [port.name for port in element.ports[:2]]
    loaded, other = (element.at(p) for p in (ports if load > 0 else ports[::-1]))
    taken = routes(state, loaded, (other,), beside=element.name)
    on_the_way = {part for route in taken for part in route.parts}
    return Drift(
        loaded,
        _in_neutral(levers) or abs(speed) < CREEPS[_kind(element)],
        taken,
        _idle(state, element, on_the_way),
    )


def _idle(state: State, element: Element, on_the_way: set[str]) -> list[str]:
    """Valves and checks that lose none of it, and the seal of the actuator itself."""
    valves = [m.name for m in state.machine.mounted if m.prefix and m.adjuster]
    checks = [e.name for e in state.machine.elements.values() if e.kind == "check valve"]
    names = dict.fromkeys([*valves, *(called(state, c) for c in checks), element.name])
    return [name for name in names if name not in on_the_way]


def sort_of(state: State, name: str) -> str:
    """What a part of a route is, in words of the trade."""
    valve = next((m for m in state.machine.mounted if m.name == name and m.adjuster), None)
    if valve is not None:
        return valve.valve.title
    element = state.machine.elements[name]
    if isinstance(element, Cylinder):
        return "piston seal"
    if isinstance(element, FixedPump):
        return "inside the pump"
    if isinstance(element, SpoolEdge) and isinstance(state.machine.elements[element.text("on")], Lever):
        return "spool"
    return element.kind


# -- heat --------------------------------------------------------------------------------------------------
def _heat(state: State) -> dict[str, float]:
    """W that each component leaves in the oil, largest first."""
    heat: dict[str, float] = {}
    for entry in state.power:
        if entry.label in HEATS:
            valve = valve_of(state, entry.part)
            name = valve.name if valve is not None else entry.part
            heat[name] = heat.get(name, 0.0) + entry.value
    return dict(sorted(heat.items(), key=lambda item: -item[1]))


# -- cavitation --------------------------------------------------------------------------------------------
def _cavities(state: State) -> list[Cavity]:
    """Chambers below the point where air comes out, and pumps whose inlet is pulled too low."""
    found = []
    for finding in state.findings:
        if finding.what in (AIR, STARVES):
            void = sum(e.value for e in state.flows.get(finding.part, []) if e.label == "void opening")
            found.append(Cavity(finding.part, finding.what, finding.value, state.at_no_pressure(void)))
    return found
