"""What acts when, as text for the terminal: each control as it is set now, and the order as a load rises."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.study.rising import Rise
from oilway.study.staging import Staging
from oilway.text import new_table, put, row

AS_GIVEN = "levers as in the file"


def print_staging(console: Console, found: Staging) -> None:
    """Controls, rises and notes; findings are printed with those of the check."""
    if not found.controls:
        return
    console.print(
        "\n[bold]What acts when:[/] each as it is set now, alone and without back-pressure", highlight=False
    )
    table = new_table("", "control", "acts as", "senses", "opens at", "set to", "at")
    for column in table.columns[1:3]:
        column.justify = "left"
    for c in found.controls:
        opens = "-" if c.opens is None else quantity.show(c.opens, "pressure")
        flow = "no flow" if c.flow is None else quantity.show(c.flow, "flow")
        row(table, c.name, c.acts_as or "not said", c.chamber, opens, quantity.show(c.full, "pressure"), flow)
    put(console, table)
    for rise in found.rises:
        _print_rise(console, rise)
    for note in found.notes:
        console.print(f"note: {escape(note)}", highlight=False)


def _print_rise(console: Console, rise: Rise) -> None:
    levers = ", ".join(f"{name.removesuffix('.position')} at {place:g}" for name, place in rise.point.items())
    start, end = (quantity.show(value, rise.kind) for value in (rise.start, rise.end))
    console.print(
        f"[bold]{escape(rise.load)}[/] from {start} to {end}, {escape(levers or AS_GIVEN)}", highlight=False
    )
    if rise.already:
        console.print(f"  acting all along: {escape(', '.join(rise.already))}", highlight=False)
    table = new_table("", "in this order", "at a load of", "with, where it senses")
    for k, act in enumerate(rise.acts, start=1):
        load, pressure = quantity.show(act.load, rise.kind), quantity.show(act.pressure, "pressure")
        row(table, f"{k}. {act.control}", load, pressure)
    if rise.acts:
        put(console, table)
    else:
        console.print(f"  nothing {'more ' if rise.already else ''}acts\n", highlight=False)
    if rise.stopped:
        console.print(f"  the rise ends there: {escape(rise.stopped)}", highlight=False)
