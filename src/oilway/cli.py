"""The command line: thin verbs over the library.

Exit status: 0 done, 1 computed but a limit is broken, 2 bad input, 3 no solution.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from oilway import cli_class, cli_enter, cli_find, cli_many, cli_page, cli_set, cli_shop, cli_stand
from oilway.cli_options import (
    Change,
    File,
    Json,
    Output,
    Units,
    UnitsOption,
    amount,
    console_to,
    end,
    pairs,
    point_at,
    write_json,
    write_text,
)
from oilway.errors import OilwayError, did_you_mean
from oilway.files import write_whole

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Hydraulic pressure controls computed from their chambers, passages, springs and oil.",
)


@app.command()
def check(file: File, change: Change = None, as_json: Json = False, output: Output = None) -> None:
    """Read a file and say what is in it, what was defaulted or solved, what is missing or set too high.

    Of a machine also what acts when: each pressure control as it is set now, and the order as a load rises.

    Example: oilway check "direct relief"
    """
    from oilway import check as check_machine
    from oilway import load
    from oilway.staging_text import print_staging
    from oilway.study.export import checked_data
    from oilway.text import print_checked

    checked = check_machine(load(file, pairs(change, "--change")))
    if as_json:
        write_json(checked_data(checked), output)
    else:

        def draw(console: Any) -> None:
            print_checked(console, checked)
            if checked.staging is not None:
                print_staging(console, checked.staging)

        write_text(output, draw)
    end(bool(checked.findings))


@app.command()
def explain(
    file: File,
    at: Annotated[
        list[str] | None,
        typer.Option(
            "--at",
            help="An operating point, 'load pressure=2100 psi, lever=1, engine speed=800 rpm'; may be repeated.",
            metavar="POINT",
        ),
    ] = None,
    margin: Annotated[
        bool, typer.Option("--margin", help="Also how well each valve is damped and what would help most; slower.")
    ] = False,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Output = None,
) -> None:
    """Explain operating points: the regime in words, pressures, forces, flows, power, and whether it is steady.

    Of a machine with a cylinder or motor also what the operator feels: force, drift, stall, heat, cavitation.

    Words of a point: load pressure, load force, pump flow or engine speed, lever, stroke, oil temperature, turns,
    tank pressure, or any 'part.key' of the file. Without --at: a valve below cracking, just open and at full flow.

    Example: oilway explain "pilot relief" --at "load pressure=2000 psi" --at "oil temperature=40 F"
    """
    from oilway import check as check_machine
    from oilway import explain as explain_points
    from oilway import load
    from oilway.consequences_text import print_felt
    from oilway.margin_text import print_margins
    from oilway.study.export import explained_data, margins_data
    from oilway.study.margin import margins
    from oilway.text import print_explained

    machine = load(file, pairs(change, "--change"))
    check_machine(machine, stages=False)
    points = [point_at(machine, text) for text in at or []]
    explained = explain_points(machine, points)
    found = [(item.state, margins(item.state)) for item in explained] if margin else []
    if as_json:
        data = [explained_data(item, units.value) for item in explained]
        for told, (_, of_valves) in zip(data, found, strict=False):
            told["margins"] = margins_data(of_valves)
        write_json(data, output)
    else:

        def draw(console: Any) -> None:
            print_explained(console, explained, units.value, [print_felt])
            if margin:
                print_margins(console, found, units.value)

        write_text(output, draw)
    end(any(item.limits_broken for item in explained))


@app.command()
def curve(
    files: Annotated[
        list[str], typer.Argument(help="One or several valves (file or shipped name).", metavar="VALVE...")
    ],
    flow: Annotated[
        str | None, typer.Option(help="Full flow, instead of the one of the setting.", metavar="FLOW")
    ] = None,
    cracked_at: Annotated[
        str | None,
        typer.Option(help="Small flow that counts as cracked; 1 % of full flow unless given.", metavar="FLOW"),
    ] = None,
    at: Annotated[
        str | None,
        typer.Option("--at", help="Conditions, 'tank pressure=100 psi, oil temperature=40 F'.", metavar="POINT"),
    ] = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", help="All curves on one chart, .svg, .png or .pdf, or in a .csv.", metavar="PATH"
        ),
    ] = None,
) -> None:
    """Take pressure-flow curves, rising and falling.

    Cracking, full-flow and reseating pressure, override, hysteresis and gradient, side by side; of reducing valves
    the pressure held at no flow, the droop, and what becomes of oil that is pushed back.

    Example: oilway curve "direct relief" "pilot relief" -o curves.svg
    """
    from oilway import load, take_curve
    from oilway.curve_text import curve_table, print_reducing
    from oilway.draw.chart_style import check_ending
    from oilway.study.curve import Curve
    from oilway.study.export import curve_data, reducing_data
    from oilway.text import print_curves

    if output is not None and output.suffix.lower() != ".csv":
        check_ending(output)
    machines = [load(file, pairs(change, "--change")) for file in files]
    full, cracked = amount(flow, "flow"), amount(cracked_at, "flow")
    curves = [
        take_curve(m, flow=full, cracked_flow=cracked, point=point_at(m, at) if at else None) for m in machines
    ]
    if output is not None and output.suffix.lower() == ".csv":
        write_whole(output, curve_table(curves, units.value))
    elif output is not None:
        from oilway.draw.chart import save_curves

        save_curves(curves, output, units.value)
    if as_json:
        told = [
            curve_data(item, units.value) if isinstance(item, Curve) else reducing_data(item, units.value)
            for item in curves
        ]
        write_json(told, None)
        return
    if reliefs := [item for item in curves if isinstance(item, Curve)]:
        write_text(None, lambda console: print_curves(console, reliefs, units.value))
    if reducing := [item for item in curves if not isinstance(item, Curve)]:
        write_text(None, lambda console: print_reducing(console, reducing, units.value))
    if output is not None:
        sys.stdout.write(f"{'table' if output.suffix.lower() == '.csv' else 'chart'}: {output}\n")


@app.command()
def run(
    file: File,
    duration: Annotated[str, typer.Option("--for", help="How long the run takes, '3 s'.", metavar="TIME")],
    do: Annotated[
        list[str] | None,
        typer.Option(
            "--do",
            help="What changes when: '0.5 s over 0.2 s: lever=1, engine speed=2000 rpm'; may be repeated.",
            metavar="CHANGE",
        ),
    ] = None,
    at: Annotated[
        str | None, typer.Option("--at", help="The operating point it begins at rest from.", metavar="POINT")
    ] = None,
    step: Annotated[
        str | None, typer.Option(help="Output step; a thousandth of the run unless given.", metavar="TIME")
    ] = None,
    partial: Annotated[bool, typer.Option(help="Of a run that stalls, give what was reached.")] = False,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o",
            "--output",
            help="Write every series to a .csv or .parquet, or draw a chart: .svg, .png, .pdf.",
            metavar="PATH",
        ),
    ] = None,
) -> None:
    """Run a file in time: peaks, settling, chatter, seats, stops, broken limits, energy; every series, or a chart.

    Any word of an operating point can change on the way: lever, engine speed, load pressure, turns of the adjuster
    while running, or any 'part.key', such as a fault that sets in.

    Example: oilway run hoist.yaml --at "lever=0" --for "4 s" --do "0.5 s over 0.3 s: lever=1" -o hoist.csv
    """
    from oilway import load
    from oilway.progress import shown_progress
    from oilway.run_files import check_ending, write_run
    from oilway.run_text import print_run
    from oilway.study.export import run_data
    from oilway.study.run import read_change
    from oilway.study.run import run as run_machine

    if output is not None:
        check_ending(output)
    machine = load(file, pairs(change, "--change"))
    changes, seconds = [read_change(machine, text) for text in do or []], amount(duration, "time") or 0.0
    point = point_at(machine, at) if at else None
    with shown_progress(seconds) as progress:
        done = run_machine(
            machine,
            seconds,
            changes,
            point=point,
            step=amount(step, "time"),
            partial=partial,
            progress=progress,
        )
    if output is not None:
        said = {"change": "\n".join(change or []), "at": at or "", "for": duration, "do": "\n".join(do or [])}
        write_run(done, output, units.value, {word: text for word, text in said.items() if text})
    if as_json:
        write_json(run_data(done, units.value), None)
    else:
        write_text(None, lambda console: print_run(console, done, units.value))
        if output is not None:
            sys.stdout.write(f"written: {output}\n")
    end(done.over_rating or not done.course.complete)


@app.command()
def schema(output: Output = None) -> None:
    """Print the JSON Schema of Oilway's files, for editors that check while you type."""
    from oilway.model.schema import schema as build

    write_json(build(), output)


@app.command()
def demo(
    folder: Annotated[Path, typer.Option(help="Where the chart and the example files go.")] = Path("oilway-demo"),
) -> None:
    """Tell the story of the tipping-trailer hoist with both relief valves, and draw their curves."""
    from oilway.story_text import tell

    tell(console_to(None), folder, _called())


for verbs in (cli_page, cli_set, cli_shop, cli_stand, cli_class, cli_enter, cli_find, cli_many):
    verbs.add_to(app)


# -- helpers -----------------------------------------------------------------------------------------------
def _called() -> str:
    """How this program is called from here: its bare name where the shell finds it, else its path."""
    program = Path(sys.argv[0])
    if program.name == "__main__.py":
        return "python -m oilway"
    if shutil.which(program.name):
        return program.stem
    return str(program.relative_to(Path.cwd()) if program.is_relative_to(Path.cwd()) else program)


def main() -> None:
    """Run the command line; errors raised on purpose end with their status and no traceback."""
    verbs = [command.name or command.callback.__name__ for command in app.registered_commands if command.callback]
    if len(sys.argv) > 1 and not sys.argv[1].startswith("-") and sys.argv[1] not in verbs:
        hint = did_you_mean(sys.argv[1], verbs) or "verbs: " + ", ".join(verbs)
        sys.stderr.write(f"oilway: there is no verb '{sys.argv[1]}' ({hint})\n")
        raise SystemExit(2)
    try:
        app()
    except OilwayError as err:
        sys.stderr.write(f"{err}\n")
        raise SystemExit(err.exit_status) from None
