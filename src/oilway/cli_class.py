"""Verbs of the class: print worksheets and keys, mark answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_options import Units, UnitsOption, end
from oilway.cli_shop import Paper


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command()(worksheet)


RosterOption = Annotated[Path, typer.Option("--students", help="The roster, a CSV: student_id, name.")]


def worksheet(
    file: Annotated[Path, typer.Argument(help="A worksheet file.", metavar="FILE")],
    students: RosterOption,
    output: Annotated[
        Path,
        typer.Option("-o", "--output", help="A folder, one PDF a student; or one .pdf for all.", metavar="PATH"),
    ],
    units: UnitsOption = Units.shop,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDFs.")] = Paper.letter,
    merged: Annotated[bool, typer.Option("--merged", help="In a folder, too: one PDF for all.")] = False,
    seed: Annotated[str, typer.Option(help="Draw other numbers: any word, such as the term.")] = "",
) -> None:
    """Print a worksheet for each student of a roster, each with numbers of their own, and the keys beside them.

    Sheets and keys are separate files.  With them come answers.csv to be filled in for 'oilway mark' and
    bank.csv with every question and key.  The same files and seed give the same bytes.
    Ends with 1 where a student or a row was left out.

    Example: oilway worksheet examples/class/hoist_relief.yaml --students examples/class/roster.csv -o week3
    """
    from oilway.class_files import write_worksheets
    from oilway.progress import counted
    from oilway.study.roster import read_roster
    from oilway.study.worksheet import read_worksheet
    from oilway.study.worksheet_draw import Drawer, difficulty_report, draw_class

    roster = read_roster(students)
    drawer = Drawer(read_worksheet(file), units.value, seed)
    with counted("draw", len(roster.students)) as tick:
        drawn = draw_class(drawer, roster.students, tick)
    with counted("print", len(drawn.variants)) as tick:
        written = write_worksheets(drawn, output, paper.value, merged=merged, tick=tick)
    sys.stdout.write("".join(f"written: {path}\n" for path in written))
    sys.stdout.write("difficulty\n" + "".join(f"  {line}\n" for line in difficulty_report(drawn)))
    left_out = [*(str(p) for p in roster.problems), *drawn.failed]
    sys.stderr.write("".join(f"{line}\n" for line in left_out))
    end(bool(left_out))
