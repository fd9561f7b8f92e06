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
TAKES_TIME = 0.5  # s: less is not worth a line
SMALL = 0.005  # a smaller share of the spread is not worth a line


def print_spread(console: Console, told: Spread, units: Units) -> None:
    """Outputs, which parts matter, what was declared, and sets without a result."""
    title = f"{told.machine.title}: {told.number} sets of parts within their tolerances (seed {told.job.seed})"
    table = new_table(title, "", "as written", "90 in 100 between", "and", "all worst at once", "accepted")
    for output in told.outputs:
        low, high = output.at(SHARES[0], SHARES[-1])
        words = [show(v, output.kind, units) if v == v else "-" for v in (output.nominal, low, high)]
        worst = f"+- {_size(output.extreme, output.kind, units)}" if output.influences else "-"
        row(table, output.name, *words, worst, _accepted(output))
    put(console, table)
    for output in told.outputs:
        if output.accepted is not None:
            console.print(f"  {escape(acceptance(output))}", highlight=False)
    for output in told.outputs:
        _print_ranking(console, output, units)
    for line in _declared(told, units):
        console.print(f"  {escape(line)}", highlight=False)
    if told.failures:
        lost = ", ".join(f"{o.lost} no {o.name}" for o in told.outputs if o.lost)
        console.print(f"{len(told.failures)} of {told.number} sets lack a result ({lost}):", highlight=False)
        for failure in told.failures[:3]:
            console.print(f"  {escape(str(failure))}", highlight=False)
    if told.job.timed is not None:
        console.print(
            "What each part does to a run is the difference between the runs at both ends of its tolerance.",
            highlight=False,
        )
    if told.prepared > TAKES_TIME:
        kept = "what is compiled is kept, so that most of it is paid once"
        console.print(f"Made ready in {told.prepared:.1f} s; {kept}.", highlight=False)
    console.print(f"{adjusters(told)} {AUTHORITY}", style="italic", highlight=False)


def adjusters(told: Spread) -> str:
    """What was done with the adjusters after the draw, in a sentence."""
    if not told.job.anew:
        return "Adjusters keep their turns: this is the spread before anybody sets a valve."
    names = ", ".join(a.name for a in told.job.setters)
    return f"Set anew at full flow to the setting of the file: {names}."


def _accepted(output: Output) -> str:
    return "-" if output.accepted is None else f"{100 * output.accepted:.1f} %"


def acceptance(output: Output) -> str:
    """How many sets lie within the limit, and between which shares all there could be would (95 in 100 draws)."""
    count = len(output.values)
    inside = round((output.accepted or 0.0) * count)
    low, high = (100 * share for share in output.accepted_between)
    return (
        f"{output.name} {output.limit}: {inside} of {count} sets; counted over all sets there could be, "
        f"{low:.1f} to {high:.1f} %"
    )


def _size(value: float, kind: str, units: Units) -> str:
    # The kind's own digits are for whole pressures; what one part does may be a fraction of one.
    plain = abs(quantity.number(value, kind, units)) < FINE and kind == "pressure"
    return show(abs(value), kind, units, 1 if plain else None)


def ranking(output: Output) -> str:
    """Which part matters most, in words."""
    if not output.influences:
        return f"which part matters for the {output.name} is not told: runs with parts a little off lack it"
    if not _moves(output):
        return f"no part that has a tolerance moves the {output.name}"
    first, *others = output.influences
    words = (
        f"{first.tolerance.parameter} matters most for the {output.name} ({100 * first.share:.0f} % of its spread)"
    )
    then = [i for i in others[:2] if i.share >= 0.05]
    return words + "".join(f", then {i.tolerance.parameter} ({100 * i.share:.0f} %)" for i in then)


def _moves(output: Output) -> bool:
    return output.extreme > NOTHING * abs(output.nominal if output.nominal == output.nominal else 0.0)


def _print_ranking(console: Console, output: Output, units: Units) -> None:
    if not _moves(output):
        console.print(f"  {escape(ranking(output))}", highlight=False)
        return
    table = new_table(ranking(output), "", "tolerance", "does", "share")
    for influence in [i for i in output.influences if i.share >= SMALL][:TOLD]:
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
        "seed": told.job.seed,
        "adjusters": "set anew" if told.job.anew else "keep their turns",
        "run": None if told.job.timed is None else amount(told.job.timed.duration, "time", units),
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
        over = told.band.over
        data["band"] = [dict(zip((over.x_name, *_columns()), line, strict=True)) for line in _band(told, units)]
        data["band units"] = {
            over.x_name: quantity.unit(over.x_kind, units), over.name: quantity.unit(over.kind, units)
        }  # fmt: skip
    return data


def _output_data(output: Output, units: Units) -> dict[str, Any]:
    return {
        "name": output.name,
        "as written": amount(output.nominal, output.kind, units) if output.nominal == output.nominal else None,
        "sets without": output.lost,
        "quantiles": {
            f"{100 * s:g} %": amount(v, output.kind, units) if v == v else None
            for s, v in zip(SHARES, output.at(*SHARES), strict=True)
        },
        "first order standard deviation": amount(output.deviation, output.kind, units),
        "first order worst": amount(output.extreme, output.kind, units),
        "limit": output.limit or None,
        "accepted": output.accepted,
        "accepted, 95 % of all": None if output.accepted is None else list(output.accepted_between),
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
    over = told.band.over
    places = [quantity.number(float(x), over.x_kind, units) for x in over.x]
    lines = zip(told.band.nominal, told.band.lines, strict=True)
    values = [[quantity.number(float(y), over.kind, units) for y in (a, *more)] for a, more in lines]
    return [[x, *y] for x, y in zip(places, values, strict=True)]


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
