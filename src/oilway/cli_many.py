"""Verbs that solve a machine many times over: spread, size."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from oilway.cli_options import (
    Change,
    File,
    Json,
    Units,
    UnitsOption,
    amount,
    end,
    pairs,
    point_at,
    write_json,
    write_text,
)

if TYPE_CHECKING:
    from oilway.study.spread_job import Solve


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
            help="An output, 'pressure:CHAMBER', 'reading:GAUGE', 'lift:PART', 'flow:PART' ....",
            metavar="CHANNEL",
        ),
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            help="A limit on an output, 'override=at most 60 psi'; may be repeated.", metavar="NAME=LIMIT"
        ),
    ] = None,
    set_anew: Annotated[
        bool,
        typer.Option("--set-anew", help="Set every valve again after the draw, to the setting of the file."),
    ] = False,
    duration: Annotated[
        str | None,
        typer.Option(
            "--for",
            help="Run every set in time instead, '2 s'; outputs are then 'peak pressure:CHAMBER', 'time to "
            "settle:CHAMBER', 'top speed:CYLINDER', 'end position:CYLINDER' too.",
            metavar="TIME",
        ),
    ] = None,
    do: Annotated[
        list[str] | None,
        typer.Option(
            "--do", help="What changes when in that run: '0.5 s: lever=1'; may be repeated.", metavar="CHANGE"
        ),
    ] = None,
    number: Annotated[int, typer.Option(help="How many sets of parts are drawn.")] = 1000,
    seed: Annotated[int, typer.Option(help="Start of the draw: the same seed draws the same sets.")] = 1,
    at: At = None,
    change: Change = None,
    curves: Annotated[
        int, typer.Option(min=0, max=200, help="So many single curves are drawn into the band.")
    ] = 0,
    keep: Annotated[
        Path | None,
        typer.Option(
            help="Keep every 500 sets here as Parquet as soon as they are solved; the same command begun again "
            "solves only the rest.",
            metavar="FOLDER",
        ),
    ] = None,
    dask: Annotated[
        str | None,
        typer.Option(
            help="Solve on the workers of this Dask scheduler, 'tcp://HOST:8786'; 'local': on the cores of this "
            "computer.",
            metavar="ADDRESS",
        ),
    ] = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Charted = None,
) -> None:
    """Say how far two sound ones may differ: many sets of parts within their tolerances, and which part matters.

    A relief valve is taken over its curve on its stand, a machine at its operating point, or in time with --for.
    Tolerances of springs, orifices, clearances and friction are common practice unless you declare them. Adjusters
    keep their turns unless you say --set-anew. Ends with 1 where a set lies outside a limit entered.

    Example: oilway spread "pilot relief" --tolerance "main orifice.diameter=3 %" --limit "override=at most 60 psi"
    """
    from oilway import load
    from oilway.draw.spread_chart import save_spread
    from oilway.progress import shown_progress
    from oilway.spread_text import print_spread, spread_data, spread_table
    from oilway.study.run import read_change
    from oilway.study.spread import spread

    answer = _Answer(output, as_json)
    said = {
        "file": file, "tolerance": tolerance, "of": of, "set anew": set_anew, "for": duration, "do": do,
        "number": number, "seed": seed, "at": at, "change": change,
    }  # fmt: skip
    machine = load(file, pairs(change, "--change"))
    with _over(keep, dask, said) as over, shown_progress(number, what="sets", unit="solved") as progress:
        told = spread(
            machine,
            pairs(tolerance, "--tolerance"),
            limits=pairs(limit, "--limit"),
            channels=of,
            point=point_at(machine, at) if at else None,
            duration=amount(duration, "time"),
            changes=[read_change(machine, text) for text in do or []],
            anew=set_anew,
            number=number,
            seed=seed,
            over=over,
            progress=progress,
        )
    answer.give(
        lambda: spread_table(told, units.value),
        lambda path: save_spread(told, path, units.value, curves),
        lambda: spread_data(told, units.value),
        lambda console: print_spread(console, told, units.value),
    )
    end(any(o.accepted is not None and o.accepted < 1 for o in told.outputs))


@contextmanager
def _over(keep: Path | None, dask: str | None, said: dict[str, Any]) -> Iterator[Solve]:
    """What solves blocks: this process or a cluster, and a folder where they are kept."""
    from oilway.study.spread_job import one_after_another

    with ExitStack() as stack:
        over: Solve = one_after_another
        if dask is not None:
            from oilway.block_dask import on_dask

            over = stack.enter_context(on_dask(dask))
        if keep is not None:
            from oilway.block_files import kept_in

            over = kept_in(keep, {word: _plain(value) for word, value in said.items() if value}, over)
        yield over


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
            help="What is wanted: 'override<=60 psi', 'no chatter', 'damping ratio>=0.1', 'highest setting>=3000 "
            "psi', 'flow:pilot seat<=0.3 gpm'; of a machine also 'reading:GAUGE<=...', 'speed:CYLINDER>=...', "
            "'override of VALVE<=...'; may be repeated.",
            metavar="FIGURE<=AMOUNT",
        ),
    ] = None,
    rated: Annotated[
        str | None, typer.Option(help="Rated pressure of a valve alone on the stand.", metavar="PRESSURE")
    ] = None,
    at: At = None,
    change: Change = None,
    units: UnitsOption = Units.shop,
    as_json: Json = False,
    output: Charted = None,
) -> None:
    """Choose parts of a valve or machine for targets: every combination is set anew, solved and judged.

    Free parts and targets may stand in the file under 'size'. Nothing is set without a rated pressure, nor above
    the lowest. Drawn as pass and fail over the two parts that matter most. Where no combination satisfies, the
    target that stands in the way is named, and the answer ends with 1.

    Example: oilway size "pilot relief" --rated "3200 psi" --free "main orifice.diameter=0.4..1.2 mm in drills"
    --free "main spring.rate=4..12 N/mm" --target "override<=60 psi" --target "no chatter"
    """
    from oilway import load
    from oilway.draw.size_chart import save_sizing
    from oilway.size_text import print_sizing, sizing_data, sizing_table
    from oilway.study.size import size

    answer = _Answer(output, as_json)
    machine = load(file, pairs(change, "--change"))
    found = size(
        machine,
        pairs(free, "--free"),
        target or [],
        rated=amount(rated, "pressure"),
        point=point_at(machine, at) if at else None,
    )
    answer.give(
        lambda: sizing_table(found, units.value),
        lambda path: save_sizing(found, path, units.value),
        lambda: sizing_data(found, units.value),
        lambda console: print_sizing(console, found, units.value),
    )
    end(found.best is None)


def _plain(value: Any) -> str:
    return "\n".join(value) if isinstance(value, list) else str(value)


class _Answer:
    """How both verbs answer: a chart or table to a file, and words or data to the terminal.

    A path of an ending that cannot be written is refused before anything is solved.
    """

    def __init__(self, output: Path | None, as_json: bool) -> None:
        from oilway.draw.chart_style import check_ending

        self.output, self.as_json = output, as_json
        self.is_table = output is not None and output.suffix.lower() == ".csv"
        if output is not None and not self.is_table:
            check_ending(output)

    def give(
        self,
        table: Callable[[], str],
        chart: Callable[[Path], None],
        data: Callable[[], Any],
        words: Callable[[Any], None],
    ) -> None:
        """Write what was asked for."""
        from oilway.files import write_whole

        if self.output is not None and self.is_table:
            write_whole(self.output, table())
        elif self.output is not None:
            chart(self.output)
        if self.as_json:
            write_json(data(), None)
        else:
            write_text(None, words)
        if self.output is not None:
            sys.stderr.write(f"written: {self.output}\n")
