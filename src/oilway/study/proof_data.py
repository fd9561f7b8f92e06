"""A proof as plain data, for ``--json``, the test sheet and the bench log: numbers in the units asked for."""

from __future__ import annotations

from typing import Any

from oilway import quantity
from oilway.quantity import Units, amount
from oilway.study.figure import Figure, Judged
from oilway.study.forms import HEADER
from oilway.study.proof import CONVENTION, Found, Proof
from oilway.study.rows import COLUMNS

FORMAT = 1
MOST_ROWS = 80  # of a table given with the answer; a logger's file is named, not repeated


def proof_data(proof: Proof, units: Units = "shop") -> dict[str, Any]:
    """Everything on the sheet."""
    readings = proof.readings
    return {
        "format": FORMAT,
        "title": readings.title,
        "test": readings.form.name,
        "test in words": readings.form.title,
        "verdict": proof.verdict.value,
        "facts": readings.facts,
        "instruments": {column: _instrument(proof, column) for column in readings.instruments},
        "given": {
            key: amount(value, readings.form.given[key].kind, units) for key, value in readings.given.items()
        },
        "limits": {limit.figure: limit.text for limit in readings.limits.values()},
        "source of limits": readings.source or None,
        "sections": {found.section.name: _section(found, units) for found in proof.found},
        "judged section": proof.last.section.name,
        "conditions": [
            {"name": c.name, "state": c.state.value, "said": c.said, "remedy": c.remedy or None}
            for c in proof.conditions
        ],
        "judged": {item.name: _judged(item) for item in proof.judged},
        "advice": proof.advice,
        "assumed": proof.assumed,
        "convention": CONVENTION,
        "cautions": [HEADER, *readings.form.cautions],
        "file": readings.file,
        "sha256": readings.sha256,
    }


def _instrument(proof: Proof, column: str) -> dict[str, Any]:
    instrument = proof.readings.instruments[column]
    return {
        "id": instrument.ident or None,
        "range and class": instrument.words,
        "calibrated": instrument.calibrated or None,
        "at": instrument.at or None,
        "same as": instrument.column if instrument.column != column else None,
    }


def _section(found: Found, units: Units) -> dict[str, Any]:
    section = found.section
    return {
        "figures": {figure.name: figure_data(figure, units) for figure in found.figures.values()},
        "flags": [{"sort": flag.sort, "rows": flag.rows, "said": flag.said} for flag in found.flags],
        "rows used": 0 if found.table is None else len(found.table),
        "rows": _rows(found, units),
        "adjustment": section.adjustment or None,
        "finished": section.finished or None,
        "conditions": section.conditions,
    }


def _rows(found: Found, units: Units) -> dict[str, Any] | None:
    """The table as it was used, unless a logger wrote it."""
    table = found.table
    if table is None or len(table) > MOST_ROWS:
        return None
    columns = {}
    for name, values in table.columns.items():
        kind = COLUMNS[name][0]
        columns[f"{name}, {quantity.unit(kind, units)}"] = [quantity.number(float(v), kind, units) for v in values]
    return {"file": table.file, "lines": table.lines.tolist(), "columns": columns}


def figure_data(figure: Figure, units: Units) -> dict[str, Any]:
    """One figure with its doubt, and what the doubt is made of."""
    return {
        **amount(figure.value, figure.kind, units),
        "uncertainty": quantity.number(figure.uncertainty, figure.kind, units),
        "shown": quantity.show(figure.value, figure.kind, units),
        "uncertainty shown": quantity.show(figure.uncertainty, figure.kind, units),
        "how": figure.how,
        "doubts": [
            {
                "source": term.source,
                "sort": "scatter" if term.scatter else "limit of error",
                "size": quantity.number(term.size, figure.kind, units),
            }
            for term in figure.terms
        ],
        "not counted": figure.missing,
    }


def _judged(item: Judged) -> dict[str, Any]:
    return {
        "verdict": item.verdict.value,
        "limit": item.limit.text,
        "reason": item.reason,
        "what would prove it": item.remedies,
    }
