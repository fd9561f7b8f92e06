"""Ways to run a machine for a reading: where the levers stand, what stalls, what is capped, how fast it turns.

A set-up is an operating point and, where something is capped or turned for the test, numbers that hold whatever is
wrong with the machine.  Common practice throughout; what each costs in minutes is a rough guide.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from oilway.elements.base import Element, Part
from oilway.elements.cylinder import Cylinder
from oilway.elements.fixed_pump import FixedPump
from oilway.elements.lever import Lever
from oilway.elements.motor import Motor
from oilway.errors import NoSolution
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.study.consequences import braked, levers_of
from oilway.study.faults import fault_kinds
from oilway.study.sites import sites, valves

IDLE, LIGHT = 0.4, 0.2  # of rated speed, of the load
# The passage into a cylinder port: so wide that it costs nothing (a gallon a second of warm oil: 0.03 psi), and
# laminar: with the flow of a hole, the root of its drop, Newton steps to and fro over the edge of a void.
WIDE = {"diameter": 0.06, "clearance": 0.015, "length": 0.1}
TURN = 0.5  # turns of the adjuster
SAME = 1e-12

STALL = "Stall it for seconds only, nobody near the load, gauges and hoses rated above the highest relief setting."
MOVES = "The machine moves: clear the zone, and know how to stop it."
OPENS = (
    "Shut down, lower or block the load, bleed to zero before a line is opened: a jet too fine to see goes "
    "through skin. Search for leaks with card, never a hand; oil in the skin means hospital at once."
)
BLOCKED = (
    "Block the load mechanically before working under it; for the reading it must just rest on its own oil, close "
    "above catch stands: a load fully on its stands makes no pressure and proves nothing."
)
CAPPED = (
    "With piston leakage and both ports capped the pressure can climb to force / rod area: check the rating first."
)
ADJUST = "Note the turns, never beyond the lowest rating entered, and put it back afterwards."


@dataclass(frozen=True)
class Setup:
    """One way to run the machine.

    ``point``: full parameter name to SI value over the file's own; ``after``: what holds whatever is wrong;
    ``more``: what is added to whatever it is.  ``minutes`` to get there; ``stalled`` names the actuators held.
    """

    name: str
    point: dict[str, float] = field(default_factory=dict)
    after: dict[str, float] = field(default_factory=dict)
    minutes: float = 3.0
    cautions: tuple[str, ...] = ()
    stalled: tuple[str, ...] = ()
    more: dict[str, float] = field(default_factory=dict)


def capped_ports(machine: Machine) -> Machine:
    """The machine with a passage between each cylinder port and its line that a test can cap; wide open until
    then.
    """
    parts = dict(machine.parts)
    for name, part in machine.parts.items():
        if part.kind != "cylinder" or any(machine.parts[c].kind == "tank" for c in part.nodes.values()):
            continue
        nodes = {}
        for port, line in part.nodes.items():
            inner = _inner(name, port)
            parts[inner] = _part(inner, "chamber", {"volume": 1e-5}, {})
            passage = _cap(name, port)
            parts[passage] = _part(passage, "annular gap", WIDE, {"from": line, "to": inner})
            nodes[port] = inner
        parts[name] = replace(part, nodes=nodes)
    return replace(machine, parts=parts, notes=list(machine.notes))


def _inner(cylinder: str, port: str) -> str:
    return f"{cylinder}: {port} end"


def _cap(cylinder: str, port: str) -> str:
    return f"{cylinder}: {port} port"


def _part(name: str, kind: str, values: dict[str, float], nodes: dict[str, str]) -> Part:
    return Part(name, kind, {**{r.name: r.default for r in kinds()[kind].records}, **values}, nodes)


def setups_of(machine: Machine) -> tuple[list[Setup], str]:
    """The set-ups of an instrumented machine (with :func:`capped_ports`), and the name of the one of its file."""
    if machine.points or machine.set_by[0]:
        return _on_the_stand(machine)
    levers = {e.name: f"{e.name}.position" for e in machine.elements.values() if isinstance(e, Lever)}
    neutral = dict.fromkeys(levers.values(), 0.0)
    found: list[Setup] = []
    for actuator in (e for e in machine.elements.values() if isinstance(e, Cylinder | Motor)):
        lever = levers_of(machine, actuator)
        if len(lever) == 1:
            for way in (1.0, -1.0):
                called = f"{lever[0].rpartition('.')[0] or lever[0]} {way:+.0f}"
                once = way > 0 and not any(setup.stalled for setup in found)
                found += _of_function(machine, actuator, called, {**neutral, levers[lever[0]]: way}, once)
    if levers:
        found.append(Setup("neutral", neutral, minutes=2.0, cautions=(BLOCKED,)))
        found += _capped(machine, neutral)
    own = Setup("as in the file", {}, minutes=3.0, cautions=(MOVES,))
    full = {**machine.point}
    same = next((s.name for s in found if not s.after and _same({**full, **s.point}, full, machine)), "")
    return ([] if same else [own]) + _unique(found), same or own.name


def _same(a: dict[str, float], b: dict[str, float], machine: Machine) -> bool:
    difference = machine.theta(a) - machine.theta(b)
    return bool(abs(difference).max() < SAME)


def _unique(found: list[Setup]) -> list[Setup]:
    return list({setup.name: setup for setup in found}.values())


def _of_function(
    machine: Machine, actuator: Element, called: str, point: dict[str, float], first: bool
) -> list[Setup]:
    """One function, one way: moving and stalled; the ``first`` also at idle, with little load, at the relief."""
    moving = Setup(called, point, minutes=3.0, cautions=(MOVES,))
    held = _stalled(machine, actuator, point)
    if held is None:
        return [moving]
    stall = Setup(f"{called}, stalled", {**point, **held}, {}, 4.0, (STALL,), (actuator.name,))
    found = [moving, stall]
    if not first:
        return found
    if slow := {f"{e.name}.engine speed": IDLE * float(e.number("engine speed") or 0.0)
                for e in machine.elements.values() if isinstance(e, FixedPump)}:  # fmt: skip
        found.append(replace(stall, name=f"{stall.name} at idle", point={**stall.point, **slow}, minutes=5.0))
    if light := _light(machine, actuator):
        found.append(Setup(f"{called}, light load", {**point, **light}, {}, 10.0, (MOVES,)))
    return found + _at_the_relief(machine, stall)


def _stalled(machine: Machine, actuator: Element, point: dict[str, float]) -> dict[str, float] | None:
    """What holds an actuator at its stop the way its lever drives it; none where the sound machine cannot."""
    try:
        state = solve_point(machine, point)
        if isinstance(actuator, Motor):
            held = braked(machine, actuator, point)
        else:
            end = state.parameter(f"{actuator.name}.stroke") if state.velocities[actuator.name] > 0 else 0.0
            held = {f"{actuator.name}.position": end}
        solve_point(machine, {**point, **held})
    except NoSolution:
        return None
    return held


def _light(machine: Machine, actuator: Element) -> dict[str, float]:
    th, known = machine.theta(), machine.system.parameters
    loads = [
        n for n, p in machine.parts.items() if p.kind in ("load", "linkage") and p.values["on"] == actuator.name
    ]
    names = [f"{load}.{record}" for load in loads for record in ("load force", "load pressure")]
    return {n: LIGHT * float(th[known[n]]) for n in names if n in known and th[known[n]]}


def _at_the_relief(machine: Machine, stall: Setup) -> list[Setup]:
    """Stalled, with the vent of a two-stage relief capped, or an adjuster turned in."""
    found = []
    for site in sites(machine):
        if site.acts_as != "relief":
            continue
        if site.role == "vent" and (plugged := _plugs(machine, site.owner, site.chamber)):
            found.append(
                replace(stall, name=f"{stall.name}, vent of {site.owner} capped", after=plugged, minutes=15.0,
                        cautions=(OPENS, STALL))
            )  # fmt: skip
        if site.role == "adjuster" and (name := f"{site.parts[0]}.turns") in machine.system.parameters:
            told = f"{stall.name}, adjuster of {site.owner} half a turn in"
            found.append(replace(stall, name=told, more={name: TURN}, minutes=8.0, cautions=(ADJUST, STALL)))
    return found


def _plugs(machine: Machine, owner: str, chamber: str) -> dict[str, float]:
    """What shuts every passage that leaves a chamber outside the valve it is in.

    Passages that faults add lie inside, but for those at the vent: a cap stops no leak in the valve.
    """
    inside = next(m.prefix for m in valves(machine) if m.name == owner)
    added = {f"{owner}: {kind.name}": kind.on == "vent" for kind in fault_kinds() if kind.adds}
    after = {}
    for name, part in machine.parts.items():
        outside = added.get(name, bool(inside and not name.startswith(inside)))
        if chamber not in part.nodes.values() or not outside:
            continue
        if part.kind == "orifice":
            after[f"{name}.diameter"] = 0.0
        elif part.kind == "spool edge":
            after |= {f"{name}.overlap": 0.05, f"{name}.clearance": 0.0}
    return {n: v for n, v in after.items() if n in machine.system.parameters}


def _capped(machine: Machine, neutral: dict[str, float]) -> list[Setup]:
    found = []
    for name, part in machine.parts.items():
        caps = {f"{_cap(name, port)}.clearance": 0.0 for port in part.nodes}
        if part.kind == "cylinder" and all(c in machine.system.parameters for c in caps):
            told = f"neutral, ports of {name} capped"
            found.append(Setup(told, neutral, caps, 25.0, (OPENS, BLOCKED, CAPPED)))
    return found


def _on_the_stand(machine: Machine) -> tuple[list[Setup], str]:
    """A valve alone: the points its file names, else work below the setting, and full and little flow over it."""
    if machine.points:
        named = [Setup(name, point, minutes=2.0, cautions=(STALL,)) for name, point in machine.points.items()]
        return named, named[0].name
    flow, setting = machine.set_by[1], machine.mounted[0].setting
    full = float(machine.theta()[machine.system.parameters[flow]])
    found = [Setup("full flow", {}, minutes=2.0, cautions=(STALL,)),
             Setup("a tenth of the flow", {flow: 0.1 * full}, minutes=2.0, cautions=(STALL,))]  # fmt: skip
    if setting is not None:
        for share in (50, 80):
            held = {"test load.load pressure": share / 100 * setting.pressure}
            found.append(Setup(f"load at {share} % of the setting", held, minutes=2.0, cautions=(STALL,)))
    stages = [replace(s, stalled=()) for s in _at_the_relief(machine, found[0])]
    return found + stages, found[0].name
