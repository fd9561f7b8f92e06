"""Verbs of the shop before and at the adjuster: set, inspect, choose."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

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


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command("set")(set_valves)
    app.command("inspect")(inspect_valve)
    app.command("choose")(choose_valve)


def set_valves(
    file: File,
    idle: Annotated[
        str | None,
        typer.Option(help="Idle speed of the engine; a third of rated speed unless given.", metavar="SPEED"),
    ] = None,
    cold: Annotated[str, typer.Option(help="What counts as cold oil.", metavar="TEMPERATURE")] = "60 F",
    back_pressure: Annotated[
        str, typer.Option(help="Tank-line pressure of the wrong setting that is shown.", metavar="PRESSURE")
    ] = "100 psi",
    rated: Annotated[
        str | None, typer.Option(help="Rated pressure of a valve alone on the stand.", metavar="PRESSURE")
    ] = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Print the plan: .pdf; any other ending: as text.", metavar="PATH"),
    ] = None,
    paper: Annotated[str, typer.Option(help="Paper of the PDF: letter or a4.")] = "letter",
) -> None:
    """Plan how to set the pressure controls: order and why, gauge, load, expected reading, turns a psi, cautions.

    And what each reads in the end when it was set wrongly: at cracking, at idle, cold, with back-pressure, coming
    down, or with a port relief below the main. Nothing is planned above a rating, or while a rating is missing.

    Example: oilway set examples/swing_drive.yaml -o plan.pdf
    """
    from oilway import load
    from oilway.plan_text import print_plan
    from oilway.sheets.plan_sheet import save_plan
    from oilway.study.plan import setting_plan
    from oilway.study.plan_data import plan_data
    from oilway.study.plan_wrong import usual_ways

    machine = load(file, pairs(change, "--change"))
    usual = usual_ways(
        machine, amount(idle, "rotation"), amount(cold, "temperature"), amount(back_pressure, "pressure")
    )
    plan = setting_plan(machine, usual, rated=amount(rated, "pressure"))
    printed = output is not None and output.suffix.lower() == ".pdf"
    if printed and output is not None:
        save_plan(plan, output, units.value, paper)
    if as_json:
        write_json(plan_data(plan, units.value), None if printed else output)
    elif printed:
        sys.stdout.write(f"plan: {output}\n")
    else:
        write_text(output, lambda console: print_plan(console, plan, units.value))
    end(bool(plan.findings))


def inspect_valve(
    file: File,
    found: Annotated[
        list[str] | None,
        typer.Option(
            "--found",
            help="What was measured, 'main orifice.gauge wire=0.60 mm to 0.65 mm'; may be repeated.",
            metavar="PART.KEY=TEXT",
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            "--limit",
            help="The maker's limit on a measured part or a figure, 'override=at most 300 psi'; may be repeated.",
            metavar="NAME=LIMIT",
        ),
    ] = None,
    findings: Annotated[
        Path | None, typer.Option(help="A file with 'found', 'limits' and their source.", metavar="PATH")
    ] = None,
    valve: Annotated[str, typer.Option(help="Which valve, of a machine with several.", metavar="NAME")] = "",
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Output = None,
) -> None:
    """Say what worn parts do to a valve: setting, override, leakage, at the turns it had and set anew.

    Beside any 'part.key' of the valve: of a spring 'free length' ("31.5 mm of 32 mm": found, new) and 'force'
    ("120 N at 24 mm"), of an orifice 'gauge wire' ("0.60 mm to 0.65 mm": goes, does not go), of a seat its
    'seat width'.
    Limits are the maker's and entered; without them nothing is judged. Ends with 1 where a limit says replace.

    Example: oilway inspect "direct relief" --found "main spring.rate=370 N/mm" --limit "override=at most 450 psi"
    """
    from oilway import load
    from oilway.inspect_text import print_inspection
    from oilway.study.found import from_words, read_findings
    from oilway.study.inspect import inspect
    from oilway.study.inspect_data import inspection_data

    texts, limits, source = ({}, {}, "") if findings is None else read_findings(findings)
    texts |= from_words(pairs(found, "--found"), "--found")
    limits |= from_words(pairs(limit, "--limit"), "--limit")
    machine = load(file, pairs(change, "--change"))
    told = inspect(machine, texts, limits, valve=valve)
    if as_json:
        write_json(inspection_data(told, source, units.value), output)
    else:
        write_text(output, lambda console: print_inspection(console, told, source, units.value))
    end(told.verdict == "replace")


def choose_valve(
    job: Annotated[str, typer.Option(help="The job; without it the jobs are listed.", metavar="JOB")] = "",
    pressure: Annotated[
        str, typer.Option(help="Pressure of the job, see the list.", metavar="PRESSURE")
    ] = "0 psi",
    flow: Annotated[str, typer.Option(help="Full flow through or over the valve.", metavar="FLOW")] = "0 gpm",
    other: Annotated[
        str | None, typer.Option(help="Second pressure of a job that has one, see the list.", metavar="PRESSURE")
    ] = None,
    drain: Annotated[
        str, typer.Option(help="Back-pressure in its return or drain line.", metavar="PRESSURE")
    ] = "0 psi",
    steady: Annotated[
        str | None,
        typer.Option(help="How far the pressure may wander from no flow to full flow.", metavar="PRESSURE"),
    ] = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Output = None,
) -> None:
    """Choose the kind of valve for a duty: setting, range, routing, and what goes wrong with the other kinds.

    Every figure is computed with the shipped valves, made to the size of the duty; no maker's catalogue is used.
    Ends with 1 where something goes wrong with every kind.

    Example: oilway choose --job "limit a pump line" --pressure "2500 psi" --flow "22 gpm" --steady "200 psi"
    """
    from oilway.choose_text import print_choice, print_jobs
    from oilway.study.choose import JOBS, Duty, choose
    from oilway.study.choose_data import choice_data

    if not job:
        write_text(output, lambda console: print_jobs(console, JOBS))
        return
    duty = Duty(
        job,
        amount(pressure, "pressure") or 0.0,
        amount(flow, "flow") or 0.0,
        amount(drain, "pressure") or 0.0,
        amount(other, "pressure"),
        amount(steady, "pressure"),
    )
    choice = choose(duty)
    if as_json:
        write_json(choice_data(choice, units.value), output)
    else:
        write_text(output, lambda console: print_choice(console, choice, units.value))
    end(choice.best is None)
