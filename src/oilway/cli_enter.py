"""The verb that takes a stack of paper: answers typed in on a page, with the verdict of marking beside each."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_class import RosterOption
from oilway.cli_options import Browser, Port, Units, UnitsOption
from oilway.errors import InputError, Place, Problem


def add_to(app: typer.Typer) -> None:
    """Put the verb of this module on the command line."""
    app.command("enter")(enter)


def enter(
    answers: Annotated[
        Path,
        typer.Argument(help="The answers, a CSV as 'worksheet' writes it; begun if need be.", metavar="ANSWERS"),
    ],
    file: Annotated[Path, typer.Option("--worksheet", help="The worksheet file.")],
    students: RosterOption,
    overrides: Annotated[
        Path | None, typer.Option(help="Marks you set yourself, a CSV; overrides.csv beside ANSWERS unless given.")
    ] = None,
    practical: Annotated[
        Path | None, typer.Option(help="Practicals you sign, a CSV; practical.csv beside ANSWERS unless given.")
    ] = None,
    units: UnitsOption = Units.shop,
    seed: Annotated[str, typer.Option(help="The seed the sheets were printed with.")] = "",
    port: Port = None,
    browser: Browser = True,
) -> None:
    """Type in the answers of a class from paper, with the keyboard alone; Ctrl-C ends it.

    Each answer is in its file at once, with what it is worth beside it, and so are marks for reasoning, marks you
    set yourself with their reason, and the practical. Where all is in, 'oilway mark' makes the gradebook.

    Example: oilway enter week3/answers.csv --worksheet week3.yaml --students roster.csv
    """
    from oilway.page.enter import Enter
    from oilway.page.enter_keys import Keys
    from oilway.page.enter_routes import enter_app
    from oilway.page.serving import HERE, listen, serve_all
    from oilway.study.mark_class import quantity_units
    from oilway.study.roster import read_roster
    from oilway.study.worksheet import read_worksheet
    from oilway.study.worksheet_draw import Drawer

    for path in (answers, overrides, practical):
        if path is not None and path.suffix.lower() != ".csv":
            raise InputError(Problem(Place(path.name), "a file of answers ends in .csv"))
    if not answers.parent.is_dir():
        raise InputError(Problem(Place(str(answers.parent)), "there is no such folder", "make it first"))
    roster, sheet = read_roster(students), read_worksheet(file)
    keys = Keys({each: Drawer(sheet, each, seed) for each in quantity_units()}, units.value)
    taken = Enter(
        keys,
        roster,
        answers,
        overrides or answers.with_name("overrides.csv"),
        practical or answers.with_name("practical.csv"),
        ("--worksheet", str(file), "--students", str(students), *(("--seed", seed) if seed else ())),
    )
    listening = listen(port)
    address = f"http://{HERE}:{listening.getsockname()[1]}/"
    sys.stderr.write("".join(f"{problem}\n" for problem in roster.problems))
    sys.stdout.write(f"{answers.name}: {address}   (Ctrl-C ends it)\n")
    sys.stdout.flush()
    serve_all([(enter_app(taken), listening)], address if browser else "")
