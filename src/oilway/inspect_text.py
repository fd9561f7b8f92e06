"""An inspection as text for the terminal: as new, as found, set anew, and the verdict."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.errors import QuantityError
from oilway.quantity import Units
from oilway.study.inspect import FIGURES, Condition, Inspection
from oilway.text import AUTHORITY, new_table, put, row


def print_inspection(console: Console, told: Inspection, source: str, units: Units) -> None:
    """Print it."""
    full, flow = quantity.show(told.full, "pressure", units), quantity.show(told.flow, "flow", units)
    console.rule(escape(f"Inspected: {told.title}, set to {full} at {flow}"), align="left")
    for name, text in told.found.texts.items():
        console.print(escape(f"found: {name}: {text.text}"), highlight=False)
    conditions = [c for c in (told.new, told.as_found, told.reset) if c is not None]
    table = new_table("On the stand", "", *(c.name for c in conditions))
    row(table, "turns of the adjuster", *(f"{c.turns:.2f}" for c in conditions))
    for name, kind in FIGURES.items():
        if any(name in c.figures for c in conditions):
            cells = [quantity.show(c.figures[name], kind, units) if name in c.figures else "-" for c in conditions]
            row(table, _called(told, name, units), *cells)
    put(console, table)
    for note in [*told.notes, *_notes(conditions)]:
        console.print(f"note: {escape(note)}", highlight=False)
    for judged in told.judged:
        word = "kept" if judged.kept else "BROKEN"
        value = _in_unit_of(judged.text, judged.value, judged.kind, units)
        console.print(escape(f"limit on {judged.name}, {judged.text}: {value}: {word}"), highlight=False)
    if source:
        console.print(escape(f"limits from: {source}"), highlight=False)
    console.print(f"[bold]{escape(_verdict(told))}[/]", highlight=False)
    console.print(AUTHORITY, style="italic", highlight=False)


def _notes(conditions: list[Condition]) -> list[str]:
    """Notes of the conditions; what is true of all of them once."""
    texts = dict.fromkeys(note for c in conditions for note in c.notes)
    of = {text: [c.name for c in conditions if text in c.notes] for text in texts}
    return [t if len(names) == len(conditions) else f"{' and '.join(names)}: {t}" for t, names in of.items()]


def _in_unit_of(limit: str, value: float, kind: str, units: Units) -> str:
    """A value in the unit in which its limit was written, so that the two can be compared."""
    unit = limit.split()[-1]
    try:
        return f"{quantity.convert(value, kind, unit):.4g} {unit}"
    except QuantityError:  # written without a blank
        return quantity.show(value, kind, units)


def _called(told: Inspection, name: str, units: Units) -> str:
    return f"{name} at {quantity.show(told.leak_at, 'pressure', units)}" if name == "leakage" else name


def _verdict(told: Inspection) -> str:
    if told.verdict == "not judged":
        return "NOT JUDGED: enter the maker's limits (--limit) to have it judged"
    if told.verdict == "reuse":
        return "REUSE: every limit entered is kept"
    if told.reset is None:
        return "REPLACE: its adjuster no longer reaches the setting"
    return "REPLACE: a limit is broken"
