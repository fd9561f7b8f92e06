"""A choice as text for the terminal: what to fit, and what goes wrong with the other kinds."""

from __future__ import annotations

from collections.abc import Mapping

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.study.choose import JOBS, Choice, Job, Option
from oilway.study.choose_data import drain_words, trouble_words
from oilway.study.sized import Sized
from oilway.text import AUTHORITY


def print_jobs(console: Console, jobs: Mapping[str, Job]) -> None:
    """The jobs, and what each wants to know."""
    console.print("[bold]Jobs[/] (--job), each with --flow and", highlight=False)
    for name, job in jobs.items():
        console.print(escape(f'  "{name}"'), highlight=False)
        console.print(escape(f"      --pressure: {job.pressure}"), highlight=False)
        if job.other:
            console.print(escape(f"      --other: {job.other}"), highlight=False)


def print_choice(console: Console, choice: Choice, units: Units) -> None:
    """The duty, the best option with its routing, then every option with its figures and troubles."""
    duty = choice.duty
    pressure, flow = quantity.show(duty.pressure, "pressure", units), quantity.show(duty.flow, "flow", units)
    console.rule(escape(f"{duty.job}: {pressure}, {flow}"), align="left")
    best = choice.best
    if best is None or best.valve is None:
        console.print(
            "[bold]Something goes wrong with every kind:[/] choose what you can live with", highlight=False
        )
    else:
        console.print(f"[bold]Fit: {escape(best.title)}[/]", highlight=False)
        for line in _routing(best, best.valve, flow, JOBS[duty.job].pilot, units):
            console.print(f"  - {escape(line)}", highlight=False)
    console.print("\n[bold]Computed, each made to this size, on its stand[/]", highlight=False)
    for option in choice.options:
        _print_option(console, option, units)
    console.print(AUTHORITY, style="italic", highlight=False)


def _routing(option: Option, valve: Sized, flow: str, pilot: str, units: Units) -> list[str]:
    low, high, full = (quantity.show(p, "pressure", units) for p in (valve.low, valve.high, valve.pressure))
    return [
        f"setting: {full} at {quantity.show(valve.flow, 'flow', units)}; a spring for about {low} to {high}",
        f"rated flow: {flow} or a little more; much larger is unsteady, smaller has more override",
        f"drain: {drain_words(option)}",
        f"pilot: {pilot}",
    ]


def _print_option(console: Console, option: Option, units: Units) -> None:
    word = "nothing against it" if not option.troubles else "against it:"
    console.print(f"[bold]{escape(option.title)}[/]: {word}", highlight=False)
    for trouble in option.troubles:
        console.print(f"    ! {escape(trouble_words(trouble, units))}", highlight=False)
    figures = [f"{m.name} {quantity.show(m.value, m.kind, units)}" for m in option.measures]
    if figures:
        console.print(f"    {escape('; '.join(figures))}", highlight=False)
