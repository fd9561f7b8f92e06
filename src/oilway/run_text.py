"""A run as text for the terminal, and its series as columns and as a table for a spreadsheet."""

from __future__ import annotations

import csv
import io

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.model.system import Vector
from oilway.quantity import Units
from oilway.study.energy import Energy, energy_of_run, groups
from oilway.study.run import Run
from oilway.text import AUTHORITY, new_table, put, row, value_words

MOST_EVENTS = 24  # printed; the rest is counted
SHAFT = "speed of "  # a series of a shaft begins so
TRIFLE = 1e-4  # share of the energy turned over: less is not printed


def print_run(console: Console, run: Run, units: Units) -> None:
    """Figures of each pressure, what each cylinder and shaft did, events at seats and stops, and the energy."""
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
    _print_actuators(console, run, units)
    table = new_table("Seats and stops", "time, s", "part", "what")
    for event in run.events[:MOST_EVENTS]:
        row(table, f"{event.time:.4f}", event.part, event.what)
    if run.events:
        put(console, table)
    if len(run.events) > MOST_EVENTS:
        console.print(f"  and {len(run.events) - MOST_EVENTS} more\n", highlight=False)
    _print_findings(console, run, units)
    _print_energy(console, energy_of_run(run), units)
    console.print(f"  oil accounted for within {100 * run.mass_error:.1g} % of what moved", highlight=False)
    console.print(AUTHORITY, style="italic", highlight=False)


def _print_actuators(console: Console, run: Run, units: Units) -> None:
    cylinders, shafts = (
        run.machine.system.motion.cylinders,
        [n for n, s in run.series.items() if s.kind == "rotation"],
    )
    for name in cylinders:
        places, speeds = (run.series[f"{what} of {name}"].values for what in ("position", "velocity"))
        start, end = (quantity.show(float(places[k]), "length", units) for k in (0, -1))
        fastest = quantity.show(float(abs(speeds).max()), "velocity", units)
        console.print(f"  {escape(name)}: from {start} to {end}, fastest {fastest}", highlight=False)
    for name in shafts:
        values = run.series[name].values
        first, last, most = (
            quantity.show(float(v), "rotation", units) for v in (values[0], values[-1], abs(values).max())
        )
        console.print(
            f"  {escape(name.removeprefix(SHAFT))}: from {first} to {last}, fastest {most}", highlight=False
        )
    if cylinders or shafts:
        console.print()


def _print_findings(console: Console, run: Run, units: Units) -> None:
    """What broke its limit, how far, from when and for how long."""
    for excess in run.findings:
        lasted = f"for {excess.lasted:.3f} s in all" if excess.lasted else "for a moment"
        said = f"{excess.worst.words(units)}, from {excess.since:.3f} s, {lasted}"
        console.print(f"[bold]LIMIT:[/] {escape(said)}", highlight=False)
    if run.findings:
        console.print()


def _print_energy(console: Console, energy: Energy, units: Units) -> None:
    """Where the energy came from and went; amounts that hardly count are left out."""
    turned = max(energy.sides)
    table = new_table("Energy of the whole run", "what", "of", quantity.unit("energy", units))
    for group, amounts in groups(energy).items():
        what = group
        for name, value in amounts.items():
            if abs(value) >= TRIFLE * turned > 0:
                row(table, what, name, value_words(value, "energy", units))
                what = ""
    put(console, table)
    share = f"{100 * energy.error:.1g}"
    console.print(f"  energy accounted for within {share} % of what was turned over", highlight=False)


def run_columns(run: Run, units: Units) -> dict[str, Vector]:
    """All series as columns in the units asked for, each (n,), named with its unit; time first."""
    columns = {"time, s": run.times}
    for name, series in run.series.items():
        per = quantity.number(1.0, series.kind, units)
        columns[f"{name}, {quantity.unit(series.kind, units)}"] = series.values * per
    return columns


def run_table(run: Run, units: Units) -> str:
    """All series as CSV: one row a moment, the unit in each header."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    columns = run_columns(run, units)
    writer.writerow(columns)
    writer.writerows([f"{value:.9g}" for value in moment] for moment in zip(*columns.values(), strict=True))
    return out.getvalue()
