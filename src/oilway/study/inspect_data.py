"""An inspection as plain data: figures in the units asked for, what was found and judged as it was said."""

from __future__ import annotations

from typing import Any

from oilway.quantity import Units, amount
from oilway.study.inspect import FIGURES, Condition, Inspection

FORMAT = 1


def inspection_data(told: Inspection, source: str = "", units: Units = "shop") -> dict[str, Any]:
    """Everything an inspection says; ``source`` is where its limits are from."""
    return {
        "format": FORMAT,
        "title": told.title,
        "setting": amount(told.full, "pressure", units),
        "at flow": amount(told.flow, "flow", units),
        "leakage told at": amount(told.leak_at, "pressure", units),
        "found": {name: text.text for name, text in told.found.texts.items()},
        "as new": _condition(told.new, units),
        "as found": _condition(told.as_found, units),
        "set anew": None if told.reset is None else _condition(told.reset, units),
        "most turns": told.most_turns,
        "judged": [
            {"on": j.name, "limit": j.text, **amount(j.value, j.kind, units), "kept": j.kept} for j in told.judged
        ],
        "source of limits": source or None,
        "verdict": told.verdict,
        "notes": told.notes,
    }


def _condition(condition: Condition, units: Units) -> dict[str, Any]:
    figures = {name: amount(value, FIGURES[name], units) for name, value in condition.figures.items()}
    return {"turns": condition.turns, "figures": figures, "notes": list(condition.notes)}
