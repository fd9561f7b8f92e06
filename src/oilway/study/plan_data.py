"""A setting plan as plain data, for ``--json``, the sheet and the page: numbers and the words that say them."""

from __future__ import annotations

from typing import Any

from oilway import quantity
from oilway.quantity import Units
from oilway.study.plan import Plan, Raised, Step
from oilway.study.plan_gauge import Span
from oilway.study.plan_words import (
    ONCE,
    below_words,
    cautions,
    instructions,
    preparation,
    reason,
    wrong_words,
)
from oilway.study.plan_wrong import Below, Wrong

FORMAT = 1


def plan_data(plan: Plan, units: Units = "shop") -> dict[str, Any]:
    """Everything on the sheet; every number beside its unit."""
    return {
        "format": FORMAT,
        "title": plan.machine.title,
        "file": plan.machine.path.name,
        "once": ONCE,
        "oil temperature": _amount(plan.temperature, "temperature", units),
        "engine speeds": {name: _amount(v, "rotation", units) for name, v in plan.speeds.items()},
        "preparation": preparation(plan, units),
        "steps": [_step(plan, step, units) for step in plan.steps],
        "findings": plan.findings,
        "notes": plan.notes,
    }


def _step(plan: Plan, step: Step, units: Units) -> dict[str, Any]:
    control, rating = step.control, step.rating
    return {
        "control": control.name,
        "acts as": control.acts_as or None,
        "where": "bench" if step.on_bench else "machine",
        "why": reason(step, units),
        "setting": _pressure(control.full, units),
        "at flow": None if control.flow is None else _amount(control.flow, "flow", units),
        "opens": None if control.opens is None else _pressure(control.opens, units),
        "gauge": _gauge(step),
        "lowest rating": rating and {"part": rating.part, "pressure": _pressure(rating.pressure, units)},
        "adjuster": _adjuster(step, units),
        "acts first": list(step.masked),
        "turned up meanwhile": [_raised(item, units) for item in step.raised],
        "in the machine": _reading(step, units),
        "do": instructions(plan, step, units),
        "cautions": cautions(step, units),
        "set wrongly": [_wrong(plan, wrong, units) for wrong in step.wrong],
        "port relief below": [_below(below, units) for below in step.below],
    }


def _gauge(step: Step) -> dict[str, Any]:
    gauge = step.gauge
    return {
        "at": gauge.chamber,
        "psi": _span(gauge.psi),
        "bar": _span(gauge.bar),
        "fitted": {name: span.share for name, span in gauge.fitted.items()},
    }


def _adjuster(step: Step, units: Units) -> dict[str, Any] | None:
    adjuster = step.adjuster
    if adjuster is None:
        return None
    return {
        "turns": adjuster.turns,
        "most turns": adjuster.most,
        "per turn": _pressure(adjuster.per_turn, units),
        "turning in": "raises" if adjuster.per_turn > 0 else "lowers",
    }


def _wrong(plan: Plan, wrong: Wrong, units: Units) -> dict[str, Any]:
    return {
        "how": wrong.key,
        "at flow": _amount(wrong.flow, "flow", units),
        "shown": _pressure(wrong.shown, units),
        "reads": None if wrong.reads is None else _pressure(wrong.reads, units),
        "said": wrong_words(plan, wrong, units),
    }


def _below(below: Below, units: Units) -> dict[str, Any]:
    return {
        "port relief": below.port,
        "set to": _pressure(below.to, units),
        "reads": _pressure(below.reads, units),
        "moved": _pressure(below.moved, units),
        "said": below_words(below, units),
    }


def _reading(step: Step, units: Units) -> dict[str, Any] | None:
    reading = step.reading
    if reading is None:
        return None
    return {
        "held": list(reading.stall.held),
        "lever": reading.stall.lever or None,
        "lever at": reading.stall.place,
        "shows its setting": step.shows,
        "pressure": _pressure(reading.pressure, units),
        "flow over it": _amount(reading.flow, "flow", units),
        "back-pressure": None if reading.back_pressure is None else _pressure(reading.back_pressure, units),
        "in cold oil": None if reading.cold is None else _pressure(reading.cold, units),
        "opens too": list(reading.beside),
    }


def _raised(item: Raised, units: Units) -> dict[str, Any]:
    return {"control": item.control.name, "to": _pressure(item.to, units), "turns": item.turns}


def _span(span: Span) -> dict[str, Any]:
    end = round(quantity.convert(span.end, "pressure", span.unit))
    return {"end": end, "unit": span.unit, "share": span.share, "fits": span.fits}


def _pressure(value: float, units: Units) -> dict[str, Any]:
    return _amount(value, "pressure", units)


def _amount(value: float, kind: str, units: Units) -> dict[str, Any]:
    """A number, its unit, and both as they are said."""
    return {**quantity.amount(value, kind, units), "said": quantity.show(value, kind, units)}
