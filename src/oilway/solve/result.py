"""Results: a solved state with its ledgers, complete or absent."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from oilway import quantity
from oilway.elements.network import Limit, Term
from oilway.errors import ImpossibleCircuit, UnclosedLedger
from oilway.model.machine import Machine
from oilway.model.system import Status, System, Vector

CLOSURE = 1e-6  # a ledger closes when what is left over is below this share of its largest entry
# kg/s, N, N m, W: what counts as nothing.  Behind a hole of 100 mm the last digit of a pressure is 1e-7 kg/s, and
# that flow times the pressure is the power.
FLOOR = {"flow": 1e-6, "force": 1e-5, "torque": 1e-5, "power": 0.1}


@dataclass(frozen=True)
class Entry:
    """One line of a ledger, SI: kg/s into a chamber, N towards open, W out of the oil."""

    label: str
    part: str
    law: str
    value: float
    other: str = ""


@dataclass(frozen=True)
class Finding:
    """Something the user must know about a state that exists: where, what, and the numbers."""

    part: str
    what: str
    value: float
    bound: float
    kind: str

    def __str__(self) -> str:
        return self.words("shop")

    def words(self, units: quantity.Units) -> str:
        """One line, numbers in the units asked for."""
        value, bound = (quantity.show(v, self.kind, units) for v in (self.value, self.bound))
        return f"{self.part}: {self.what} ({value}, limit {bound})"


@dataclass
class State:
    """One operating point, solved: everything in SI, pressures gauge.

    ``pressures`` Pa by chamber; ``flows`` ledger by chamber (kg/s in); ``forces`` ledger by moving part (N);
    ``torques`` ledger by shaft (N m); ``power`` ledger of the machine (W); ``statuses`` seat, open or stop of each
    moving part; ``velocities`` m/s of cylinders; ``readings`` of gauges, meters and cushions; ``isolated``
    chambers whose pressure nothing fixes.
    """

    machine: Machine
    point: dict[str, float]
    th: Vector
    z: Vector
    pressures: dict[str, float]
    flows: dict[str, list[Entry]]
    forces: dict[str, list[Entry]]
    power: list[Entry]
    statuses: dict[str, Status]
    velocities: dict[str, float]
    readings: dict[str, tuple[str, float]]
    findings: list[Finding] = field(default_factory=list)
    isolated: list[str] = field(default_factory=list)
    torques: dict[str, list[Entry]] = field(default_factory=dict)

    def flow_through(self, part: str) -> float:
        """Mass flow (kg/s) of a two-port part out of the chamber at its first port."""
        first = next(iter(self.machine.parts[part].nodes.values()))
        return -sum(e.value for e in self.flows.get(first, []) if e.part == part)

    def parameter(self, name: str) -> float:
        """SI value of a parameter at this operating point."""
        return float(self.th[self.machine.system.parameters[name]])

    def at_no_pressure(self, mass_flow: float) -> float:
        """Volume flow (m3/s) counted at 0 psi gauge, the way Oilway shows every flow but a meter's."""
        return mass_flow / self.parameter("oil.rho0")


def build_state(machine: Machine, point: dict[str, float], th: Vector, z: Vector) -> State:
    """Evaluate all ledgers at z, check that they close and that no limit makes the state impossible.

    Errors: :class:`ImpossibleCircuit` for a state that cannot exist, :class:`UnclosedLedger` for a defect.
    """
    values, statuses, velocities, pressures = machine.system.ledger(z, th)
    state = booked(machine, point, th, z, values, statuses, velocities, pressures)
    for k, limit in machine.system.limits.items():
        if (finding := _broken(limit, float(values[k]))) is not None:
            state.findings.append(finding)
    _check_closed(state)
    return state


def booked(
    machine: Machine, point: dict[str, float], th: Vector, z: Vector, values: Vector,
    statuses: list[Status], velocities: dict[str, float], pressures: dict[str, float],
) -> State:  # fmt: skip
    """A state from what ``System.ledger`` gives, its terms booked and nothing judged.

    In motion no ledger sums to nothing: what is left over of a force moves mass, of a flow it presses oil.
    """
    state = State(
        machine, point, th, z,
        pressures={name: pressures[name] for name in machine.parts if name in pressures},
        flows={}, forces={}, power=[], statuses={s.part: s for s in statuses}, velocities=velocities, readings={},
    )  # fmt: skip
    for term, value in zip(machine.system.terms, map(float, values), strict=True):
        if term.sort != "limit":
            _book(state, term, value)
    return state


def _book(state: State, term: Term, value: float) -> None:
    entry = Entry(term.label, term.part, term.law, value, term.other)
    if term.sort == "flow":
        state.flows.setdefault(term.place, []).append(entry)
    elif term.sort == "force":
        state.forces.setdefault(term.place, []).append(entry)
    elif term.sort == "torque":
        state.torques.setdefault(term.place, []).append(entry)
    elif term.sort == "power":
        state.power.append(entry)
    else:
        state.readings[term.place] = (term.label, value)


def refuse_impossible(system: System, values: Vector) -> None:
    """Raise :class:`ImpossibleCircuit` where the terms of a state break a limit that no real one could break."""
    for k, limit in system.limits.items():
        if limit.impossible:
            _broken(limit, float(values[k]))


def _broken(limit: Limit, value: float) -> Finding | None:
    """What a value says of its limit: nothing, a finding, or that the state cannot exist."""
    finding = finding_of(limit, value)
    if finding is not None and limit.impossible:
        raise ImpossibleCircuit(str(finding), part=finding.part)
    return finding


def finding_of(limit: Limit, value: float) -> Finding | None:
    """The finding where a value lies outside its limit."""
    too_low = limit.low is not None and value < limit.low
    too_high = limit.high is not None and value > limit.high
    if not (too_low or too_high):
        return None
    bound = limit.low if too_low else limit.high
    return Finding(limit.part, limit.what, value, float(bound or 0.0), limit.kind)


def _check_closed(state: State) -> None:
    """Mass in every solved chamber, force on every moving part, power of the machine."""
    solved = set(state.machine.system.chambers)
    books = [("flow", name, entries) for name, entries in state.flows.items() if name in solved]
    books += [("force", name, entries) for name, entries in state.forces.items()]
    books += [("torque", name, entries) for name, entries in state.torques.items()]
    for sort, name, entries in books:
        _check_book(sort, name, [e.value for e in entries])
    _check_book("power", "the machine", [e.value for e in state.power])


def _check_book(sort: str, name: str, values: list[float]) -> None:
    left = abs(sum(values))
    if not np.isfinite(left) or left > max(CLOSURE * max(map(abs, values), default=0.0), FLOOR[sort]):
        raise UnclosedLedger(
            f"the {sort} ledger of {name} does not close (left over {left:.3g} SI)",
            hint="this is a defect of Oilway: please report the file",
        )
