"""Set wrongly: what a valve reads, tested rightly, after it was set in one of the usual wrong ways."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from oilway import quantity
from oilway.elements.fixed_pump import FixedPump
from oilway.errors import InputError, OilwayError, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.solve.point import Push
from oilway.study.controls import Control, point_on_stand
from oilway.study.setting import Stand, put_on_stand
from oilway.study.stall import Stall, loaded, stalls

IDLE_SHARE = 1 / 3  # of rated speed, where none is given (common practice for a diesel: 700-900 of 2000-2400 rpm)
COLD = quantity.parse("60 F", "temperature")
BACK_PRESSURE = 100 * quantity.PSI
BELOW_MAIN = 200 * quantity.PSI  # how far a port relief is set below the main in the example
A_TURN = 0.5  # by how much the main is then turned in
NUDGE = 0.02  # turns to either side for the turns per pressure
FULL_FLOW = ("relief", "port relief", "crossover relief")  # set with all the flow of the pump over them
# Where back-pressure enters: the first port role of these that the valve has, by what it acts as.
BACK = {"sequence": ("drain", "outlet"), "reducing": ("drain",)}


@dataclass(frozen=True)
class Usual:
    """The usual wrong conditions: share of rated speed at idle, cold oil (degC), back-pressure (Pa)."""

    idle: float = IDLE_SHARE
    cold: float = COLD
    back_pressure: float = BACK_PRESSURE


def usual_ways(
    machine: Machine, idle: float | None = None, cold: float | None = None, back_pressure: float | None = None
) -> Usual:
    """The usual wrong conditions from an idle speed (rev/s), cold oil (degC) and a back-pressure (Pa), as given.

    Errors: :class:`InputError` where the idle speed is not below the rated speed of the file, or there is none,
    where the oil is not known that cold, or for a back-pressure not above zero.
    """
    share = IDLE_SHARE
    if idle is not None:
        pumps = [e.name for e in machine.elements.values() if isinstance(e, FixedPump)]
        rated = [float(machine.theta()[machine.system.parameters[f"{n}.engine speed"]]) for n in pumps]
        if not rated or not 0 < idle < min(rated):
            what = f"an idle speed of {quantity.show(idle, 'rotation')} is not below a rated speed of the file"
            raise InputError(
                Problem(Place("--idle"), what, "the file's 'engine speed' of its pump is the rated one")
            )
        share = idle / min(rated)
    if cold is not None:
        machine.oil.at(cold)
    if back_pressure is not None and not back_pressure > 0:
        raise InputError(
            Problem(Place("--back-pressure"), "the back-pressure shown is above zero", "try '100 psi'")
        )
    return Usual(share, COLD if cold is None else cold, BACK_PRESSURE if back_pressure is None else back_pressure)


@dataclass(frozen=True)
class Wrong:
    """Set to ``shown`` (Pa) in a wrong way, a valve ``reads`` this (Pa) when it is tested in the right way.

    ``key`` is a word of ``WORDS`` in :mod:`oilway.study.plan_words`; ``flow`` (m3/s) went over it meanwhile;
    ``reads`` is ``None`` where no turn of the adjuster shows that pressure in the wrong way.
    """

    key: str
    shown: float
    reads: float | None
    flow: float

    @property
    def off(self) -> float | None:
        """How far off (Pa) it is set; above zero: too high."""
        return None if self.reads is None else self.reads - self.shown


@dataclass(frozen=True)
class Below:
    """A port relief set ``to`` (Pa) below the main: its function stalls at ``reads`` on the gauge of the main.

    ``moved`` is by how much that reading changes when the main is then turned ``A_TURN`` in; ``alone`` by how much
    the main's own pressure changes with that, no port relief in its way (Pa).
    """

    port: str
    held: tuple[str, ...]
    to: float
    reads: float
    moved: float
    alone: float


class OnStand:
    """A valve of a machine on the stand on which it is set, its internals and its oil as in the machine."""

    def __init__(self, machine: Machine, control: Control) -> None:
        assert control.mounted is not None
        self.control, self.mounted = control, control.mounted
        self.bench = put_on_stand(machine, self.mounted)
        self.point = point_on_stand(machine, self.mounted, self.bench)
        self.flow = float(control.flow or 0.0)
        spring = machine.parts[self.mounted.adjuster]
        self.most = float(spring.values["most turns"] or 0.0)
        self.turns = machine.point.get(f"{self.mounted.adjuster}.turns", float(spring.values["turns"] or 0.0))

    def stand(self, point: dict[str, float] | None = None, *, push: Push = "open") -> Stand:
        """The stand, with values laid over its operating point."""
        return Stand(self.bench, self.mounted.valve.adjuster, {**self.point, **(point or {})}, push=push)

    def reads(self, turns: float, flow: float | None = None) -> float:
        """Pressure (Pa) in the right conditions with the adjuster at ``turns``."""
        stand = self.stand()
        stand.th[stand.turns] = turns
        return stand.pressure(self.flow if flow is None else flow)

    def turns_for(self, pressure: float) -> float:
        """Turns at which it reads a pressure (Pa) in the right conditions; nan out of the adjuster's reach."""
        return self.stand().solve_turns(pressure, self.flow, self.most)

    def per_turn(self) -> float:
        """Pa a turn at the setting, between two nearby turns; below zero where turning in lowers it."""
        low, high = max(self.turns - NUDGE, 0.0), min(self.turns + NUDGE, self.most)
        return (self.reads(high) - self.reads(low)) / (high - low)

    def back(self) -> str:
        """The parameter that holds the pressure against which it works, or an empty text."""
        on_bench = self.bench.mounted[0]
        chamber = on_bench.at(*BACK.get(self.control.acts_as, ("outlet", "drain")))
        name = f"{chamber}.pressure"
        return name if name in self.bench.system.parameters else ""


def wrongs(valve: OnStand, usual: Usual) -> tuple[list[Wrong], list[str]]:
    """What a valve reads after each of the usual wrong ways of setting it, and notes on those not solved."""
    found, notes = [], []
    for key, flow, point, push in _cases(valve, usual):
        try:
            turns = valve.stand(point, push=push).solve_turns(valve.control.full, flow, valve.most)
            reads = None if math.isnan(turns) else valve.reads(turns)
            found.append(Wrong(key, valve.control.full, reads, flow))
        except OilwayError as err:
            notes.append(f"{valve.control.name}: set wrongly ({key}): not told: {str(err).splitlines()[0]}")
    return found, notes


def _cases(valve: OnStand, usual: Usual) -> Iterator[tuple[str, float, dict[str, float], Push]]:
    """Key, flow over the valve (m3/s), values laid over the right point, side of dry friction."""
    role, setting = valve.control.acts_as, valve.mounted.setting
    if role == "reducing":
        yield "no flow", 0.0, {}, "open"
    elif role in FULL_FLOW:
        small = setting.cracked_flow if setting is not None else 0.01 * valve.flow
        yield "cracking", small, {}, "open"
        yield "idle", usual.idle * valve.flow, {}, "open"
    yield "cold", valve.flow, {OIL_TEMPERATURE: usual.cold}, "open"
    if valve.back():
        yield "back-pressure", valve.flow, {valve.back(): usual.back_pressure}, "open"
    yield "falling", valve.flow, {}, "shut"


def port_below(machine: Machine, main: Control, port: Control) -> Below | None:
    """A port relief ``BELOW_MAIN`` below the main, in the machine; None where that stalls nothing."""
    assert main.mounted is not None
    assert port.mounted is not None
    to = main.full - BELOW_MAIN
    turns = OnStand(machine, port).turns_for(to)
    if math.isnan(turns):
        return None
    low = {f"{port.mounted.adjuster}.turns": turns}
    stalled = loaded(stalls(machine, low)[0], [main, port], port)
    ceiling = OnStand(machine, main)
    more = {f"{main.mounted.adjuster}.turns": min(ceiling.turns + A_TURN, ceiling.most)}
    if stalled is None:
        return None
    after = next((s for s in stalls(machine, {**low, **more})[0] if _same(s, stalled)), None)
    if after is None:
        return None
    reads = stalled.state.pressures[main.chamber]
    moved = after.state.pressures[main.chamber] - reads
    alone = ceiling.reads(next(iter(more.values()))) - ceiling.reads(ceiling.turns)
    return Below(port.name, stalled.held, to, reads, moved, alone)


def _same(one: Stall, other: Stall) -> bool:
    return (one.held, one.lever, one.place) == (other.held, other.lever, other.place)
