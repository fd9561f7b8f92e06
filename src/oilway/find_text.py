"""A diagnosis as text: what is left, what is ruled out and by which reading, and which test is next."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from oilway import quantity
from oilway.quantity import Units
from oilway.study.diagnosis import Diagnosis
from oilway.study.dictionary import Bench
from oilway.study.find import Cause
from oilway.study.find_readings import Reading
from oilway.study.next_test import Proposal
from oilway.study.sealed import Sealed
from oilway.text import AUTHORITY, new_table, put, row

MOST_RULED_OUT = 12


def print_diagnosis(console: Console, told: Diagnosis, units: Units) -> None:
    """The whole answer: readings, causes left, suspects, ruled out, the next test, and what is not safe."""
    found, bench = told.found, told.found.bench
    console.rule(escape(f"Find: {bench.machine.title}"), align="left")
    for reading in found.readings:
        console.print(f"  {escape(reading_words(bench, reading, units))}", highlight=False)
    if not told.explained:
        console.print("[bold]None of these explains it.[/] No single fault, no wrong gauge and no pair of faults "
                      "fits; check the readings, and how the machine was run for each.")  # fmt: skip
    for name in found.suspects:
        chance = found.wrong[name]
        console.print(
            f"[bold]SUSPECT: {escape(name)}[/] is wrong with probability {chance:.0%}: it does not agree with the "
            "other readings. Swap it, and check its zero, before any part is touched.",
            highlight=False,
        )
    _print_causes(console, told)
    for group in found.ties:
        console.print(f"tied, no reading on offer tells them apart: {escape('; '.join(group))}", highlight=False)
    _print_ruled_out(console, told, units)
    _print_next(console, told, units)
    if found.unsolved:
        console.print("\nAt some set-ups these have no state of rest; they are not dropped:")
        for line in found.unsolved:
            console.print(f"  {escape(line)}", highlight=False)
    console.print(f"\n{AUTHORITY}", style="italic", highlight=False)


def reading_words(bench: Bench, reading: Reading, units: Units) -> str:
    """One reading in words, with its limit of error and how the machine was run."""
    offer = bench.panel.offers[reading.offer]
    shown = quantity.show(reading.value, offer.kind, units)
    limit = "" if offer.kind == "temperature" else f" ± {quantity.show(2 * reading.spread, offer.kind, units)}"
    return f"{offer.name} {shown}{limit}  @ {bench.setups[reading.setup].name}"


def _print_causes(console: Console, told: Diagnosis) -> None:
    console.print("\n[bold]What is left[/]")
    for cause in told.found.causes:
        bad = _how_bad(cause)
        console.print(f"  {cause.probability:4.0%}  {escape(cause.name)}" + (f"  ({escape(bad)})" if bad else ""),
                      highlight=False)  # fmt: skip
    for pair in told.pairs:
        both = ", ".join(f.said(s) for f, s in zip(pair.faults, pair.severities, strict=True))
        console.print(
            f"  two at once, {pair.weight:.0%} among pairs: {escape(pair.name)} ({escape(both)})", highlight=False
        )


def _how_bad(cause: Cause) -> str:
    if cause.fault is None:
        return ""
    return cause.fault.said(cause.severity) if cause.steady else "by no steady amount"


def _print_ruled_out(console: Console, told: Diagnosis, units: Units) -> None:
    bench = told.found.bench
    if not told.found.ruled_out:
        return
    console.print("\n[bold]Ruled out[/]")
    same: dict[str, list[str]] = {}
    for cause in told.found.ruled_out:
        same.setdefault(_because(bench, cause, units), []).append(cause.name)
    for why, names in list(same.items())[:MOST_RULED_OUT]:
        console.print(f"  {escape('; '.join(names))}: {escape(why)}", highlight=False)
    if len(same) > MOST_RULED_OUT:
        rest = [name for names in list(same.values())[MOST_RULED_OUT:] for name in names]
        console.print(f"  and {len(rest)} more, each further off: {escape('; '.join(rest))}", highlight=False)


def _because(bench: Bench, cause: Cause, units: Units) -> str:
    against = cause.against
    if against is None:
        return "the machine could not stand where it was read: dead-headed"
    offer = bench.panel.offers[against.reading.offer]
    if abs(against.off) < 2.0:
        return "no reading is far off by itself, but together they fit others far better"
    expected, shown = (quantity.show(v, offer.kind, units) for v in (against.expected, against.reading.value))
    where = bench.setups[against.reading.setup].name
    far = f"{abs(against.off):.0f} standard uncertainties off"
    return f"{offer.name} would be {expected}, reads {shown} @ {where}: {far}"


def _print_next(console: Console, told: Diagnosis, units: Units) -> None:
    bench = told.found.bench
    if told.proposals and not told.certain:
        for number, proposal in enumerate(told.proposals):
            _print_proposal(console, bench, proposal, units, first=number == 0)
    elif not told.proposals and len(told.found.causes) > 1:
        console.print("\nNo safe reading on offer would tell these apart.")
    for refused in told.refused:
        console.print(
            f"[bold]NOT SAFE:[/] {escape(bench.setups[refused.setup].name)}: while {escape(refused.cause)} "
            f"is not ruled out, {escape(refused.why)}",
            highlight=False,
        )


def _print_proposal(console: Console, bench: Bench, proposal: Proposal, units: Units, *, first: bool) -> None:
    setup, offer = bench.setups[proposal.setup], bench.panel.offers[proposal.offer]
    what = "Next test" if first else "or"
    console.print(
        f"\n[bold]{what}:[/] read {escape(offer.name)}  @ {escape(setup.name)}  "
        f"(about {proposal.minutes:.0f} min, worth {proposal.bits:.2f} bit)",
        highlight=False,
    )
    for name, mean, spread in proposal.would:
        shown = "no state of rest" if mean is None else (
            f"{quantity.show(mean, offer.kind, units)} ± {_width(2 * spread, offer.kind, units)}")  # fmt: skip
        console.print(f"    {shown}  if {escape(name)}", highlight=False)
    if first:
        for caution in dict.fromkeys((*setup.cautions, *offer.cautions)):
            console.print(f"  [bold]CAUTION:[/] {escape(caution)}", highlight=False)


def _width(spread: float, kind: str, units: Units) -> str:
    """A width: of a temperature in kelvin, for it is no temperature."""
    return f"{spread:.1f} K" if kind == "temperature" else quantity.show(spread, kind, units)


def print_offers(console: Console, bench: Bench) -> None:
    """What can be read at this machine, how it can be run, and which faults are known of it."""
    console.rule(escape(f"On offer: {bench.machine.title}"), align="left")
    table = new_table("Ways to run it (after '@')", "", "minutes")
    for setup in bench.setups:
        row(
            table,
            setup.name + (" (as in the file)" if setup.name == bench.default else ""),
            f"{setup.minutes:.0f}",
        )
    put(console, table)
    table = new_table("Readings", "", "minutes", "")
    for offer in bench.panel.offers:
        row(table, offer.name, f"{offer.minutes:.0f}", "fitted" if offer.fitted else "to be fitted")
    put(console, table)
    console.print("[bold]Faults[/]")
    for name in dict.fromkeys(fault.name for fault in bench.faults):
        console.print(f"  {escape(name)}", highlight=False)


def asked_words(bench: Bench, reading: Reading, cost: float, units: Units) -> str:
    """One reading of a sealed machine, and what it cost."""
    return f"{reading_words(bench, reading, units)}  ({cost:.0f} min)"


def print_sealed(console: Console, sealed: Sealed, told: list[str], guesses: list[str], right: list[bool]) -> None:
    """A script of asks and guesses, line by line, and the score."""
    for line in told:
        console.print(escape(line), highlight=False, soft_wrap=True)
    console.print(escape(verdict_words(sealed, guesses, right)), highlight=False, soft_wrap=True)


def verdict_words(sealed: Sealed, guesses: list[str], right: list[bool]) -> str:
    """What the guesses are worth; the cause itself only where it was found."""
    used = f"{len(sealed.asked)} readings, {sealed.minutes:.0f} min"
    wrong = [name for name, hit in zip(guesses, right, strict=True) if not hit]
    lines = [f"not it: {name}" for name in wrong]
    if any(right):
        lines.append(
            f"FOUND: {sealed.fault.name} ({sealed.fault.said(sealed.severity)}): {sealed.fault.kind.why}. "
            f"{used}; the tool's own way takes {sealed.par():.0f} min. Score {sealed.score(True)}"
        )
    else:
        lines.append(f"so far {used}; the cause is still sealed")
    return "\n".join(lines)
