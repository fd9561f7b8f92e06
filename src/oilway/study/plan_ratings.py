"""Nothing is set above the lowest rating entered, and nothing at all while one is missing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from oilway.elements.record import RATED
from oilway.errors import InputError, Place, Problem
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.study.controls import Control
from oilway.study.staging import controls_over_ratings, sees

RATABLE = tuple(kind for kind, element in kinds().items() if RATED in element.records)
LINE = "add 'rated pressure: ...', its maker's; for one command --change \"{}.rated pressure=...\""


@dataclass(frozen=True)
class Rating:
    """The lowest rating (Pa) among the parts that see the pressure of a control, and whose it is."""

    pressure: float
    part: str
    where: Place


def refuse_unrated(machine: Machine, found: Iterable[Control]) -> None:
    """Raise :class:`InputError` naming every part without a rating that sees the pressure of a control."""
    missing: dict[str, list[str]] = {}
    for control in found:
        for name in _rated_parts(machine, control):
            if machine.parts[name].values[RATED.name] is None:
                missing.setdefault(name, []).append(control.name)
    problems = [
        Problem(
            machine.parts[name].where,
            f"{name}: no rated pressure, and it sees the pressure of {', '.join(seen)}: nothing is set without it",
            LINE.format(name),
        )
        for name, seen in sorted(missing.items(), key=lambda item: machine.parts[item[0]].where.line)
    ]
    if problems:
        raise InputError(problems)


def refuse_above(machine: Machine, found: Iterable[Control]) -> None:
    """Raise :class:`InputError` for every setting above the lowest rating among the parts that see it."""
    problems = [
        Problem(_where(machine, control), what, "no setting above a rating is planned: lower the setting")
        for control, what in controls_over_ratings(machine, list(found))
    ]
    if problems:
        raise InputError(problems)


def lowest_rating(machine: Machine, control: Control) -> Rating | None:
    """The lowest rating among the parts that see the pressure of a control; None where none of them has one."""
    rated = [
        (float(rating), name)
        for name in _rated_parts(machine, control)
        if (rating := machine.parts[name].values[RATED.name]) is not None
    ]
    if not rated:
        return None
    pressure, name = min(rated)
    part = machine.parts[name]
    return Rating(pressure, name, part.place(RATED.name))


def _rated_parts(machine: Machine, control: Control) -> list[str]:
    """Parts that see its pressure and can be rated; those inside valves are rated with the valve."""
    here, away = sees(machine, control)
    alone = control.mounted is not None and control.mounted.prefix == ""  # on the stand: what stands at its ports
    return sorted(n for n in (here if alone else here | away) if machine.parts[n].kind in RATABLE and "." not in n)


def _where(machine: Machine, control: Control) -> Place:
    if control.mounted is None:
        return machine.parts[control.name].where
    setting = control.mounted.setting
    return setting.where if setting is not None else control.mounted.where
