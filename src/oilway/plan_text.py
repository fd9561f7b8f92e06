"""A setting plan as text for the terminal."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.study.plan import Plan, Step
from oilway.study.plan_words import (
    ONCE,
    below_words,
    cautions,
    instructions,
    preparation,
    reason,
    wrong_words,
)


def print_plan(console: Console, plan: Plan, units: Units) -> None:
    """Print the whole plan: preparation, every step in its order, notes and broken limits."""
    console.rule(escape(f"Setting plan: {plan.machine.title}"), align="left")
    console.print(escape(ONCE), style="italic", highlight=False)
    console.print("\n[bold]Before the first step[/]", highlight=False)
    _lines(console, preparation(plan, units))
    for number, step in enumerate(plan.steps, 1):
        _print_step(console, plan, number, step, units)
    for note in plan.notes:
        console.print(f"note: {escape(note)}", highlight=False)
    for finding in plan.findings:
        console.print(f"[bold]LIMIT:[/] {escape(finding)}", highlight=False)


def _print_step(console: Console, plan: Plan, number: int, step: Step, units: Units) -> None:
    place = "on the bench" if step.on_bench else "in the machine"
    control = step.control
    full = quantity.show(control.full, "pressure", units)
    at = "" if control.flow is None else f" at {quantity.show(control.flow, 'flow', units)}"
    title = f"{number}. {control.name} ({control.acts_as or 'not said'}), {place}: {full}{at}"
    console.print(f"\n[bold]{escape(title)}[/]", highlight=False)
    console.print(escape(f"Why here: {reason(step, units)}"), highlight=False)
    for caution in cautions(step, units):
        console.print(f"[bold]CAUTION:[/] {escape(caution)}", highlight=False)
    _lines(console, instructions(plan, step, units))
    if step.wrong or step.below:
        console.print("Set wrongly (solved, then read in the right way):", highlight=False)
        _lines(console, [wrong_words(plan, item, units) for item in step.wrong])
        _lines(console, [below_words(item, units) for item in step.below])


def _lines(console: Console, lines: list[str]) -> None:
    for line in lines:
        console.print(f"  - {escape(line)}", highlight=False)
