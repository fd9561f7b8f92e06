"""A run as text for the terminal, and as a table of every series for a spreadsheet."""

from __future__ import annotations

import csv
import io

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.study.run import Run
from oilway.text import AUTHORITY, new_table, put, row, value_words

MOST_EVENTS = 24  # printed; the rest is counted


def print_run(console: Console, run: Run, units: Units) -> None:
    """Figures of each pressure, what each cylinder did, and the events at seats and stops."""
    console.print(f"[bold]{escape(run.machine.title)}[/]: {run.times[-1]:g} s", highlight=False)
    if not run.course.complete:
        console.print("[bold]INCOMPLETE:[/] the run stalled; this is what was reached", highlight=False)
    unit = quantity.unit("pressure", units)
    table = new_table(
        f"Pressures ({unit})", "chamber", "start", "peak", "at, s", "end", "settled at, s", "swings at, Hz"
    )
    for name, f in run.figures.items():
        shown = [value_words(p, "pressure", units) for p in (f.start, f.peak, f.end)]
        settled = "not yet" if f.settled is None else f"{f.settled:.3f}"
        swings = f"{f.frequency:.0f}" if f.frequency else "-"
        row(table, name, shown[0], shown[1], f"{f.peak_time:.3f}", shown[2], settled, swings)
    put(console, table)
    _print_cylinders(console, run, units)
    table = new_table("Seats and stops", "time, s", "part", "what")
    for event in run.events[:MOST_EVENTS]:
        row(table, f"{event.time:.4f}", event.part, event.what)
    if run.events:
        put(console, table)
    if len(run.events) > MOST_EVENTS:
        console.print(f"  and {len(run.events) - MOST_EVENTS} more", highlight=False)
    console.print(f"  oil accounted for within {100 * run.mass_error:.1g} % of what moved", highlight=False)
    console.print(AUTHORITY, style="italic", highlight=False)


def _print_cylinders(console: Console, run: Run, units: Units) -> None:
    for name in run.machine.system.motion.cylinders:
        places, speeds = (run.series[f"{what} of {name}"].values for what in ("position", "velocity"))
        start, end = (quantity.show(float(places[k]), "length", units) for k in (0, -1))
        fastest = quantity.show(float(abs(speeds).max()), "velocity", units)
        console.print(f"  {escape(name)}: from {start} to {end}, fastest {fastest}", highlight=False)
    if run.machine.system.motion.cylinders:
        console.print()


def run_table(run: Run, units: Units) -> str:
    """All series as CSV: one row a moment, the unit in each header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = list(run.series.items())
    writer.writerow(["time, s", *(f"{name}, {quantity.unit(s.kind, units)}" for name, s in columns)])
    for k, time in enumerate(run.times):
        values = (quantity.number(float(s.values[k]), s.kind, units) for _, s in columns)
        writer.writerow([f"{time:.9g}", *(f"{value:.9g}" for value in values)])
    return out.getvalue()
