"""Inspect: what worn parts do to a valve, at the turns it had and set anew; reuse or replace by limits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from oilway import quantity
from oilway.errors import InputError, OilwayError, Place, Problem, QuantityError, did_you_mean
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.tree import Text
from oilway.solve.root import bracket_root
from oilway.study.curve import LEAST, Curve
from oilway.study.found import Found, read_found, words_of
from oilway.study.reducing import ReducingCurve, take_curve
from oilway.study.setting import Stand, put_on_stand

LEAK_SHARE = 0.8  # of the setting: where leakage is told (common practice: a stated share of the setting)
FIGURES = {
    "cracking pressure": "pressure",
    "full-flow pressure": "pressure",
    "override": "pressure",
    "reseating pressure": "pressure",
    "hysteresis": "pressure",
    "leakage": "flow",
    "reduced pressure": "pressure",
    "held pressure": "pressure",
    "droop": "pressure",
}
POINTS = 40
Verdict = Literal["reuse", "replace", "not judged"]


@dataclass(frozen=True)
class Condition:
    """A valve in one condition: turns of its adjuster, and its figures (SI) by a word of ``FIGURES``.

    ``notes`` are what a reader of the figures must know.
    """

    name: str
    turns: float
    figures: dict[str, float]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judged:
    """One limit: what it is on, its text, the value (SI) of quantity kind ``kind``, and whether it is kept."""

    name: str
    text: str
    value: float
    kind: str
    kept: bool


@dataclass
class Inspection:
    """A stripped valve: as new, as found at the turns it had, and set anew where its adjuster reaches.

    ``full`` is the pressure (Pa) of its setting, ``leak_at`` where leakage is told; ``reset`` is ``None`` where no
    turns bring the setting back.
    """

    title: str
    found: Found
    full: float
    flow: float
    leak_at: float
    most_turns: float
    new: Condition
    as_found: Condition
    reset: Condition | None
    judged: list[Judged]
    notes: list[str] = field(default_factory=list)

    @property
    def verdict(self) -> Verdict:
        """Replace where a limit is broken or the setting is out of reach; without limits nothing is judged."""
        if self.reset is None or not all(j.kept for j in self.judged):
            return "replace"
        return "reuse" if self.judged else "not judged"


def inspect(
    machine: Machine,
    found: Mapping[str, Text],
    limits: Mapping[str, Text] | None = None,
    *,
    valve: str = "",
) -> Inspection:
    """The effect of what was found of a valve: one on the stand, or ``valve`` of a machine.

    ``found`` maps 'part.key' of that valve to text; ``limits`` map the same, or a figure, to 'at most ...',
    'at least ...' or '... to ...': they are the maker's and entered, never supplied.
    Errors: :class:`InputError` naming everything that cannot be used; :class:`NoSolution` where the valve as new
    does not solve.
    """
    mounted = _which(machine, valve)
    if not found:
        what = "nothing was found: inspect wants at least one measured part"
        raise InputError(Problem(Place("--found"), what, 'for example --found "main spring.rate=38 N/mm"'))
    bench = put_on_stand(machine, mounted)
    measured = read_found(bench, found)
    worn = measured.into(bench)
    adjuster = mounted.valve.adjuster
    most = float(bench.parts[adjuster].values["most turns"] or 0.0)
    right = Stand(bench, adjuster)
    flow = mounted.setting.flow if mounted.setting is not None else float(right.th[right.flow])
    full = mounted.setting.pressure if mounted.setting is not None else right.pressure(flow)
    leak_at, notes = LEAK_SHARE * full, list(measured.notes)
    turns = float(bench.parts[adjuster].values["turns"] or 0.0)
    new = _condition("as new", bench, adjuster, leak_at, flow)
    as_found = _told("as found", worn, adjuster, leak_at, flow, notes)
    anew = Stand(worn, adjuster).solve_turns(full, flow, most)
    reset = None
    if not math.isnan(anew):
        again = worn.with_part(adjuster, {"turns": anew})
        reset = _told("set anew", again, adjuster, leak_at, flow, notes)
    else:
        notes.append(f"no turns of its adjuster bring back {quantity.show(full, 'pressure')}, within its {most:g}")
    at_turns = as_found or Condition("as found", turns, {})
    judged = [_judge(bench, measured, reset or at_turns, name, text) for name, text in (limits or {}).items()]
    return Inspection(mounted.name, measured, full, flow, leak_at, most, new, at_turns, reset, judged, notes)


def _which(machine: Machine, name: str) -> Mounted:
    named = {m.name: m for m in machine.mounted if m.adjuster}
    if machine.mounted and machine.mounted[0].prefix == "" and machine.mounted[0].adjuster:
        named = {machine.mounted[0].name: machine.mounted[0]}
    if not name and len(named) == 1:
        return next(iter(named.values()))
    if name in named:
        return named[name]
    if not named:
        raise InputError(Problem(Place(str(machine.path)), "no valve with an adjuster is in this file"))
    what = f"there is no valve '{name}' with an adjuster here" if name else "several valves can be inspected"
    hint = did_you_mean(name, named) or "say which with --valve: " + ", ".join(named)
    raise InputError(Problem(Place("--valve"), what, hint))


# -- figures -----------------------------------------------------------------------------------------------
def _told(
    name: str, bench: Machine, adjuster: str, leak_at: float, flow: float, notes: list[str]
) -> Condition | None:
    """A condition; a valve so worn that it does not solve is noted."""
    try:
        return _condition(name, bench, adjuster, leak_at, flow)
    except OilwayError as err:
        notes.append(f"{name}: not told: {str(err).splitlines()[0]}")
        return None


def _condition(name: str, bench: Machine, adjuster: str, leak_at: float, flow: float) -> Condition:
    curve = take_curve(bench, points=POINTS, flow=flow if not _drawn(bench) else None)
    turns = float(bench.parts[adjuster].values["turns"] or 0.0)
    if isinstance(curve, ReducingCurve):
        figures = {"held pressure": curve.held, "droop": curve.droop}
        if curve.at_setting is not None:
            figures["reduced pressure"] = curve.at_setting
        return Condition(name, turns, figures, tuple(curve.notes))
    figures = {**_of_relief(curve), "leakage": _leakage(bench, adjuster, leak_at, flow)}
    return Condition(name, turns, figures, tuple(curve.notes))


def _drawn(bench: Machine) -> bool:
    return bench.mounted[0].valve.acts_as == "reducing"


def _of_relief(curve: Curve) -> dict[str, float]:
    return {
        "cracking pressure": curve.cracking,
        "full-flow pressure": curve.full,
        "override": curve.override,
        "reseating pressure": curve.reseating,
        "hysteresis": curve.hysteresis,
    }


def _leakage(bench: Machine, adjuster: str, pressure: float, flow: float) -> float:
    """What passes (m3/s) at a pressure below the setting: 0 where it holds that with next to no flow."""
    stand = Stand(bench, adjuster)

    def above(q: float) -> float:
        return stand.pressure(q) - pressure

    ends = above(LEAST * flow), above(flow)
    if ends[0] >= 0:
        return 0.0
    return flow if ends[1] <= 0 else bracket_root(above, LEAST * flow, flow, 1.0, ends)


# -- limits ------------------------------------------------------------------------------------------------
def _judge(bench: Machine, found: Found, after: Condition, name: str, item: Text) -> Judged:
    if name in FIGURES:
        kind = FIGURES[name]
        if name not in after.figures:
            raise InputError(
                Problem(item.where, f"limit on {name}: this valve has no such figure, or it did not solve")
            )
        value = after.figures[name]
    else:
        value, kind = _measured_value(bench, found, name, item)
    try:
        low, high = read_limit(item.text, kind)
    except QuantityError as err:
        raise InputError(Problem(item.where, f"limit on {name}: {err.what}", err.hint)) from None
    return Judged(name, item.text, value, kind, low <= value <= high)


def _measured_value(bench: Machine, found: Found, name: str, item: Text) -> tuple[float, str]:
    """A key of a part as found, or as it is where that was not measured."""
    owner, _, key = name.rpartition(".")
    part = bench.parts.get(owner)
    if part is None or key not in words_of(part):
        known = [*FIGURES, *found.texts]
        hint = did_you_mean(name, known) or "limits are on: " + ", ".join(known)
        raise InputError(
            Problem(item.where, f"limit on '{name}': nothing of that name was found or computed", hint)
        )
    value = found.values.get(owner, {}).get(key)
    if name in found.texts and key == "free length":
        return quantity.parse(found.texts[name].text.partition(" of ")[0], "length"), "length"
    if not isinstance(value, float):
        raise InputError(Problem(item.where, f"limit on {name}: it was not measured", f'add --found "{name}=..."'))
    return value, next(r.kind for r in kinds()[part.kind].records if r.name == key)


def read_limit(text: str, kind: str) -> tuple[float, float]:
    """Lowest and highest value allowed by 'at most X', 'at least X' or 'X to Y'.

    >>> read_limit("1 mm to 2 mm", "length"), read_limit("at most 10 bar", "pressure")
    ((0.001, 0.002), (-inf, 1000000.0))
    """
    if text.startswith("at most "):
        return -math.inf, quantity.parse(text.removeprefix("at most "), kind)
    if text.startswith("at least "):
        return quantity.parse(text.removeprefix("at least "), kind), math.inf
    one, to, other = text.partition(" to ")
    if not to:
        raise QuantityError(f"'{text}' is no limit", "write 'at most ...', 'at least ...' or '... to ...'")
    low, high = quantity.parse(one, kind), quantity.parse(other, kind)
    if not low <= high:
        raise QuantityError(f"'{text}' goes from the higher to the lower value", "write the lower one first")
    return low, high
