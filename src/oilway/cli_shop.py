"""Verbs of the shop: judge readings, keep the sheets."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_options import Json, Output, Units, UnitsOption, end, write_json, write_text

CHARTS = (".svg", ".png")


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command()(prove)
    app.command("log")(bench_log)


class Paper(StrEnum):
    """Paper of a printed sheet."""

    letter = "letter"
    a4 = "a4"


class LogAction(StrEnum):
    """What to do with a bench log."""

    list = "list"
    compare = "compare"
    export = "export"


def prove(
    readings: Annotated[Path, typer.Argument(help="A readings file.", metavar="READINGS")],
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            help="Write the test sheet: .pdf; its curve alone: .svg, .png; any other ending: as text.",
            metavar="PATH",
        ),
    ] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDF.")] = Paper.letter,
    log: Annotated[
        Path | None, typer.Option(help="Keep the sheet in this bench log, begun if need be.", metavar="BENCH.DB")
    ] = None,
) -> None:
    """Judge readings: figures with their uncertainty, conditions met or not; accept, reject or not proven.

    Ends with 0 only for accept. Typed rows, a CSV or a logger's file; limits are the maker's, entered in the file.

    Example: oilway prove examples/readings_hoist.yaml -o sheet.pdf --log bench.db
    """
    from oilway.proof_text import print_proof
    from oilway.study.figure import Verdict
    from oilway.study.proof import prove as prove_readings
    from oilway.study.proof_data import proof_data
    from oilway.study.readings import read_readings

    proof = prove_readings(read_readings(readings), units.value)
    suffix = output.suffix.lower() if output is not None else ""
    if output is not None and suffix == ".pdf":
        from oilway.sheets.proof_sheet import save_sheet

        save_sheet(proof, output, units.value, paper.value)
    elif output is not None and suffix in CHARTS:
        from oilway.draw.proof_chart import save_proof

        save_proof(proof, output, units.value)
    drawn = suffix == ".pdf" or suffix in CHARTS
    if as_json:
        write_json(proof_data(proof, units.value), None if drawn else output)
    else:
        write_text(None if drawn else output, lambda console: print_proof(console, proof, units.value))
    told = [f"written: {output}"] if drawn else []
    if log is not None:
        from oilway.log import BenchLog

        with BenchLog(log, create=True) as bench:
            number, new = bench.store(proof)
        told.append(f"{log}: sheet {number}" + ("" if new else ", stored before"))
    if told and not as_json:
        sys.stdout.write("\n".join(told) + "\n")
    end(proof.verdict is not Verdict.accept)


def bench_log(
    action: Annotated[LogAction, typer.Argument(help="list, compare or export.", metavar="ACTION")],
    file: Annotated[Path, typer.Argument(help="The bench log.", metavar="BENCH.DB")],
    machine: Annotated[str, typer.Option(help="Only this machine.")] = "",
    valve: Annotated[str, typer.Option(help="Only this valve.")] = "",
    figure: Annotated[str, typer.Option(help="compare: only this figure, 'full-flow pressure'.")] = "",
    section: Annotated[str, typer.Option(help="compare: 'as found' or 'as left'.")] = "as found",
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Output = None,
) -> None:
    """Look into a bench log: list its sheets, compare figures as found over time, export everything as CSV.

    Example: oilway log compare bench.db --valve "main relief" --figure "full-flow pressure"
    """
    from dataclasses import asdict

    from oilway.files import write_whole
    from oilway.log import BenchLog
    from oilway.log_text import print_history, print_sheets

    with BenchLog(file) as bench:
        if action is LogAction.export:
            text = bench.export(units.value, machine, valve)
        elif action is LogAction.list:
            sheets = bench.sheets(machine, valve)
        else:
            entries = bench.entries(machine, valve, figure, section)
    if action is LogAction.export:
        if output is None:
            sys.stdout.write(text)
        else:
            write_whole(output, text)
    elif as_json:
        write_json([asdict(item) for item in (sheets if action is LogAction.list else entries)], output)
    elif action is LogAction.list:
        write_text(output, lambda console: print_sheets(console, sheets))
    else:
        write_text(output, lambda console: print_history(console, entries, units.value))
