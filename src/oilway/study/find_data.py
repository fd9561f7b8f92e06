"""A diagnosis as plain data, for ``--json`` and the page."""

from __future__ import annotations

from math import isfinite
from typing import Any

from oilway import quantity
from oilway.quantity import Units
from oilway.study.diagnosis import Diagnosis
from oilway.study.dictionary import Bench
from oilway.study.find import Cause
from oilway.study.find_readings import Reading
from oilway.study.fit import Fit
from oilway.study.next_test import Proposal
from oilway.study.sealed import Sealed

FORMAT = 1  # of the output; raised when a key changes its meaning


def diagnosis_data(told: Diagnosis, units: Units) -> dict[str, Any]:
    """Everything that a diagnosis says: numbers in the units asked for, each with its unit beside it."""
    found, bench = told.found, told.found.bench
    return {
        "format": FORMAT,
        "title": bench.machine.title,
        "readings": [_reading(bench, r, units) for r in found.readings],
        "explained": told.explained,
        "certain": told.certain,
        "causes": [_cause(bench, c, units) for c in found.causes],
        "ties": found.ties,
        "ruled out": [_cause(bench, c, units) for c in found.ruled_out],
        "pairs": [
            {"faults": [f.name for f in p.faults], "severities": list(p.severities), "share": p.weight,
             "rarity": p.rarity}
            for p in told.pairs
        ],
        "wrong instrument": found.wrong,
        "suspects": found.suspects,
        "next": [proposal_data(bench, p, units) for p in told.proposals],
        "not safe": [
            {"set-up": bench.setups[r.setup].name, "cause": r.cause, "why": r.why} for r in told.refused
        ],
        "unsolved": found.unsolved,
    }  # fmt: skip


def proposal_data(bench: Bench, proposal: Proposal, units: Units) -> dict[str, Any]:
    """One test with what each cause left would show, and its cautions."""
    setup, offer = bench.setups[proposal.setup], bench.panel.offers[proposal.offer]
    return {
        "reading": offer.name,
        "set-up": setup.name,
        "minutes": proposal.minutes,
        "bits": proposal.bits,
        "unit": quantity.unit(offer.kind, units),
        "would show": {
            name: None if mean is None else {"value": quantity.number(mean, offer.kind, units),
                                             "two sigma": _width(2 * spread, offer.kind, units)}
            for name, mean, spread in proposal.would
        },
        "cautions": list(dict.fromkeys((*setup.cautions, *offer.cautions))),
    }  # fmt: skip


def fit_data(result: Fit) -> dict[str, Any]:
    """A fit as plain data; internals in metric, as the insides of valves are written."""
    return {
        "format": FORMAT,
        "title": result.machine.title,
        "rows": len(result.rows),
        "fits": result.fits,
        "rarity": result.rarity,
        "internals": [
            {
                "name": item.name,
                **{key: _finite(quantity.number(v, item.kind, "metric"))
                   for key, v in (("value", item.value), ("low", item.low), ("high", item.high),
                                  ("in the file", item.before))},
                "unit": quantity.unit(item.kind, "metric"),
                "says next to nothing": item.vague,
            }
            for item in result.internals
        ],
        "held as in the file": result.held,
        "correlation": [[float(c) for c in row] for row in result.correlation],
        "cannot be told apart": [
            {"internals": sorted({m.first, m.second}), "correlation": m.correlation,
             "take this too": None if m.extra is None else m.extra.words}
            for m in result.mixed
        ],
        "noise": result.noise.words,
        "left over": [float(v) for v in result.left],
    }  # fmt: skip


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None


def offers_data(bench: Bench) -> dict[str, Any]:
    """What can be read at a machine, how it can be run, and its faults."""
    return {
        "format": FORMAT,
        "title": bench.machine.title,
        "set-ups": [
            {"name": s.name, "minutes": s.minutes, "as in the file": s.name == bench.default,
             "cautions": list(s.cautions)}
            for s in bench.setups
        ],
        "readings": [{"name": o.name, "kind": o.kind, "minutes": o.minutes, "fitted": o.fitted}
                     for o in bench.panel.offers],
        "faults": [{"name": f.name, "number": f.kind.number, "why": f.kind.why, "least": f.said(0.0),
                    "most": f.said(1.0)} for f in bench.faults],
    }  # fmt: skip


def sealed_data(
    sealed: Sealed, told: list[str], guesses: list[str], right: list[bool], units: Units
) -> dict[str, Any]:
    """A sealed machine as far as it has been opened: the cause only where it was found."""
    found = any(right)
    return {
        "format": FORMAT,
        "title": sealed.bench.machine.title,
        "seed": sealed.seed,
        "told": told,
        "readings": [_reading(sealed.bench, r, units) for r in sealed.asked],
        "minutes": sealed.minutes,
        "guesses": dict(zip(guesses, right, strict=True)),
        "found": found,
        "cause": sealed.fault.name if found else None,
        "score": sealed.score(found),
        "par minutes": sealed.par() if found else None,
    }


def _reading(bench: Bench, reading: Reading, units: Units) -> dict[str, Any]:
    offer = bench.panel.offers[reading.offer]
    return {
        "reading": offer.name,
        "set-up": bench.setups[reading.setup].name,
        "value": quantity.number(reading.value, offer.kind, units),
        "two sigma": _width(2 * reading.spread, offer.kind, units),
        "unit": quantity.unit(offer.kind, units),
    }


def _cause(bench: Bench, cause: Cause, units: Units) -> dict[str, Any]:
    against = cause.against
    offer = None if against is None else bench.panel.offers[against.reading.offer]
    return {
        "name": cause.name,
        "number": None if cause.fault is None else cause.fault.kind.number,
        "probability": cause.probability,
        "severity": cause.severity,
        "severity between": list(cause.between),
        "it would be": "" if cause.fault is None or not cause.steady else cause.fault.said(cause.severity),
        "by a steady amount": cause.steady,
        "why": "" if cause.fault is None else cause.fault.kind.why,
        "rarity": cause.rarity,
        "speaks against it": None if against is None or offer is None else {
            "reading": offer.name,
            "set-up": bench.setups[against.reading.setup].name,
            "would be": quantity.number(against.expected, offer.kind, units),
            "reads": quantity.number(against.reading.value, offer.kind, units),
            "unit": quantity.unit(offer.kind, units),
            "standard uncertainties off": against.off,
        },
    }  # fmt: skip


def _width(spread: float, kind: str, units: Units) -> float:
    """A width in the unit of its kind; of a temperature without the offset of its zero."""
    zero = quantity.number(0.0, kind, units)
    return quantity.number(spread, kind, units) - zero
