"""Verbs of the class: print worksheets and keys, mark answers."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_options import Units, UnitsOption, end
from oilway.cli_shop import Paper
from oilway.errors import InputError, Place, Problem


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command()(worksheet)
    app.command()(mark)
    app.command()(term)


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
    qti: Annotated[
        Path | None, typer.Option("--qti", help="Also all questions as an IMS QTI 2.1 package, a .zip.")
    ] = None,
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
    with counted("draw", len(roster.students), "students") as tick:
        drawn = draw_class(drawer, roster.students, tick)
    with counted("print", len(drawn.variants), "students") as tick:
        written = write_worksheets(drawn, output, paper.value, merged=merged, qti=qti, tick=tick)
    _tell(written)
    sys.stdout.write("difficulty\n" + "".join(f"  {line}\n" for line in difficulty_report(drawn)))
    left_out = [*(str(p) for p in roster.problems), *drawn.failed]
    if (kept := output / "answers.csv") not in written and kept.is_file():
        left_out.append(f"{kept}: answers stand in it, so it is left as it is (move it away for an empty one)")
    sys.stderr.write("".join(f"{line}\n" for line in left_out))
    end(bool(left_out))


def mark(
    answers: Annotated[
        Path,
        typer.Argument(
            help="The answers, a CSV: student_id, variant, item, answer, unit, marks.", metavar="ANSWERS"
        ),
    ],
    file: Annotated[Path, typer.Option("--worksheet", help="The worksheet file.")],
    students: RosterOption,
    output: Annotated[
        Path, typer.Option("-o", "--output", help="The folder of marks and feedback.", metavar="FOLDER")
    ],
    overrides: Annotated[
        Path | None, typer.Option(help="Marks set by the instructor, a CSV: student_id, item, marks, reason.")
    ] = None,
    practical: Annotated[
        Path | None, typer.Option(help="Practicals signed off, a CSV: student_id, step, done, value.")
    ] = None,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDFs.")] = Paper.letter,
    seed: Annotated[str, typer.Option(help="The seed the sheets were printed with.")] = "",
) -> None:
    """Mark the answers of a class: gradebook, a feedback page for each student, and a summary of the class.

    Units are read as written, errors are carried forward, and the misconception behind a wrong number is named.
    Marks for reasoning stand in the column 'marks' beside the answer.  What cannot be marked is told by its row,
    the rest goes on, and the status is 1.

    Example: oilway mark week3/answers.csv --worksheet week3.yaml --students roster.csv -o week3/marks
    """
    from oilway.mark_files import WRITTEN, summary, write_marks
    from oilway.progress import counted
    from oilway.study.mark_class import mark_class
    from oilway.study.roster import read_roster
    from oilway.study.worksheet import read_worksheet
    from oilway.study.worksheet_draw import Drawer

    for given in (answers, overrides, practical):
        if given is not None and given.resolve().parent == output.resolve() and given.name in WRITTEN:
            what = f"'{given.name}' is written there too, and yours would be lost"
            raise InputError(Problem(Place("--output"), what, f"another folder: -o {output / 'marks'}"))
    roster, sheet = read_roster(students), read_worksheet(file)
    with counted("mark", len(roster.students), "students") as tick:
        marked = mark_class(lambda units: Drawer(sheet, units, seed), roster, answers, overrides, practical, tick)
    with counted("print", len(marked.sheets), "students") as tick:
        written = write_marks(marked, output, paper.value, tick)
    sys.stdout.write(summary(marked))
    _tell(written)
    sys.stderr.write("".join(f"{problem}\n" for problem in marked.problems))
    end(bool(marked.problems))


def term(
    file: Annotated[Path, typer.Argument(help="A course file.", metavar="COURSE")],
    students: RosterOption,
    output: Annotated[Path, typer.Option("-o", "--output", help="The folder of the term.", metavar="FOLDER")],
    units: UnitsOption = Units.shop,
    paper: Annotated[Paper, typer.Option(help="Paper of the PDFs.")] = Paper.letter,
    seed: Annotated[str, typer.Option(help="Draw other numbers: any word, such as the term.")] = "",
    pages: Annotated[bool, typer.Option(help="Also each lesson as a page for the projector; slower.")] = True,
) -> None:
    """Print a whole term: for each lesson the instructor's sheet, worksheets, lab, hidden faults and page.

    Everything is solved from the files as they are now; the same files and seed give the same bytes.

    Example: oilway term examples/class/course.yaml --students examples/class/roster.csv -o term --seed 2027
    """
    from oilway.progress import counted
    from oilway.study.course import read_course
    from oilway.study.roster import read_roster
    from oilway.term_files import write_term

    course, roster = read_course(file), read_roster(students)
    with counted("term", len(course.plans), "lessons") as tick:
        written, failed = write_term(
            course, roster.students, output, units.value, paper.value, seed, pages=pages, tick=tick
        )
    _tell(written)
    left_out = [*(str(p) for p in roster.problems), *failed]
    sys.stderr.write("".join(f"{line}\n" for line in left_out))
    end(bool(left_out))


def _tell(written: list[Path]) -> None:
    """What was written, folder by folder."""
    folders: dict[Path, list[Path]] = {}
    for path in written:
        folders.setdefault(path.parent, []).append(path)
    for folder, paths in folders.items():
        names = ", ".join(p.name for p in paths) if len(paths) < 4 else f"{len(paths)} files"
        sys.stdout.write(f"written: {folder}: {names}\n")
