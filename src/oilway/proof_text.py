"""A proof as text for the terminal: the verdict first, then what it rests on and what would prove the rest."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding

from oilway.quantity import Units, show
from oilway.study.conditions import State
from oilway.study.forms import HEADER
from oilway.study.proof import CONVENTION, Proof
from oilway.text import new_table, put, row

WORDS = {"accept": "ACCEPT", "reject": "REJECT", "not proven": "NOT PROVEN"}


def print_proof(console: Console, proof: Proof, units: Units) -> None:
    """The whole sheet as text."""
    readings = proof.readings
    console.rule(escape(f"{readings.title}: {readings.form.title}"), align="left")
    console.print(f"[bold]{WORDS[proof.verdict]}[/]  {escape(_judged_of(proof))}", highlight=False)
    for name, fact in readings.facts.items():
        console.print(f"{escape(name)}: {escape(fact)}", highlight=False)
    _print_verdicts(console, proof)
    _print_figures(console, proof, units)
    _print_conditions(console, proof)
    _print_instruments(console, proof)
    for found in proof.found:
        for flag in found.flags:
            word = "QUESTION" if flag.question else flag.sort
            console.print(f"[bold]{word}:[/] {escape(str(flag))}", highlight=False)
    for text in proof.assumed:
        console.print(f"note: {escape(text)}", highlight=False)
    for text in proof.advice:
        console.print(f"advice: {escape(text)}", highlight=False)
    console.print(escape(CONVENTION), style="italic", highlight=False)
    for caution in (HEADER, *readings.form.cautions):
        console.print(f"caution: {escape(caution)}", highlight=False)


def _judged_of(proof: Proof) -> str:
    source = f", limits from {proof.readings.source}" if proof.readings.source else ""
    return f"judged {proof.last.section.name}{source}"


def _print_verdicts(console: Console, proof: Proof) -> None:
    for item in proof.judged:
        console.print(f"[bold]{escape(item.name)}: {WORDS[item.verdict]}[/]", highlight=False)
        console.print(Padding(escape(item.reason), (0, 0, 0, 2)), highlight=False)
        for text in item.remedies:
            console.print(Padding(f"to prove it: {escape(text)}", (0, 0, 0, 2)), highlight=False)
    console.print()


def _print_figures(console: Console, proof: Proof, units: Units) -> None:
    for found in proof.found:
        table = new_table(f"Figures {found.section.name}", "figure", "value", "± U", "how it was read")
        table.columns[3].justify, table.columns[3].no_wrap = "left", False
        for figure in found.figures.values():
            value, doubt = (show(x, figure.kind, units) for x in (figure.value, figure.uncertainty))
            row(table, figure.name, value, doubt + (" and more" if figure.missing else ""), figure.how)
        if found.figures:
            put(console, table)


def _print_conditions(console: Console, proof: Proof) -> None:
    table = new_table("Conditions", "condition", "state", "found")
    for column in table.columns[1:]:
        column.justify, column.no_wrap = "left", False
    for item in proof.conditions:
        said = item.said if item.state is State.met else f"{item.said}. {item.remedy}"
        row(table, item.name, item.state.value.upper() if item.state is not State.met else "met", said)
    if proof.conditions:
        put(console, table)


def _print_instruments(console: Console, proof: Proof) -> None:
    table = new_table("Instruments", "reads", "id", "range and class", "calibrated")
    for column in table.columns[1:]:
        column.justify = "left"
    for name, item in proof.readings.instruments.items():
        row(table, name, item.ident or "-", item.words, item.calibrated or "-")
    if proof.readings.instruments:
        put(console, table)
