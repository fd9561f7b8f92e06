"""A fit as text: what was recovered, within which limits, and what the readings cannot tell."""

from __future__ import annotations

import math

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.study.fit import Fit, Mixed, Recovered, said
from oilway.text import AUTHORITY, new_table, put, row


def print_fit(console: Console, result: Fit, units: Units) -> None:
    """The internals with their 95 % intervals, the pairs not told apart, and the rows that fit worst."""
    console.rule(escape(f"Fit: {result.machine.title}"), align="left")
    table = new_table("Recovered", "", "value", "95 % from", "to", "in the file")
    for item in result.internals:
        row(table, item.name, said(item), *(_end(item, v) for v in (item.low, item.high, item.before)))
    put(console, table)
    for name in [*result.held, *(item.name for item in result.internals if item.vague)]:
        stays = "; it stays as the file has it" if name in result.held else ""
        console.print(f"  these readings say next to nothing of {escape(name)}{stays}", highlight=False)
    for mixed in result.mixed:
        console.print(f"  {escape(_mixed_words(mixed))}", highlight=False)
    if not result.fits:
        console.print(
            "[bold]It does not fit:[/] more is left over than noise explains: another valve, a part not "
            "described, or a wrong reading",
            highlight=False,
        )
    _print_worst(console, result, units)
    console.print(f"\n{AUTHORITY}", style="italic", highlight=False)


def _end(item: Recovered, value: float) -> str:
    if not math.isfinite(value):
        return "open"
    return quantity.show(value, item.kind, "metric", digits=_digits(value, item.kind))


def _digits(value: float, kind: str) -> int:
    shown = abs(quantity.number(value, kind, "metric"))
    return 2 if shown == 0 else max(0, min(6, 3 - math.floor(math.log10(shown))))


def _mixed_words(mixed: Mixed) -> str:
    take = (
        f"take this one too: {mixed.extra.words}" if mixed.extra is not None else "no reading on this stand would"
    )
    if mixed.first == mixed.second:
        return f"to tell {mixed.first}, {take}"
    pair = f"{mixed.first} from {mixed.second} (correlation {mixed.correlation:+.3f})"
    return f"these readings cannot tell {pair}; {take}"


def _print_worst(console: Console, result: Fit, units: Units) -> None:
    at, flow = [(r, name) for r in result.rows for name in r.read], result.machine.set_by[1]
    worst = max(range(len(at)), key=lambda k: abs(float(result.left[k])))
    found, name = at[worst]
    where, off = quantity.show(found.inputs[flow], "flow", units), float(result.left[worst])
    console.print(
        f"\n{len(at)} readings in {len(result.rows)} rows; furthest off: {escape(name)} at {where}, "
        f"{off:+.1f} standard deviations",
        highlight=False,
    )
    console.print(f"Noise taken: {escape(result.noise.words)}", highlight=False)
