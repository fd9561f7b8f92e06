"""A spread as text, as plain data and as CSV: the same numbers, no physics."""

from __future__ import annotations

import csv
import io
from typing import Any

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units, amount, show
from oilway.study.spread import SHARES, Output, Spread
from oilway.text import AUTHORITY, new_table, put, row

FORMAT = 1
TOLD = 6  # influences in the table
FINE = 20.0  # below it a pressure is shown with a digit after the point
NOTHING = 1e-6  # of an output: nothing that anybody could read
SMALL = 0.005  # a smaller share of the spread is not worth a line


def print_spread(console: Console, told: Spread, units: Units) -> None:
    """Outputs, which parts matter, what was declared, and sets without a result."""
    title = f"{told.machine.title}: {told.number} sets of parts within their tolerances (seed {told.seed})"
    table = new_table(
        title, "", "as written", "90 in 100 between", "and", "all worst at once, first order", "accepted"
    )
    for output in told.outputs:
        low, high = output.at(SHARES[0], SHARES[-1])
        accepted = "-" if output.accepted is None else f"{100 * output.accepted:.1f} % ({output.limit})"
        words = [show(v, output.kind, units) for v in (output.nominal, low, high)]
        row(table, output.name, *words, f"+- {_size(output.extreme, output.kind, units)}", accepted)
    put(console, table)
    for output in told.outputs:
        _print_ranking(console, output, units)
    for line in _declared(told, units):
        console.print(f"  {escape(line)}", highlight=False)
    if told.failures:
        console.print(f"{len(told.failures)} of {told.number} sets have no result:", highlight=False)
        for failure in told.failures[:3]:
            console.print(f"  {escape(str(failure))}", highlight=False)
    console.print("Adjusters keep their turns. " + AUTHORITY, style="italic", highlight=False)


def _size(value: float, kind: str, units: Units) -> str:
    # The kind's own digits are for whole pressures; what one part does may be a fraction of one.
    plain = abs(quantity.number(value, kind, units)) < FINE and kind == "pressure"
    return show(abs(value), kind, units, 1 if plain else None)


def ranking(output: Output) -> str:
    """Which part matters most, in words."""
    first, *others = output.influences
    if not _moves(output):
        return f"no part that has a tolerance moves the {output.name}"
    words = (
        f"{first.tolerance.parameter} matters most for the {output.name} ({100 * first.share:.0f} % of its spread)"
    )
    then = [i for i in others[:2] if i.share >= 0.05]
    return words + "".join(f", then {i.tolerance.parameter} ({100 * i.share:.0f} %)" for i in then)


def _moves(output: Output) -> bool:
    return output.extreme > NOTHING * abs(output.nominal)


def _print_ranking(console: Console, output: Output, units: Units) -> None:
    table = new_table(ranking(output), "", "tolerance", "does", "share")
    for influence in [i for i in output.influences if i.share >= SMALL and _moves(output)][:TOLD]:
        tol = influence.tolerance
        sign = "+" if influence.effect > 0 else "-"
        row(
            table,
            tol.parameter,
            f"+- {show(tol.reach, tol.kind, units)} on {show(tol.value, tol.kind, units)}",
            f"{sign}{_size(influence.effect, output.kind, units)} at its upper end",
            f"{100 * influence.share:.0f} %",
        )
    put(console, table)


def _declared(told: Spread, units: Units) -> list[str]:
    sources: dict[str, list[str]] = {}
    for tol in told.tolerances:
        reach = f"{tol.parameter} +- {100 * tol.reach / abs(tol.value):.3g} %" if tol.value else (
            f"{tol.parameter} +- {show(tol.reach, tol.kind, units)}")  # fmt: skip
        sources.setdefault(tol.source, []).append(reach)
    return [f"tolerances, {source}: {', '.join(items)}" for source, items in sources.items()]


def spread_data(told: Spread, units: Units = "shop") -> dict[str, Any]:
    """Everything but the single values of the sets."""
    data: dict[str, Any] = {
        "format": FORMAT,
        "title": told.machine.title,
        "number": told.number,
        "seed": told.seed,
        "tolerances": [
            {
                "parameter": t.parameter,
                "value": amount(t.value, t.kind, units),
                "either way": amount(t.reach, t.kind, units),
                "source": t.source,
            }
            for t in told.tolerances
        ],
        "outputs": [_output_data(output, units) for output in told.outputs],
        "failures": [{"set": f.index, "why": str(f.error)} for f in told.failures],
    }
    if told.band is not None:
        data["band"] = [dict(zip(("flow", *_columns()), line, strict=True)) for line in _band(told, units)]
        data["band units"] = {"flow": quantity.unit("flow", units), "pressure": quantity.unit("pressure", units)}
    return data


def _output_data(output: Output, units: Units) -> dict[str, Any]:
    return {
        "name": output.name,
        "as written": amount(output.nominal, output.kind, units),
        "quantiles": {
            f"{100 * s:g} %": amount(v, output.kind, units)
            for s, v in zip(SHARES, output.at(*SHARES), strict=True)
        },
        "first order standard deviation": amount(output.deviation, output.kind, units),
        "first order worst": amount(output.extreme, output.kind, units),
        "limit": output.limit or None,
        "accepted": output.accepted,
        "in words": ranking(output),
        "influences": [
            {"parameter": i.tolerance.parameter, "effect": amount(i.effect, output.kind, units), "share": i.share}
            for i in output.influences
        ],
    }


def _columns() -> list[str]:
    return ["as written", *(f"{100 * s:g} % below" for s in SHARES)]


def _band(told: Spread, units: Units) -> list[list[float]]:
    assert told.band is not None
    flows = [quantity.number(float(q), "flow", units) for q in told.band.flows]
    lines = zip(told.band.nominal, told.band.lines, strict=True)
    pressures = [[quantity.number(float(p), "pressure", units) for p in (a, *more)] for a, more in lines]
    return [[q, *p] for q, p in zip(flows, pressures, strict=True)]


def spread_table(told: Spread, units: Units) -> str:
    """Every output of every set as CSV, a set a row; a set without a result has empty cells."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names = (f"{o.name}, {quantity.unit(o.kind, units)}" for o in told.outputs)
    writer.writerow(["set", *names])
    for k in range(told.number):
        values = ((o.values[k], o.kind) for o in told.outputs)
        cells = ("" if v != v else f"{quantity.number(float(v), kind, units):.9g}" for v, kind in values)
        writer.writerow([k + 1, *cells])
    return out.getvalue()
