"""Choices of parts as text, as plain data and as CSV: the same numbers, no physics."""

from __future__ import annotations

import csv
import io
import math
from typing import Any

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units, amount, show
from oilway.study.size import Sizing
from oilway.text import AUTHORITY, new_table, put, row

FORMAT = 1


def print_sizing(console: Console, found: Sizing, units: Units) -> None:
    """The best choice or what stands in the way, and how many satisfy each target."""
    console.print(escape(verdict(found, units)), highlight=False)
    table = new_table("Targets", "", "satisfy it", "satisfy all others", "nearest of all", "best choice")
    for k, target in enumerate(found.targets):
        best = "-" if found.best is None else _shown(found.figures[target.figure][found.best], target.kind, units)
        nearest = _shown(found.nearest(k), target.kind, units)
        row(table, target.words(units), str(found.kept(k)), str(found.without(k)), nearest, best)
    put(console, table)
    if found.best is not None:
        chosen = new_table("Best choice", "", "")
        for part, value in zip(found.free, found.values[found.best], strict=True):
            row(chosen, part.parameter, show(float(value), part.kind, units, _digits(part.kind)))
        for name, values in found.figures.items():
            row(chosen, name, _shown(values[found.best], found.kinds[name], units))
        put(console, chosen)
    for part in found.free:
        if part.source:
            console.print(f"  steps of {escape(part.parameter)}: {escape(part.source)}", highlight=False)
    console.print(f"{_hold(found)} {AUTHORITY}", style="italic", highlight=False)


def _hold(found: Sizing) -> str:
    """What was set for every combination, and how many hold it."""
    count, of = int(found.set_up.sum()), len(found.values)
    if not found.set_anew:
        return "No valve has a free part inside: every adjuster keeps its turns."
    return (
        f"Set anew: {', '.join(found.set_anew)}; {count} of {of} combinations hold the setting within the turns."
    )


def _digits(kind: str) -> int | None:
    """A drill has more digits than a length in general."""
    return 4 if kind == "length" else None


def _shown(value: float, kind: str, units: Units) -> str:
    return "-" if not math.isfinite(value) else show(float(value), kind, units)


def verdict(found: Sizing, units: Units = "shop") -> str:
    """In one sentence: the best choice, or which target stands in the way."""
    count, of = int(found.passed.sum()), len(found.values)
    best = found.best
    if best is not None:
        chosen = _parts(found, best, units)
        return f"{count} of {of} combinations satisfy every target; furthest inside all: {chosen}."
    if not found.set_up.any():
        return f"No choice satisfies: none of {of} combinations reaches the setting with the turns there are."
    unmet = [k for k in range(len(found.targets)) if found.kept(k) == 0]
    if unmet:
        said = "; ".join(
            f"{found.targets[k].words(units)} (nearest: {_shown(found.nearest(k), found.targets[k].kind, units)})"
            for k in unmet
        )
        told = f"No choice satisfies; in the way stands what none of {of} combinations reaches: {said}."
        return told + _closest(found, units)
    freed = max(range(len(found.targets)), key=found.without)
    if found.without(freed) == 0:
        told = "No choice satisfies; each target can be reached alone, but more than one stands in the way."
        return told + _closest(found, units)
    words = found.targets[freed].words(units)
    told = f"No choice satisfies; {words} stands in the way: without it {found.without(freed)} of {of} would do."
    return told + _closest(found, units)


def _closest(found: Sizing, units: Units) -> str:
    """The combination that misses least, and what it misses."""
    k = found.closest
    if k is None:
        return ""
    missed = [t for t, inside in zip(found.targets, found.inside[k], strict=True) if inside < 0]
    said = ", ".join(f"{t.figure} {_fine(float(found.figures[t.figure][k]), t.kind, units)}" for t in missed)
    return f" Nearest to all: {_parts(found, k, units)}, with {said}."


def _parts(found: Sizing, k: int, units: Units) -> str:
    pairs = zip(found.free, found.values[k], strict=True)
    return ", ".join(f"{p.parameter} {show(float(v), p.kind, units, _digits(p.kind))}" for p, v in pairs)


def _fine(value: float, kind: str, units: Units) -> str:
    """A digit more than usual: what misses a bound narrowly must not look as if it met it."""
    return show(value, kind, units, 1) if kind == "pressure" else show(value, kind, units)


def sizing_data(found: Sizing, units: Units = "shop") -> dict[str, Any]:
    """The verdict, targets and best choice as plain data."""
    best = found.best
    return {
        "format": FORMAT,
        "title": found.machine.title,
        "in words": verdict(found, units),
        "combinations": len(found.values),
        "hold the setting": int(found.set_up.sum()),
        "satisfy": int(found.passed.sum()),
        "free": [
            {
                "parameter": p.parameter,
                "from": amount(p.values[0], p.kind, units),
                "to": amount(p.values[-1], p.kind, units),
                "steps": len(p.values),
                "source": p.source or None,
            }
            for p in found.free
        ],
        "targets": [
            {"target": t.words(units), "satisfy it": found.kept(k), "satisfy all others": found.without(k)}
            for k, t in enumerate(found.targets)
        ],
        "best": None if best is None else _choice(found, best, units),
        "closest": None if best is not None or found.closest is None else _choice(found, found.closest, units),
        "set anew": found.set_anew,
    }


def _choice(found: Sizing, k: int, units: Units) -> dict[str, Any]:
    chosen = {
        p.parameter: amount(float(v), p.kind, units) for p, v in zip(found.free, found.values[k], strict=True)
    }
    values = {name: float(column[k]) for name, column in found.figures.items()}
    return chosen | {n: amount(v, found.kinds[n], units) for n, v in values.items() if math.isfinite(v)}


def sizing_table(found: Sizing, units: Units) -> str:
    """Every combination as CSV; a figure that there is none of is an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    kinds, names = found.kinds, list(found.figures)
    parts = [f"{p.parameter}, {quantity.unit(p.kind, units)}" for p in found.free]
    writer.writerow([*parts, *(f"{n}, {quantity.unit(kinds[n], units)}".rstrip(", ") for n in names), "satisfies"])
    for k, passed in enumerate(found.passed):
        cells = [(float(v), p.kind) for v, p in zip(found.values[k], found.free, strict=True)]
        cells += [(float(found.figures[n][k]), kinds[n]) for n in names]
        numbers = [f"{quantity.number(v, kind, units):.9g}" if math.isfinite(v) else "" for v, kind in cells]
        writer.writerow([*numbers, "yes" if passed else "no"])
    return out.getvalue()
