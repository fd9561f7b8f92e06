"""Stability margins as text for the terminal: the damping of each valve and what changes it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.solve.result import State
from oilway.study.explain import point_name, point_words
from oilway.study.margin import Influence, Margin
from oilway.text import new_table, put, row

MOST = 6  # parameters printed of each valve
MORE = 1.1  # the change that a slope is shown for


def print_margins(console: Console, found: Sequence[tuple[State, list[Margin]]], units: Units) -> None:
    """The margins at one or many operating points."""
    for state, margins in found:
        words = point_name(state.machine, state.point) or point_words(state.machine, state.point, units)
        console.rule(escape(f"Stability margin: {words}"), align="left")
        for margin in margins:
            _print_margin(console, margin)
    console.print(
        "Each changed alone and the state of rest found anew; turns of adjusters stay, so another spring is "
        "another setting.\nDry friction is left out: it may hold still what would swing.",
        style="italic",
        highlight=False,
    )


def _print_margin(console: Console, margin: Margin) -> None:
    console.print(f"[bold]{escape(margin.valve)}:[/] {escape(_verdict(margin))}", highlight=False)
    if margin.resting:
        console.print(f"  on a seat or stop, left out: {escape(', '.join(margin.resting))}", highlight=False)
    if not margin.influences:
        return
    columns = ["damping ratio", "is now", f"{MORE - 1:.0%} more gives"]
    searched = any(item.searched for item in margin.influences)
    table = new_table("What changes it", *columns, *([f"for {margin.target:g}"] if searched else []))
    for item in margin.influences[:MOST]:
        cells = [item.parameter, _size(item, 1.0), f"{item.slope * math.log(MORE):+.3f}"]
        row(table, *cells, *([_wanted(item)] if searched else []))
    put(console, table)


def _verdict(margin: Margin) -> str:
    mode = margin.mode
    if mode is None:
        return "nothing of it swings here"
    swing = f"at {mode.frequency:.0f} Hz, " if mode.frequency > 0 else ""
    state = f"damping ratio {mode.damping:.3f} {swing}led by {', '.join(mode.who)}"
    if mode.damping < 0:
        return f"{state}: NOT STEADY, it would chatter"
    return f"{state}: {'at or above' if margin.reached else 'BELOW'} the {margin.target:g} asked for"


def _size(item: Influence, factor: float) -> str:
    # Metric, as the insides of valves are written in the files: 12 g would be 0.03 lb.
    return quantity.show(item.value * factor, item.kind, "metric")


def _wanted(item: Influence) -> str:
    if not item.searched:
        return ""
    if item.factor is None:
        return "out of reach"
    return f"x {item.factor:.2f} = {_size(item, item.factor)}"
