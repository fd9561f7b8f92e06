"""Results as plain data for ``--json``: numbers in the units asked for, each group with its unit beside it."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Any

from oilway import quantity
from oilway.quantity import Units, amount
from oilway.solve.result import Entry, State
from oilway.solve.stability import Stability
from oilway.study.check import Checked
from oilway.study.consequences import Actuator, Felt
from oilway.study.curve import Curve
from oilway.study.energy import energy_of_run, groups
from oilway.study.explain import Explained
from oilway.study.margin import Margin
from oilway.study.reducing import ReducingCurve
from oilway.study.routes import Route
from oilway.study.run import Run
from oilway.study.staging import Staging
from oilway.study.sweep import Sweep

FORMAT = 1  # of the output; raised when a key changes its meaning


def checked_data(checked: Checked) -> dict[str, Any]:
    """A check as plain data."""
    return {
        "format": FORMAT,
        "title": checked.machine.title,
        "parts": checked.counts,
        "notes": checked.notes,
        "findings": checked.findings,
        "unrated": checked.unrated,
        "what acts when": None if checked.staging is None else staging_data(checked.staging),
    }


def staging_data(found: Staging) -> dict[str, Any]:
    """What acts when as plain data, in shop units; loads of rises in the unit beside them."""
    return {
        "controls": {
            c.name: {
                "acts as": c.acts_as or None,
                "chamber": c.chamber,
                "opens": None if c.opens is None else amount(c.opens, "pressure", "shop"),
                "full": amount(c.full, "pressure", "shop"),
                "at flow": None if c.flow is None else amount(c.flow, "flow", "shop"),
            }
            for c in found.controls
        },
        "rises": [
            {
                "load": r.load,
                "levers": dict(r.point),
                "from": amount(r.start, r.kind, "shop"),
                "to": amount(r.end, r.kind, "shop"),
                "already": list(r.already),
                "acts": [
                    {
                        "control": a.control,
                        "load": amount(a.load, r.kind, "shop"),
                        "pressure": amount(a.pressure, "pressure", "shop"),
                    }
                    for a in r.acts
                ],
                "stopped": r.stopped or None,
            }
            for r in found.rises
        ],
        "findings": found.findings,
        "notes": found.notes,
    }


def explained_data(explained: Explained, units: Units = "shop") -> dict[str, Any]:
    """One explained operating point as plain data."""
    state = explained.state
    return {
        "format": FORMAT,
        "title": state.machine.title,
        "point": dict(state.point),
        "regimes": dict(explained.regimes),
        "parts": {
            name: {"state": s.word, "lift": amount(s.lift, "length", units)} for name, s in state.statuses.items()
        },
        "pressures": _group(state.pressures, "pressure", units),
        "pressures falling": _group(explained.falling, "pressure", units),
        "velocities": _group(state.velocities, "velocity", units),
        "forces": _ledgers(state.forces, "force", units),
        "torques": _ledgers(state.torques, "torque", units),
        "flows": _flow_ledgers(state, units),
        "power": _ledgers({"machine": state.power}, "power", units),
        "balances": {
            b.part: {
                "classroom rule": amount(b.rule, "pressure", units),
                "computed": amount(b.net, "pressure", units),
                "terms": _group(b.terms, "pressure", units),
            }
            for b in explained.balances
        },
        "readings": {name: amount(value, kind, units) for name, (kind, value) in state.readings.items()},
        "isolated": state.isolated,
        "findings": [str(f) for f in state.findings],
        "what the operator feels": None if explained.felt is None else _felt(explained.felt, units),
        "stability": _stability(explained.stability),
    }


def _stability(found: Stability) -> dict[str, Any]:
    worst = found.worst
    return {
        "stable": found.stable,
        "least damped": None
        if worst is None
        else {
            "frequency Hz": worst.frequency,
            "damping": worst.damping,
            "growth 1/s": worst.growth,
            "led by": list(worst.who),
        },
    }


def margins_data(margins: list[Margin]) -> list[dict[str, Any]]:
    """The stability margins of one operating point as plain data; parameters in SI."""
    return [
        {
            "valve": m.valve,
            "target": m.target,
            "reached": m.reached,
            "damping": m.mode.damping if m.mode else None,
            "frequency Hz": m.mode.frequency if m.mode else None,
            "led by": list(m.mode.who) if m.mode else [],
            "on a seat or stop": list(m.resting),
            "influences": [
                {
                    "parameter": i.parameter,
                    "value SI": i.value,
                    "slope per ln": i.slope,
                    "factor": i.factor,
                    "searched": i.searched,
                }
                for i in m.influences
            ],
        }
        for m in margins
    ]


def curve_data(curve: Curve, units: Units = "shop") -> dict[str, Any]:
    """A pressure-flow curve and its figures as plain data."""
    figures = ("cracking", "full", "override", "over_first_opening", "reseating", "hysteresis", "outlet_pressure")
    return {
        "format": FORMAT,
        "title": curve.name,
        "full flow": amount(curve.full_flow, "flow", units),
        "cracking flow": amount(curve.cracked_flow, "flow", units),
        "pressures": _group({name: getattr(curve, name) for name in figures}, "pressure", units),
        "override share": curve.override_share if isfinite(curve.override_share) else None,
        "notes": curve.notes,
        "gradient": {"unit": gradient_unit(units), "value": gradient(curve, units)},
        "openings": {
            o.part: {
                "pressure": amount(o.pressure, "pressure", units),
                "flow": amount(o.flow, "flow", units),
            }
            for o in curve.openings
        },
        **_branches(curve, units),
    }


def reducing_data(curve: ReducingCurve, units: Units = "shop") -> dict[str, Any]:
    """The curve of a reducing valve and its figures as plain data; pushed back flow counts from 0 up."""
    figures = ("held", "at_setting", "full", "droop", "hysteresis", "pushed_rise")
    known = {name: value for name in figures if (value := getattr(curve, name)) is not None}
    inlet = {"from": curve.inlet_pressure, "to": curve.other_inlet, "reduced pressure changes by": curve.influence}
    return {
        "format": FORMAT,
        "title": curve.name,
        "full flow": amount(curve.full_flow, "flow", units),
        "setting flow": amount(curve.setting_flow, "flow", units),
        "pressures": _group(known, "pressure", units),
        "inlet influence": _group(inlet, "pressure", units),
        "notes": curve.notes,
        **_branches(curve, units),
        "pushed back": {
            "flows": _series(curve.pushed_flows, "flow", units),
            "pressures": _series(curve.pushed, "pressure", units),
        },
    }


def _branches(curve: Sweep, units: Units) -> dict[str, Any]:
    return {
        "flows": _series(curve.flows, "flow", units),
        "rising": _series(curve.rising, "pressure", units),
        "falling": _series(curve.falling, "pressure", units),
    }


def run_data(run: Run, units: Units = "shop") -> dict[str, Any]:
    """A run as plain data: figures, events, energy and every series."""
    energy = energy_of_run(run)
    return {
        "format": FORMAT,
        "title": run.machine.title,
        "complete": run.course.complete,
        "oil not accounted for, share": run.mass_error,
        "energy": {
            **{name: _group(amounts, "energy", units) for name, amounts in groups(energy).items()},
            "left over": amount(energy.left_over, "energy", units),
            "not accounted for, share": energy.error,
        },
        "figures": {
            name: {
                **{what: amount(getattr(f, what), "pressure", units) for what in ("start", "peak", "end")},
                "peak at s": f.peak_time,
                "settled at s": f.settled,
                "swings at Hz": f.frequency,
            }
            for name, f in run.figures.items()
        },
        "findings": [
            {"part": e.worst.part, "what": str(e.worst), "since s": e.since, "lasted s": e.lasted}
            for e in run.findings
        ],
        "events": [{"time s": e.time, "part": e.part, "what": e.what} for e in run.events],
        "times s": [float(t) for t in run.times],
        "series": {name: _series(s.values, s.kind, units) for name, s in run.series.items()},
    }


def gradient(curve: Curve, units: Units) -> float:
    """Pressure per flow at full flow in display units."""
    per_flow = quantity.number(1.0, "flow", units)
    return quantity.number(curve.gradient, "pressure", units) / per_flow


def gradient_unit(units: Units) -> str:
    """Unit of the gradient."""
    return f"{quantity.unit('pressure', units)} per {quantity.unit('flow', units)}"


def _numbers(values: Any, kind: str, units: Units) -> list[float]:
    return [quantity.number(float(v), kind, units) for v in values]


def _series(values: Any, kind: str, units: Units) -> dict[str, Any]:
    return {"unit": quantity.unit(kind, units), "values": _numbers(values, kind, units)}


def _group(values: Mapping[str, float], kind: str, units: Units) -> dict[str, Any]:
    return {
        "unit": quantity.unit(kind, units),
        "values": {name: quantity.number(value, kind, units) for name, value in values.items()},
    }


def _ledgers(books: Mapping[str, list[Entry]], kind: str, units: Units) -> dict[str, Any]:
    return {
        "unit": quantity.unit(kind, units),
        "values": {
            name: [
                {"part": e.part, "what": e.label, "law": e.law, "value": quantity.number(e.value, kind, units)}
                for e in entries
            ]
            for name, entries in books.items()
        },
    }


def _flow_ledgers(state: State, units: Units) -> dict[str, Any]:
    books = {
        name: [Entry(e.label, e.part, e.law, state.at_no_pressure(e.value), e.other) for e in entries]
        for name, entries in state.flows.items()
    }
    return {"counted at": "0 psi gauge", **_ledgers(books, "flow", units)}


def _felt(felt: Felt, units: Units) -> dict[str, Any]:
    warming = felt.warming
    return {
        "actuators": {a.name: _actuator(a, units) for a in felt.actuators},
        "oil of the pumps": {name: [_route(r, units) for r in found] for name, found in felt.pumped.items()},
        "heat": _group(felt.heat, "power", units),
        "total heat": amount(warming.heat, "power", units),
        "oil warms by K/min": None if warming.rise is None else 60 * warming.rise,
        "settles at": None if warming.steady is None else amount(warming.steady, "temperature", units),
        "oil with coolers at work warms by K/min": None if warming.cooled is None else 60 * warming.cooled,
        "given off there": _group(warming.given, "power", units),
        "missing": warming.missing,
        "taken": warming.taken,
        "cavitation": [
            {
                "place": c.place,
                "what": c.what,
                "pressure": amount(c.pressure, "pressure", units),
                "void grows by": amount(c.void, "flow", units),
            }
            for c in felt.cavities
        ],
    }


def _actuator(actuator: Actuator, units: Units) -> dict[str, Any]:
    kind = "force" if actuator.kind == "velocity" else "torque"
    drift = actuator.drift
    return {
        "speed": amount(actuator.speed, actuator.kind, units),
        "neutral": actuator.neutral,
        "stalls": actuator.stalls,
        "at its end stop": actuator.at_stop,
        "at standstill": [
            {
                "way": p.way,
                "lever": p.lever,
                "now": p.now,
                **{what: amount(getattr(p, what), kind, units) for what in ("most", "needed", "spare")},
            }
            for p in actuator.pushes
        ],
        "goes with its load": None
        if drift is None
        else {
            "drifts": drift.creeping,
            "loaded chamber": drift.loaded,
            "oil leaves by": [_route(r, units) for r in drift.routes],
            "no share": drift.idle,
        },
        "notes": actuator.notes,
    }


def _route(route: Route, units: Units) -> dict[str, Any]:
    flow = amount(route.flow, "flow", units)
    return {"parts": list(route.parts), "ends in": route.end, "flow": flow, "share": route.share}
