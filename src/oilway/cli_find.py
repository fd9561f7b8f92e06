"""The verbs that reason backwards: find (readings to faults) and fit (readings to the inside of a valve)."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from oilway.cli_options import (
    Change,
    File,
    Json,
    Output,
    Units,
    UnitsOption,
    amount,
    end,
    pairs,
    write_json,
    write_text,
)
from oilway.errors import InputError, OilwayError, Place, Problem
from oilway.files import write_whole

if TYPE_CHECKING:
    from oilway.study.sealed import Sealed

HELP = "ask READING [@ SET-UP] | guess CAUSE | offers | causes | quit"


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command()(find)
    app.command()(fit)


def find(
    file: File,
    readings: Annotated[
        str | None,
        typer.Option(
            help="A file of readings, or 'pump gauge=2000 psi +- 40 psi @ SET-UP; ...'.", metavar="READINGS"
        ),
    ] = None,
    sealed: Annotated[
        int | None, typer.Option(help="For class: hide a fault by this seed and ask for it.", metavar="SEED")
    ] = None,
    ask: Annotated[
        list[str] | None,
        typer.Option("--ask", help="Of a sealed machine: a reading, 'pump gauge @ SET-UP'; may be repeated."),
    ] = None,
    guess: Annotated[
        list[str] | None, typer.Option("--guess", help="Of a sealed machine: the cause; may be repeated.")
    ] = None,
    offers: Annotated[
        bool, typer.Option("--offers", help="List set-ups, readings and faults of this machine.")
    ] = False,
    fresh: Annotated[bool, typer.Option("--fresh", help="Solve the fault dictionary anew.")] = False,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Output = None,
) -> None:
    """Find the fault: which causes a few readings leave, what is ruled out and why, and the next test.

    Every fault is a change of the model, solved at every set-up; the first run on a file takes a few seconds.

    Example: oilway find hoist.yaml --readings "pump gauge=300 psi @ lever valve +1, stalled"
    """
    from oilway import load
    from oilway.progress import shown_progress
    from oilway.study.keep import dictionary_of

    machine = load(file, pairs(change, "--change"))
    if sum((readings is not None, sealed is not None, offers)) != 1:
        hint = (
            "say what was read: --readings 'pump gauge=2000 psi'; what can be read: --offers; in class: --sealed 7"
        )
        raise InputError(Problem(Place("find"), "takes one of --readings, --sealed and --offers", hint))
    with shown_progress(1.0, what="fault dictionary", unit="") as progress:
        bench, dictionary, _ = dictionary_of(machine, keep=not fresh, progress=progress)
    if offers:
        _offers(bench, as_json, output)
    elif sealed is not None:
        from oilway.study.sealed import Sealed

        _play(Sealed(bench, dictionary, sealed), ask or [], guess or [], units.value, as_json, output)
    else:
        _find(bench, dictionary, readings or "", units.value, as_json, output)


def fit(
    readings: Annotated[
        Path,
        typer.Argument(help="A table of readings (.csv: Q, P, and V, D, T, temp, turns), or a readings file."),
    ],
    valve: Annotated[str, typer.Option(help="The valve file, or the name of a shipped valve.", metavar="VALVE")],
    wanted: Annotated[
        list[str] | None,
        typer.Option(
            "--for", help="An internal to recover, 'part.record'; may be repeated.", metavar="PART.RECORD"
        ),
    ] = None,
    noise: Annotated[
        str | None,
        typer.Option(
            help="One standard deviation of a reading, as a share of it; left out, that of the instruments of the "
            "readings file, else 1 %."
        ),
    ] = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Write your own valve: a .yaml file.", metavar="PATH")
    ] = None,
) -> None:
    """Recover the inside of your own valve from readings: values with 95 % intervals, and what cannot be told.

    Example: oilway fit bench.csv --valve "direct relief" -o my_relief.yaml
    """
    from oilway import load
    from oilway.fit_text import print_fit
    from oilway.study.find_data import fit_data
    from oilway.study.fit import fit as recover
    from oilway.study.fit import written
    from oilway.study.fit_rows import table_of

    machine = load(valve, pairs(change, "--change"))
    table, instruments = table_of(readings)
    result = recover(machine, table, wanted, amount(noise, "ratio"), instruments)
    if output is not None:
        write_whole(output, written(machine.path.read_text(encoding="utf-8"), result, machine.path.name))
    if as_json:
        write_json(fit_data(result), None)
    else:
        write_text(None, lambda console: print_fit(console, result, units.value))
        if output is not None:
            sys.stdout.write(f"written: {output}\n")
    end(not result.fits)


def _find(bench: Any, dictionary: Any, text: str, units: Any, as_json: bool, output: Path | None) -> None:
    from oilway.find_text import print_diagnosis
    from oilway.study.diagnosis import diagnose
    from oilway.study.find_data import diagnosis_data
    from oilway.study.find_readings import readings_from

    told = diagnose(bench, dictionary, readings_from(bench, text))
    if as_json:
        write_json(diagnosis_data(told, units), output)
    else:
        write_text(output, lambda console: print_diagnosis(console, told, units))
    end(not told.explained)


def _offers(bench: Any, as_json: bool, output: Path | None) -> None:
    from oilway.find_text import print_offers
    from oilway.study.find_data import offers_data

    if as_json:
        write_json(offers_data(bench), output)
    else:
        write_text(output, lambda console: print_offers(console, bench))


def _play(
    sealed: Sealed, asks: list[str], guesses: list[str], units: Any, as_json: bool, output: Path | None
) -> None:
    """A script of asks and guesses, or a conversation on standard input."""
    from oilway.find_text import asked_words, print_sealed
    from oilway.study.find_data import sealed_data

    if not asks and not guesses:
        _converse(sealed, units)
        return
    told: list[str] = []
    for text in asks:
        told.append(_ask(sealed, text, units, asked_words))
    right = [sealed.guess(name) for name in guesses]
    if as_json:
        write_json(sealed_data(sealed, told, guesses, right, units), output)
    else:
        write_text(output, lambda console: print_sealed(console, sealed, told, guesses, right))


def _ask(sealed: Sealed, text: str, units: Any, words: Any) -> str:
    try:
        reading, cost = sealed.ask(text)
    except InputError as err:
        if not err.problems[0].what.startswith("refused"):
            raise
        problem = err.problems[0]
        return f"REFUSED {problem.what.removeprefix('refused: ')}: {problem.hint}"
    return str(words(sealed.bench, reading, cost, units))


def _converse(sealed: Sealed, units: Any) -> None:
    """Lines of standard input, one command each."""
    from oilway.find_text import asked_words, verdict_words

    say = sys.stdout.write
    say(f"A sealed machine: {sealed.bench.machine.title}. Something is wrong with it.\n{HELP}\n")
    for line in sys.stdin:
        verb, _, rest = line.strip().partition(" ")
        try:
            if verb == "quit":
                break
            if verb == "offers":
                _offers(sealed.bench, as_json=False, output=None)
            elif verb == "causes":
                say("\n".join(dict.fromkeys(fault.name for fault in sealed.bench.faults)) + "\n")
            elif verb == "ask":
                say(f"{_ask(sealed, rest, units, asked_words)}\n")
            elif verb == "guess":
                right = sealed.guess(rest.strip())
                say(f"{verdict_words(sealed, [rest.strip()], [right])}\n")
                if right:
                    return
            elif verb:
                say(f"{HELP}\n")
        except OilwayError as err:
            say(f"{err}\n")
    say(f"{verdict_words(sealed, [], [])}\n")
