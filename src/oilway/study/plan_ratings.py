"""Nothing is set above the lowest rating entered, and nothing at all while one is missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from oilway.elements.record import RATED
from oilway.errors import InputError, Place, Problem
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.study.controls import Control
from oilway.study.staging import controls_over_ratings, said, sees

RATABLE = tuple(kind for kind, element in kinds().items() if RATED in element.records)
LINE = "add 'rated pressure: ...', its maker's; for one command --change \"{}.rated pressure=...\""
ALONE = "give --rated, its maker's, or 'rated pressure: ...' to the chamber at its inlet"


@dataclass(frozen=True)
class Rating:
    """The lowest rating (Pa) among the parts that see the pressure of a control, and whose it is."""

    pressure: float
    part: str
    where: Place


def refuse_unrated(machine: Machine, found: Iterable[Control], rated: float | None = None) -> None:
    """Raise :class:`InputError` naming every part without a rating that sees the pressure of a control.

    A valve alone on the stand needs one rating: ``rated`` (Pa), or that of a part at its inlet.
    """
    missing: dict[str, list[str]] = {}
    problems = []
    for control in found:
        if is_alone(control):
            if lowest_rating(machine, control, rated) is None:
                what = f"{control.name}: no rated pressure: nothing is set without it"
                problems.append(Problem(_where(machine, control), what, ALONE))
            continue
        for name in _rated_parts(machine, control):
            if machine.parts[name].values[RATED.name] is None:
                missing.setdefault(name, []).append(control.name)
    problems += [
        Problem(
            machine.parts[name].where,
            f"{name}: no rated pressure, and it sees the pressure of {', '.join(seen)}: nothing is set without it",
            LINE.format(name),
        )
        for name, seen in sorted(missing.items(), key=lambda item: machine.parts[item[0]].where.line)
    ]
    if problems:
        raise InputError(problems)


def refuse_above(machine: Machine, found: Sequence[Control], rated: float | None = None) -> None:
    """Raise :class:`InputError` for every setting above the lowest rating among the parts that see it."""
    above = controls_over_ratings(machine, found)
    above += [
        (c, f"{c.name}: set to {said(c.full)}, above its rated pressure ({said(rated)})")
        for c in found
        if rated is not None and is_alone(c) and c.full > rated
    ]
    hint = "no setting above a rating is planned: lower the setting"
    problems = [Problem(_where(machine, control), what, hint) for control, what in above]
    if problems:
        raise InputError(problems)


def lowest_rating(machine: Machine, control: Control, rated: float | None = None) -> Rating | None:
    """The lowest rating among the parts that see the pressure of a control; None where none of them has one.

    ``rated`` (Pa) is that of a valve alone on the stand.
    """
    found = [
        Rating(float(rating), name, machine.parts[name].place(RATED.name))
        for name in _rated_parts(machine, control)
        if (rating := machine.parts[name].values[RATED.name]) is not None
    ]
    if rated is not None and is_alone(control):
        found.append(Rating(rated, "the valve", Place("--rated")))
    return min(found, key=lambda r: (r.pressure, r.part), default=None)


def is_alone(control: Control) -> bool:
    """Whether it is a valve alone on the stand, in no machine."""
    return control.mounted is not None and control.mounted.prefix == ""


def _rated_parts(machine: Machine, control: Control) -> list[str]:
    """Parts that see its pressure and can be rated; those inside valves are rated with the valve."""
    here, away = sees(machine, control)
    near = here if is_alone(control) else here | away
    return sorted(n for n in near if machine.parts[n].kind in RATABLE and "." not in n)


def _where(machine: Machine, control: Control) -> Place:
    if control.mounted is None:
        return machine.parts[control.name].where
    setting = control.mounted.setting
    return setting.where if setting is not None else control.mounted.where
