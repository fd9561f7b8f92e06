"""Verbs that solve a machine many times over: spread, size."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_options import (
    Change,
    File,
    Json,
    Units,
    UnitsOption,
    end,
    pairs,
    point_at,
    write_json,
    write_text,
)


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command("spread")(spread_of)
    app.command("size")(size_of)


Charted = Annotated[
    Path | None,
    typer.Option("-o", "--output", help="Write a chart (.svg, .png, .pdf) or a table (.csv).", metavar="PATH"),
]
At = Annotated[
    str | None, typer.Option("--at", help="The operating point, 'oil temperature=60 F'.", metavar="POINT")
]


def spread_of(
    file: File,
    tolerance: Annotated[
        list[str] | None,
        typer.Option(
            help="How far a part may differ either way, 'main spring.rate=10 %'; may be repeated.",
            metavar="PART.KEY=AMOUNT",
        ),
    ] = None,
    of: Annotated[
        list[str] | None,
        typer.Option(
            "--of",
            help="A further output, 'pressure:CHAMBER', 'lift:PART', 'flow:PART' ....",
            metavar="CHANNEL",
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            help="A limit on an output, 'override=at most 60 psi'; may be repeated.", metavar="NAME=LIMIT"
        ),
    ] = None,
    number: Annotated[int, typer.Option(help="How many sets of parts are drawn.")] = 1000,
    seed: Annotated[int, typer.Option(help="Start of the draw: the same seed draws the same sets.")] = 1,
    at: At = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Charted = None,
) -> None:
    """Say how far two sound ones may differ: many sets of parts within their tolerances, and which part matters.

    A relief valve is taken over its curve on its stand, a machine at its operating point. Tolerances of springs,
    orifices, clearances and friction are common practice unless you declare them. Adjusters keep their turns.
    Ends with 1 where a set lies outside a limit entered.

    Example: oilway spread "pilot relief" --tolerance "main orifice.diameter=3 %" --limit "override=at most 60 psi"
    """
    from oilway import load
    from oilway.draw.spread_chart import save_spread
    from oilway.files import write_whole
    from oilway.spread_text import print_spread, spread_data, spread_table
    from oilway.study.spread import spread

    if output is not None:
        _check_ending(output)
    machine = load(file, pairs(change, "--change"))
    told = spread(
        machine,
        pairs(tolerance, "--tolerance"),
        limits=pairs(limit, "--limit"),
        channels=of,
        point=point_at(machine, at) if at else None,
        number=number,
        seed=seed,
    )
    if output is not None and output.suffix.lower() == ".csv":
        write_whole(output, spread_table(told, units.value))
    elif output is not None:
        save_spread(told, output, units.value)
    if as_json:
        write_json(spread_data(told, units.value), None)
    else:
        write_text(None, lambda console: print_spread(console, told, units.value))
    if output is not None:
        sys.stderr.write(f"written: {output}\n")
    end(any(o.accepted is not None and o.accepted < 1 for o in told.outputs))


def size_of(
    file: File,
    free: Annotated[
        list[str] | None,
        typer.Option(
            help="What may be chosen: 'main orifice.diameter=0.4..1.2 mm', '... mm in drills' or 'in wires' for "
            "catalogued steps, or a list '0.5, 0.6, 0.8 mm'; may be repeated.",
            metavar="PART.KEY=RANGE",
        ),
    ] = None,
    target: Annotated[
        list[str] | None,
        typer.Option(
            help="What is wanted: 'override<=60 psi', 'damping ratio>=0.1', 'highest setting>=3000 psi', "
            "'flow:pilot seat<=0.3 gpm'; may be repeated.",
            metavar="FIGURE<=AMOUNT",
        ),
    ] = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Charted = None,
) -> None:
    """Choose parts of a relief valve for targets: every combination is set anew on the stand, solved and judged.

    Drawn as pass and fail over the two parts that matter most. Where no combination satisfies, the target that
    stands in the way is named, and the answer ends with 1.

    Example: oilway size "pilot relief" --free "main orifice.diameter=0.4..1.2 mm in drills"
    --target "override<=20 psi"
    """
    from oilway import load
    from oilway.draw.size_chart import save_sizing
    from oilway.files import write_whole
    from oilway.size_text import print_sizing, sizing_data, sizing_table
    from oilway.study.size import size

    if output is not None:
        _check_ending(output)
    found = size(load(file, pairs(change, "--change")), pairs(free, "--free"), target or [])
    if output is not None and output.suffix.lower() == ".csv":
        write_whole(output, sizing_table(found, units.value))
    elif output is not None:
        save_sizing(found, output, units.value)
    if as_json:
        write_json(sizing_data(found, units.value), None)
    else:
        write_text(None, lambda console: print_sizing(console, found, units.value))
    if output is not None:
        sys.stderr.write(f"written: {output}\n")
    end(found.best is None)


def _check_ending(path: Path) -> None:
    from oilway.draw.chart_style import check_ending

    if path.suffix.lower() != ".csv":
        check_ending(path)
