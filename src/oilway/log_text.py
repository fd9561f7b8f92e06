"""The bench log as text for the terminal: the list of sheets, and figures over time."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import hypot

from rich.console import Console
from rich.markup import escape

from oilway.log import Entry, Sheet
from oilway.quantity import Units, show
from oilway.text import new_table, put, row

NOTHING = "no sheets match"


def print_sheets(console: Console, sheets: Sequence[Sheet]) -> None:
    """One line a sheet."""
    if not sheets:
        console.print(NOTHING)
        return
    table = new_table("Bench log", "sheet", "date", "machine", "valve", "test", "verdict")
    for column in table.columns[1:]:
        column.justify, column.no_wrap = "left", False
    for sheet in sheets:
        row(table, str(sheet.id), sheet.date, sheet.machine, sheet.valve, sheet.test, sheet.verdict)
    put(console, table)


def print_history(console: Console, entries: Sequence[Entry], units: Units) -> None:
    """Each figure over time, with the change since the sheet before; within the doubt of both it says so."""
    if not entries:
        console.print(NOTHING)
    for (machine, valve, name, section), group in groupby(sorted(entries, key=_series), key=_series):
        heading = f"{machine or 'machine not named'}, {valve or 'valve not named'}: {name} {section}"
        console.print(f"[bold]{escape(heading)}[/]", highlight=False)
        table = new_table("", "date", "sheet", "value", "± U", "change")
        table.title = None  # a title would be broken to the width of the numbers
        before: Entry | None = None
        for entry in group:
            value, doubt = (show(x, entry.kind, units) for x in (entry.value, entry.uncertainty))
            row(table, entry.date, str(entry.sheet), value, doubt, change_words(before, entry, units))
            before = entry
        put(console, table)


def _series(entry: Entry) -> tuple[str, str, str, str]:
    return entry.machine, entry.valve, entry.name, entry.section


def change_words(before: Entry | None, now: Entry, units: Units) -> str:
    """The change of a figure since the sheet before; a change within the doubt of both is called so."""
    if before is None:
        return ""
    change = now.value - before.value
    said = f"{'+' if change > 0 else ''}{show(change, now.kind, units)}"
    return said if abs(change) > hypot(before.uncertainty, now.uncertainty) else f"{said}, within U of both"
