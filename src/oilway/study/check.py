"""Check a file: what is in it, what was defaulted or solved, what is missing or cannot be."""

from __future__ import annotations

from dataclasses import dataclass, field

from oilway.elements.record import RATED
from oilway.errors import ImpossibleCircuit
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.model.oil_block import oil_notes
from oilway.study.controls import COMPENSATED
from oilway.study.staging import Staging, over_ratings, staging

PUMPS = ("fixed pump", "test pump")  # those that no destroking saves from a shut line
# A compensator is no relief: it may stick, and destroking takes time (common practice).
NEED_RELIEF = ("fixed pump", *COMPENSATED)
NO_RELIEF = (
    "sequence",
    "reducing",
    "counterbalance",
    "brake",
    "check",
    "lever valve",
)  # whatever adjuster they have
RATABLE = tuple(kind for kind, element in kinds().items() if RATED in element.records)


@dataclass
class Checked:
    """What a check found.

    ``notes``: defaulted or solved, in words.  ``findings``: limits broken.  ``unrated``: parts that have no
    rated pressure; nothing can be set on a machine while one is missing.  ``staging`` what acts when, of a
    machine; its findings are among ``findings``.
    """

    machine: Machine
    counts: dict[str, int]
    notes: list[str]
    findings: list[str] = field(default_factory=list)
    unrated: list[str] = field(default_factory=list)
    staging: Staging | None = None


def check(machine: Machine, *, stages: bool = True) -> Checked:
    """Check a file; ``stages`` also raises the loads of a machine to see which control acts when.

    Errors: :class:`ImpossibleCircuit` where a pump has no path to a tank.
    """
    for name, part in machine.parts.items():
        if part.kind in PUMPS:
            _has_path(machine, name)
    counts: dict[str, int] = {}
    for part in machine.parts.values():
        counts[part.kind] = counts.get(part.kind, 0) + 1
    notes = list(machine.notes)
    if not any(note.startswith("oil") for note in notes):
        notes = [*oil_notes(machine.oil), *notes]
    rated = {n: p.values["rated pressure"] for n, p in machine.parts.items() if p.kind in RATABLE}
    on_stand = bool(machine.mounted) and machine.mounted[0].prefix == ""
    staged = staging(machine) if stages and not on_stand else None
    return Checked(
        machine,
        counts,
        notes,
        _unprotected(machine) + (over_ratings(machine) if staged is None else staged.findings),
        [] if on_stand else [n for n, r in rated.items() if r is None and "." not in n],
        staged,
    )


def _has_path(machine: Machine, pump: str) -> None:
    """Follow the oil from the pump's outlet through every passage; one of them must end in a tank."""
    reached, fresh = set(), [machine.parts[pump].nodes["outlet"]]
    while fresh:
        here = fresh.pop()
        reached.add(here)
        if machine.parts[here].kind == "tank":
            return
        for element in machine.elements.values():
            for a, b in element.links():
                ends = (element.at(a), element.at(b))
                if here in ends and element.name != pump:
                    fresh.extend(end for end in ends if end not in reached)
    raise ImpossibleCircuit(
        f"no path to tank from {pump}: its oil reaches only {', '.join(sorted(reached))}",
        equation=f"mass balance of {machine.parts[pump].nodes['outlet']}",
        unknown=f"pressure in {machine.parts[pump].nodes['outlet']}",
        hint="add a relief valve from the pump line to the tank",
    )


def _unprotected(machine: Machine) -> list[str]:
    """Pumps whose outlet has no valve with an adjuster on it that could relieve it."""
    inlets = {m.at("inlet") for m in machine.mounted if m.adjuster and m.valve.acts_as not in NO_RELIEF}
    return [
        f"{name}: no relief valve stands at its outlet ({part.nodes['outlet']})"
        for name, part in machine.parts.items()
        if part.kind in NEED_RELIEF and part.nodes["outlet"] not in inlets
    ]
