"""Readings on offer: every gauge fitted or that could be screwed in, flow at tank lines, speed, drift, inlet
vacuum.

A reading is a sum of ledger terms, pressures and velocities of a solved state: no equation of its own.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from oilway.elements.cylinder import Cylinder
from oilway.elements.fixed_pump import STARVES, FixedPump
from oilway.elements.motor import Motor
from oilway.elements.network import MOVES
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.mount import Mounted
from oilway.model.system import Vector
from oilway.study.routes import DISPLACES
from oilway.study.setups import BLOCKED, OPENS, Setup
from oilway.study.setups import MOVES as CLEAR
from oilway.study.sites import valves

GAUGE_CLASS = 0.016  # of span: the ordinary shop gauge, when no better is said
SPAN = 4000 * 6894.757  # Pa: of a gauge that is screwed in, when the file names none
LOW_SPAN = 100 * 6894.757  # of one in a drain or return line
FLOW_CLASS, FLOW_LEAST = 0.02, 5e-7  # of the reading; m3/s (30 mL a minute)
SPEED_CLASS, DRIFT_LEAST = 0.02, 1e-6  # stop-watch and rule: of the reading; m/s (1 mm in a quarter of an hour)
ROTATION_LEAST = 1 / 120  # rev/s
THERMOMETER = 1.0  # K
HALF = 0.5  # a limit of error is taken as two standard deviations
# Share of the spread that is new at every reading; the rest is the instrument's own error and the same each time.
# Common practice: the eye reads a gauge to half of its class, a stop-watch is started anew by hand.
REPEATS, BY_HAND = 0.25, 1.0
STAND = ("test pump", "test load")
RELIEVING = ("relief", "port relief", "unloading")
LOW_ROLES = ("drain", "outlet")

Size = TypeVar("Size", float, Vector)


@dataclass(frozen=True)
class Offer:
    """One reading: its ``name`` as typed, quantity ``kind``, ``minutes`` to take it, and its spread.

    ``least`` (SI) and ``share`` of the reading are one standard deviation of the instrument.  ``instrument`` is
    what may be wrong, one for all set-ups; ``stalled``: only with that actuator at its stop; ``terms`` in the
    ledger of the machine: (index, factor); a gauge stands at a ``chamber``; ``divided`` by the density of the
    oil at 0 gauge, to make m3/s of kg/s; ``span`` of a gauge (SI), ``repeats`` the share of its spread that is new
    at every reading.
    """

    name: str
    kind: str
    minutes: float
    least: float
    share: float
    instrument: str
    cautions: tuple[str, ...] = ()
    stalled: str = ""
    terms: tuple[tuple[int, float], ...] = ()
    divided: bool = False
    fitted: bool = False
    chamber: str = ""
    span: float = 0.0
    repeats: float = REPEATS

    def ends(self, value: float) -> tuple[float, float]:
        """What a reading shares with all others of this instrument, as :func:`shared` gives it."""
        return shared(self.spread(value), value / self.span if self.span else 0.0, self.repeats)

    def spread(self, value: float) -> float:
        """One standard deviation (SI) of what the instrument shows at a value."""
        return float(np.hypot(self.least, self.share * value))

    def valid(self, setup: Setup) -> bool:
        """Whether it can be taken in a set-up."""
        return not self.stalled or self.stalled in setup.stalled


def shared(spread: Size, along: Size, repeats: Size | float = REPEATS) -> tuple[Size, Size]:
    """What a reading owes to the errors of its instrument at either end of the scale, one standard deviation (SI).

    The error of an instrument is taken as a line over its scale (common practice, as in
    :class:`oilway.study.instruments.Instrument`): both ends err alone, and ``along`` the scale (0 to 1) one end
    hands over to the other so that the spread stays what the class says.

    Numbers, or arrays of one shape.

    >>> [round(float(x), 3) for x in (*shared(40.0, 0.0), *shared(40.0, 1.0))]
    [38.73, 0.0, 0.0, 38.73]
    """
    common = spread * np.sqrt(1 - repeats**2)
    angle = math.pi / 2 * np.clip(along, 0.0, 1.0)
    return common * np.cos(angle), common * np.sin(angle)


@dataclass(frozen=True)
class Panel:
    """All readings on offer of one machine, and how they are read off a ledger: ``matrix`` (r, all)."""

    offers: tuple[Offer, ...]
    matrix: Vector
    divided: Vector

    @cached_property
    def _instruments(self) -> Vector:
        """Least spread, share of the reading, span and share that repeats, of every offer (4, r)."""
        return np.array([[o.least, o.share, o.span, o.repeats] for o in self.offers]).T

    def spread(self, offers: NDArray[np.int_], values: Vector) -> Vector:
        """:meth:`Offer.spread` of values (..., n) of offers (n,)."""
        least, share = self._instruments[:2, offers]
        return np.asarray(np.hypot(least, share * values))

    def ends(self, offers: NDArray[np.int_], values: Vector) -> Vector:
        """:meth:`Offer.ends` (..., n, 2) of values (..., n) of offers (n,)."""
        span, repeats = self._instruments[2:, offers]
        along = np.divide(values, span, out=np.zeros_like(values), where=span > 0)
        return np.stack(shared(self.spread(offers, values), along, repeats), axis=-1)

    def repeats(self, offers: NDArray[np.int_]) -> Vector:
        """The share (n,) of the spread of each offer that is new at every reading."""
        return np.asarray(self._instruments[3, offers])

    def read(self, machine: Machine, z: Vector, th: Vector, temperature: float) -> Vector:
        """Every reading (r,), SI, of a state of rest; ``temperature`` of its oil in degC."""
        system = machine.system
        shown = self.matrix @ system.ledger_column(z, th)
        shown[self.divided] /= th[system.parameters["oil.rho0"]]
        shown[-1] = temperature
        return np.asarray(shown, dtype=float)


class _Ledger:
    """Where everything stands in the ledger of a machine."""

    def __init__(self, machine: Machine) -> None:
        system = machine.system
        _, _, velocities, pressures = system.ledger(system.start, machine.theta())
        first = len(system.terms) + 2 * len(system.moving)
        self.velocity = {name: first + k for k, name in enumerate(velocities)}
        self.pressure = {name: first + len(velocities) + k for k, name in enumerate(pressures)}
        self.size = first + len(pressures) + len(velocities)
        self._terms = system.terms

    def where(
        self, sort: str, place: str, *, parts: Collection[str] = (), label: str = "", through: bool = False
    ) -> tuple[tuple[int, float], ...]:
        """The terms of a sort at a place, with factor 1; of some ``parts`` only where they are given.

        ``through`` leaves out oil that a motion takes up, and what a pump displaces.
        """
        return tuple(
            (k, 1.0)
            for k, term in enumerate(self._terms)
            if term.sort == sort
            and term.place == place
            and (not parts or term.part in parts)
            and (not label or term.label == label)
            and not (through and (term.other == MOVES or term.law == DISPLACES))
        )


def panel(machine: Machine) -> Panel:
    """The readings on offer of an instrumented machine; the temperature of the oil comes last."""
    ledger = _Ledger(machine)
    offers = [*_gauges(machine, ledger), *_flows(machine, ledger), *_speeds(machine, ledger)]
    for name, element in machine.elements.items():
        if isinstance(element, FixedPump):
            inlet = ledger.where("limit", name, label=STARVES)
            spread = GAUGE_CLASS * HALF * LOW_SPAN
            offers.append(
                Offer(
                    f"{name} inlet pressure",
                    "pressure",
                    6.0,
                    spread,
                    0.0,
                    "vacuum gauge",
                    (CLEAR,),
                    terms=inlet,
                    span=LOW_SPAN,
                )
            )
    offers.append(Offer(OIL_TEMPERATURE, "temperature", 1.0, THERMOMETER, 0.0, "thermometer", fitted=True))
    matrix = np.zeros((len(offers), ledger.size))
    for row, offer in enumerate(offers):
        for column, factor in offer.terms:
            matrix[row, column] += factor
    return Panel(tuple(offers), matrix, np.array([offer.divided for offer in offers]))


def _gauges(machine: Machine, ledger: _Ledger) -> list[Offer]:
    """Gauges of the file, and every other port into which one could be screwed."""
    found, read = [], set()
    for name, part in machine.parts.items():
        if part.kind == "gauge":
            span = float(part.values["span"] or SPAN)
            shown = ledger.where("reading", name)
            found.append(
                Offer(name, "pressure", 1.0, GAUGE_CLASS * HALF * span, 0.0, name, (CLEAR,), terms=shown,
                      fitted=True, chamber=part.nodes["at"], span=span)
            )  # fmt: skip
            read.add(part.nodes["at"])
    low = {m.at(role) for m in machine.mounted for role in LOW_ROLES if m.valve.acts_as in RELIEVING}
    for chamber, minutes in _ports(machine).items():
        if chamber not in read and chamber in ledger.pressure:
            span = LOW_SPAN if chamber in low else SPAN
            terms = ((ledger.pressure[chamber], 1.0),)
            found.append(
                Offer(f"pressure at {chamber}", "pressure", minutes, GAUGE_CLASS * HALF * span, 0.0,
                      f"gauge at {chamber}", (OPENS, CLEAR), terms=terms, chamber=chamber, span=span)
            )  # fmt: skip
    return found


def _ports(machine: Machine) -> dict[str, float]:
    """Chambers a gauge can be screwed into, with minutes: lines of the machine, vent and drain ports of valves."""
    names = {c for m in machine.mounted for c in _chambers_at(m, ("vent", "drain", "pilot"))}
    lines = {n: 8.0 for n, p in machine.parts.items() if p.kind == "chamber" and "." not in n and ": " not in n}
    return {**lines, **{n: 10.0 for n in sorted(names) if machine.parts[n].kind == "chamber"}}


def _chambers_at(mounted: Mounted, roles: tuple[str, ...]) -> list[str]:
    ports = [p for p in mounted.valve.ports.values() if p.role in roles]
    return [mounted.outside.get(p.chamber, mounted.prefix + p.chamber) for p in ports]


def _flows(machine: Machine, ledger: _Ledger) -> list[Offer]:
    """A meter in the tank line of each relief, in its outside drain, behind each pump, in its case line."""
    found = []

    def meter(name: str, terms: tuple[tuple[int, float], ...], minutes: float, stalled: str = "") -> None:
        if terms:
            found.append(
                Offer(name, "flow", minutes, FLOW_LEAST, FLOW_CLASS, "flow meter", (OPENS, CLEAR), stalled, terms,
                      divided=True)
            )  # fmt: skip

    for mounted in valves(machine):
        if mounted.valve.acts_as in RELIEVING:
            inside = [n for n, p in machine.parts.items() if n.startswith(mounted.prefix) and p.kind not in STAND]
            out = ledger.where("flow", mounted.at("outlet") or _outlet(mounted), parts=inside, through=True)
            meter(f"flow at outlet of {mounted.name}", out, 15.0)
            if drain := mounted.at("drain"):
                drained = ledger.where("flow", drain, parts=inside, through=True)
                meter(f"drain flow of {mounted.name}", drained, 12.0)
    for name, part in machine.parts.items():
        nodes, own = part.nodes, (name,)
        if part.kind == "flow meter":
            shown = ledger.where("reading", name)
            found.append(Offer(name, "flow", 1.0, FLOW_LEAST, FLOW_CLASS, name, terms=shown, fitted=True))
        elif isinstance(machine.elements[name], FixedPump):
            meter(f"flow of {name}", ledger.where("flow", nodes["outlet"], parts=own), 15.0)
            if "case" in nodes:
                meter(f"case flow of {name}", ledger.where("flow", nodes["case"], parts=own, through=True), 10.0)
        elif part.kind == "cylinder":
            meter(f"flow out of rod port of {name}", ledger.where("flow", nodes["rod"], parts=own), 20.0, name)
    return found


def _outlet(mounted: Mounted) -> str:
    """The outlet of a valve on the stand, where no port is joined to anything outside."""
    return next((mounted.prefix + p.chamber for p in mounted.valve.ports.values() if p.role == "outlet"), "")


def _speeds(machine: Machine, ledger: _Ledger) -> list[Offer]:
    found = []
    for name, element in machine.elements.items():
        if isinstance(element, Cylinder):
            terms: tuple[tuple[int, float], ...] = ((ledger.velocity[name], 1.0),)
            kind, least = "velocity", DRIFT_LEAST
        elif isinstance(element, Motor):
            terms = ledger.where("reading", name)
            kind, least = "rotation", ROTATION_LEAST
        else:
            continue
        found.append(
            Offer(f"speed of {name}", kind, 2.0, least, SPEED_CLASS, "stop-watch", (CLEAR, BLOCKED), terms=terms,
                  fitted=True, repeats=BY_HAND)
        )  # fmt: skip
    return found
