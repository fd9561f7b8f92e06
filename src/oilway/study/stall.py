"""Stalled: the functions of a machine held, so that its pumps have no way but over the pressure controls."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from oilway.elements.cylinder import Cylinder
from oilway.elements.motor import Motor
from oilway.elements.stand import TestLoad
from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.consequences import braked, levers_of
from oilway.study.controls import COMPENSATOR, Control, acts
from oilway.study.rising import levers
from oilway.study.staging import reach

LIMITS = ("relief", "port relief", "crossover relief", COMPENSATOR)  # what keeps a pressure from rising further
HALF = 0.5  # of what goes over all that limit one pressure: the one that carries it
NEARLY = 0.95  # of the most oil over a valve: as good as all of it
BLOCKED = "load pressure"  # of a test load: turned up as far as it goes, it takes no oil


@dataclass(frozen=True)
class Stall:
    """One way to load the machine: ``held`` actuators stand, ``lever`` stands at ``place``, all others in neutral.

    ``lever`` is empty where no lever moves what is held.  ``point`` is the operating point (SI by parameter).
    """

    held: tuple[str, ...]
    lever: str
    place: float
    point: dict[str, float]
    state: State


def stalls(machine: Machine, changed: dict[str, float] | None = None) -> tuple[list[Stall], list[str]]:
    """Every actuator held each way its lever drives it, alone and with those on the same lever; and what failed.

    ``changed`` lays values over the operating point of the file.
    """
    found, notes, start = [], [], None
    for held, lever, place, point in _ways(machine):
        point = {**point, **(changed or {})}
        try:
            state = solve_point(machine, point, start)
        except OilwayError as err:
            name = " and ".join(held) or "the machine"
            notes.append(f"{name} held, {lever or 'no lever'} at {place:g}: {str(err).splitlines()[0]}")
            continue
        start = state.z
        found.append(Stall(held, lever, place, point, state))
    return found, notes


def _ways(machine: Machine) -> Iterator[tuple[tuple[str, ...], str, float, dict[str, float]]]:
    actuators = [e for e in machine.elements.values() if isinstance(e, Cylinder | Motor)]
    loads = [e for e in machine.elements.values() if isinstance(e, TestLoad)]
    shut = {f"{e.name}.{BLOCKED}": e.records[0].high for e in loads}
    neutral = dict.fromkeys(levers(machine), 0.0)
    by_lever: dict[tuple[str, ...], list[Cylinder | Motor]] = {}
    for element in actuators:
        by_lever.setdefault(tuple(levers_of(machine, element)), []).append(element)
    if not actuators:
        yield tuple(e.name for e in loads), "", 0.0, shut
    for moved_by, group in by_lever.items():
        sets = [(e,) for e in group] + ([tuple(group)] if len(group) > 1 else [])
        for held in sets:
            brakes = {k: v for e in held for k, v in braked(machine, e, machine.point).items()}
            for place in (1.0, -1.0) if moved_by else (0.0,):
                over = {f"{name}.position": place for name in moved_by}
                point = {**neutral, **shut, **brakes, **over}
                yield tuple(e.name for e in held), ", ".join(moved_by), place, point


def flow_over(state: State, control: Control) -> float:
    """What goes into a valve at its inlet (m3/s counted at 0 psi); nothing for a compensator."""
    if control.mounted is None:
        return 0.0
    mounted = control.mounted
    book = state.flows.get(mounted.at("inlet", "work port"), [])
    return state.at_no_pressure(-sum(e.value for e in book if e.part.startswith(mounted.prefix)))


def loaded(found: Iterable[Stall], controls: Sequence[Control], control: Control) -> Stall | None:
    """The first stall in which a control does its work, with about as much oil over it as in any."""
    working = [(flow_over(s.state, control), s) for s in found if _works(s, controls, control)]
    most = max((flow for flow, _ in working), default=0.0)
    return next((s for flow, s in working if flow >= min(NEARLY * most, most)), None)


def _works(stall: Stall, controls: Sequence[Control], control: Control) -> bool:
    """Whether a control acts, and is not merely ajar while another one limits the same pressure."""
    if not acts(control, stall.state):
        return False
    if control.acts_as not in LIMITS or control.acts_as == COMPENSATOR:
        return True
    near = reach(stall.state.machine, control.chamber)
    rivals = [c for c in beside(stall, controls, control) if c.chamber in near]
    if any(c.acts_as == COMPENSATOR for c in rivals):
        return False
    own = flow_over(stall.state, control)
    return own >= HALF * (own + sum(flow_over(stall.state, c) for c in rivals))


def masks(found: Iterable[Stall], controls: Sequence[Control], control: Control) -> list[Control]:
    """What limits the pressure instead of a control, where that pressure stands highest while all is held."""
    highest = max(found, key=lambda s: s.state.pressures[control.chamber], default=None)
    return [] if highest is None else beside(highest, controls, control)


def beside(stall: Stall, controls: Iterable[Control], control: Control) -> list[Control]:
    """What else limits a pressure in a stall, at the same time as a control."""
    return [c for c in controls if c.name != control.name and c.acts_as in LIMITS and acts(c, stall.state)]
