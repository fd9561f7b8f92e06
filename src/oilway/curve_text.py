"""Curves of reducing valves as text for the terminal, and any curves as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units, show
from oilway.study.reducing import ReducingCurve
from oilway.study.sweep import Sweep
from oilway.text import AUTHORITY, new_table, put, row


def print_reducing(console: Console, curves: Sequence[ReducingCurve], units: Units) -> None:
    """The figures of one or several reducing valves side by side."""
    table = new_table("Reduced pressure over the flow drawn", "", *(curve.name for curve in curves))
    for label, pick in (
        ("held pressure at no flow", "held"),
        ("at the setting's flow", "at_setting"),
        ("at full flow", "full"),
        ("droop, from no to full flow", "droop"),
        ("hysteresis at half flow", "hysteresis"),
        ("rise, most pushed back", "pushed_rise"),
        ("inlet pressure", "inlet_pressure"),
    ):
        values = (getattr(c, pick) for c in curves)
        row(table, label, *("-" if v is None else show(v, "pressure", units) for v in values))
    row(table, "setting's flow", *(show(c.setting_flow, "flow", units) for c in curves))
    row(table, "full flow", *(show(c.full_flow, "flow", units) for c in curves))
    pushed = (float(c.pushed_flows[-1]) if c.pushed_flows.size else 0.0 for c in curves)
    row(table, "most pushed back", *(show(flow, "flow", units) if flow else "-" for flow in pushed))
    put(console, table)
    for curve in curves:
        ends = " to ".join(show(p, "pressure", units) for p in (curve.inlet_pressure, curve.other_inlet))
        told = [f"inlet from {ends}: {show(curve.influence, 'pressure', units, 1)} more reduced pressure"]
        for line in [*told, *curve.notes]:
            console.print(f"  {escape(curve.name)}: {escape(line)}", highlight=False)
    console.print(AUTHORITY, style="italic", highlight=False)


def curve_table(curves: Sequence[Sweep], units: Units) -> str:
    """Every point of every curve as CSV, in the order in which they were taken, the units in the header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    amounts = (f"{kind}, {quantity.unit(kind, units)}" for kind in ("flow", "pressure"))
    writer.writerow(["valve", "pressure read", "branch", *amounts])
    for curve in curves:
        for branch, (flows, pressures) in curve.branches().items():
            for flow, pressure in zip(flows, pressures, strict=True):
                numbers = (
                    quantity.number(float(v), kind, units) for v, kind in ((flow, "flow"), (pressure, "pressure"))
                )
                writer.writerow([curve.name, curve.reads, branch, *(f"{number:.9g}" for number in numbers)])
    return out.getvalue()
