"""Faults: declared changes of the physical model, and where in a machine each of them can sit.

The list is data (``faults/faults.yaml``).  A fault is applied as a change of the parameter vector of the
*instrumented* machine: the user's own, with the passages that some faults open added to it, shut.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from oilway import quantity
from oilway.elements.base import Part
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.catalogue import kinds
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.tree import Block, Problems, Series, Text, block_of, check_format, check_keys, read_file, text_of
from oilway.model.valve import ACTS
from oilway.study.sites import DIRECT, OIL_SITE, ROLES, TWO_STAGE, Site, sites

DATA = Path(__file__).resolve().parent.parent / "faults"
KEYS = ("number", "fault", "on", "acts as", "built", "change", "add", "why")
WAYS = ("times", "plus", "becomes", "travel")
ADDED = "added "  # before the record of a passage that a fault adds
FACTORS_FROM = 5.0  # ends that differ more than this are gone through in equal factors
INSTEAD = {
    "rate": "shear modulus"
}  # a spring given by its wire has no rate of its own; this is in proportion to it


@dataclass(frozen=True)
class Ramp:
    """How one record changes: ``way`` of :data:`WAYS`, from ``low`` (just noticed) to ``high`` (worst), SI."""

    record: str
    way: str
    low: float
    high: float

    def at(self, severity: float) -> float:
        """The operand at a severity, 0 to 1."""
        a, b = self.low, self.high
        if a * b > 0 and max(a / b, b / a) > FACTORS_FROM:
            return a * math.exp(severity * math.log(b / a))
        return a + severity * (b - a)

    def applied(self, sound: float, severity: float, travel: float) -> float:
        """The changed value of a record whose sound value is given; ``travel`` that of the part, m."""
        operand = self.at(severity)
        if self.way == "plus":
            return sound + operand
        return operand * {"times": sound, "travel": travel}.get(self.way, 1.0)


@dataclass(frozen=True)
class Kind:
    """One row of the fault file."""

    number: int
    name: str
    on: str
    acts_as: tuple[str, ...]
    built: str
    ramps: tuple[Ramp, ...]
    adds: bool
    why: str


@dataclass(frozen=True)
class Fault:
    """A fault at one place of one machine.

    ``targets`` holds (parameter, sound value, ramp, travel of the part): SI.
    """

    kind: Kind
    site: Site
    targets: tuple[tuple[str, float, Ramp, float], ...]

    @property
    def name(self) -> str:
        """As a technician says it: 'main relief: main orifice plugged'."""
        return f"{self.site.owner}: {self.kind.name}"

    def changes(self, severity: float) -> dict[str, float]:
        """Full parameter name to SI value at a severity, 0 (just noticed) to 1 (worst)."""
        return {name: ramp.applied(sound, severity, travel) for name, sound, ramp, travel in self.targets}

    def said(self, severity: float) -> str:
        """The change in words: 'main orifice.diameter 0.05 mm'."""
        names = kinds()
        shown = []
        for name, value in self.changes(severity).items():
            owner, _, record = name.rpartition(".")
            kind = next((r.kind for e in names.values() for r in e.records if r.name == record), "ratio")
            kind = "temperature" if name == OIL_TEMPERATURE else kind
            added = owner == self.name
            if record != "stuck" and not (added and len(self.targets) > 1):
                shown.append(f"{'' if added or not owner else owner + ' '}{record} {quantity.show(value, kind)}")
        return ", ".join(shown[:2])


# -- reading the file ----------------------------------------------------------------------------------------
@cache
def fault_kinds() -> tuple[Kind, ...]:
    """Every fault of the shipped file.  Errors: :class:`InputError` with file and line."""
    return read_faults(DATA / "faults.yaml")


def read_faults(path: Path) -> tuple[Kind, ...]:
    """Read a fault file.  Errors: :class:`InputError` with every problem found."""
    tree = read_file(path)
    problems = Problems()
    check_format(tree, problems)
    check_keys(tree, ("format", "faults"), problems, "fault file")
    rows = tree.items.get("faults")
    found = [_kind(row, problems) for row in (rows.items if isinstance(rows, Series) else [])]
    problems.stop_if_any()
    return tuple(kind for kind in found if kind is not None)


def _kind(row: Text | Block | Series, problems: Problems) -> Kind | None:
    if not isinstance(row, Block):
        problems.add(row.where, "a fault takes keys of its own: number, fault, on, change, why")
        return None
    check_keys(row, KEYS, problems, "fault")
    name = text_of(row, "fault", problems, "fault")
    on, built = text_of(row, "on", problems, name), text_of(row, "built", problems, name, "")
    number = text_of(row, "number", problems, name)
    if on not in ROLES:
        problems.unknown_word(row.place("on"), name, "place", on, ROLES)
    if built and built not in (DIRECT, TWO_STAGE):
        problems.unknown_word(row.place("built"), name, "way to build a valve", built, (DIRECT, TWO_STAGE))
    if not number.isdigit():
        problems.add(row.place("number"), f"{name}: 'number' is a whole number")
        return None
    listed = row.items.get("acts as")
    acts = tuple(t.text for t in listed.items if isinstance(t, Text)) if isinstance(listed, Series) else ()
    for word in acts:
        if word not in ACTS:
            problems.unknown_word(row.place("acts as"), name, "valve that acts as", word, ACTS)
    change = block_of(row, "change", problems, name)
    ramps = [_ramp(record, text_of(change, record, problems, name), change.place(record), problems)
             for record in change.items]  # fmt: skip
    why = text_of(row, "why", problems, name)
    return Kind(int(number), name, on, acts, built, tuple(r for r in ramps if r), "add" in row.items, why)


def _ramp(record: str, text: str, where: Place, problems: Problems) -> Ramp | None:
    way, _, rest = text.partition(" ")
    low, to, high = rest.partition(" to ")
    if way not in WAYS or not to:
        problems.add(where, f"{record}: '{text}' is not of the form 'times 0.7 to 0'", ", ".join(WAYS))
        return None
    try:
        return Ramp(record, way, _operand(record, way, low), _operand(record, way, high))
    except InputError as err:
        problems.add(where, f"{record}: {err.problems[0].what}", err.problems[0].hint)
        return None


def _operand(record: str, way: str, text: str) -> float:
    if way in ("times", "travel"):
        return quantity.parse(text, "number")
    if record == "temperature":  # a difference, in kelvin
        return quantity.parse(text.removesuffix("K"), "number")
    record = record.removeprefix(ADDED)
    kind = next(
        (r.kind for e in kinds().values() for r in e.records if r.name == record and r.is_quantity), "ratio"
    )
    return quantity.parse(text, kind)


# -- in a machine --------------------------------------------------------------------------------------------
def instrumented(machine: Machine) -> Machine:
    """The machine with every passage that a fault could open added, shut: nothing in it works otherwise."""
    added = {}
    tank = next((name for name, part in machine.parts.items() if part.kind == "tank"), None)
    for site in sites(machine):
        for kind in fault_kinds():
            if kind.adds and tank is not None and _fits(kind, site) and site.chamber in machine.system.chambers:
                part = _shut_orifice(_added(kind, site), site.chamber, tank)
                added[part.name] = part
    return replace(machine, parts={**machine.parts, **added}, notes=list(machine.notes))


def _shut_orifice(name: str, start: str, end: str) -> Part:
    values = {r.name: r.default for r in kinds()["orifice"].records} | {"diameter": 0.0}
    return Part(name, "orifice", values, {"from": start, "to": end})


def _added(kind: Kind, site: Site) -> str:
    return f"{site.owner}: {kind.name}"


def _fits(kind: Kind, site: Site) -> bool:
    return (
        kind.on == site.role
        and (not kind.acts_as or site.acts_as in kind.acts_as)
        and (not kind.built or kind.built == site.built)
    )


def faults_of(machine: Machine) -> list[Fault]:
    """Every fault that an instrumented machine can have, in the order of the fault file."""
    places = sites(machine)
    found = []
    for kind in fault_kinds():
        for site in places:
            if _fits(kind, site) and (targets := _targets(machine, kind, site)):
                found.append(Fault(kind, site, targets))
    return found


def _targets(machine: Machine, kind: Kind, site: Site) -> tuple[tuple[str, float, Ramp, float], ...]:
    th, known = machine.theta(), machine.system.parameters
    if site.role == OIL_SITE:
        sound = {
            "temperature": (OIL_TEMPERATURE, machine.point.get(OIL_TEMPERATURE, machine.temperature)),
            "air": ("oil.air", float(th[known["oil.air"]])),
        }
        return tuple((*sound[ramp.record], ramp, 0.0) for ramp in kind.ramps)
    found = []
    for ramp in kind.ramps:
        own = ramp.record.removeprefix(ADDED)
        for part in site.parts if own == ramp.record else (_added(kind, site),):
            record = own if f"{part}.{own}" in known else INSTEAD.get(own, "")
            name, travel = f"{part}.{record}", known.get(f"{part}.travel")
            if name in known:
                stands = float(th[known[name]])
                found.append((name, stands, ramp, 0.0 if travel is None else float(th[travel])))
    changed = [
        t for t in found if abs(t[2].applied(t[1], 1.0, t[3]) - t[1]) > 0 or t[0].endswith(("stuck", "stuck at"))
    ]
    return tuple(found) if changed else ()


def fault_called(machine: Machine, name: str) -> Fault:
    """The fault of an instrumented machine with this name.  Errors: :class:`InputError`, did you mean."""
    known = {fault.name: fault for fault in faults_of(machine)}
    if name not in known:
        hint = did_you_mean(name, known) or f"{len(known)} faults are known of this machine"
        raise InputError(Problem(Place("fault"), f"this machine has no fault '{name}'", hint))
    return known[name]


def fault_said(machine: Machine, text: str) -> dict[str, float]:
    """What 'main relief: pilot seat worn, 50 %' changes in an instrumented machine: SI value by parameter.

    Errors: :class:`InputError` for a fault that is not known, :class:`QuantityError` for a text without severity.
    """
    name, comma, severity = text.rpartition(",")
    share = quantity.parse(severity, "ratio") if comma else -1.0
    if not 0 <= share <= 1:
        raise QuantityError(
            f"'{text}' does not say how bad", "'FAULT, 50 %', from 0 % just noticed to 100 % worst"
        )
    return fault_called(machine, name.strip()).changes(share)


def apply(machine: Machine, fault: Fault, severity: float) -> Machine:
    """The (instrumented) machine with a fault in it: the same parts, other numbers.

    Every study works on it: explain, run, curve.  ``severity`` from 0 (just noticed) to 1 (worst).
    """
    return replace(machine, point={**machine.point, **fault.changes(severity)}, notes=list(machine.notes))
