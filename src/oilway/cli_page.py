"""The verbs that show pictures: ``open`` serves the page, ``draw`` writes one picture to a file."""

from __future__ import annotations

import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from oilway.cli_options import Browser, Change, File, Port, Units, UnitsOption, pairs, point_at
from oilway.errors import InputError, Place, Problem

if TYPE_CHECKING:
    from oilway.page.classroom import Classroom
    from oilway.page.session import Session


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command("open")(open_page)
    app.command("draw")(draw)
    app.command("lesson")(lesson)


def open_page(
    file: File,
    port: Port = None,
    browser: Browser = True,
    compare: Annotated[
        list[str] | None,
        typer.Option(
            "--compare",
            help="A second side: a change 'part.key=text' of the same file (may be repeated), a shipped valve, or "
            "a file beside it.",
            metavar="CHANGE|FILE",
        ),
    ] = None,
    word: Annotated[
        str | None,
        typer.Option("--class", help="Open it to the room for who knows this door word.", metavar="WORD"),
    ] = None,
    sealed: Annotated[
        int | None,
        typer.Option(help="For class: hide a fault by this seed, and open the page that looks for it.", min=0),
    ] = None,
    change: Change = None,
) -> None:
    """Open a machine, a valve or a lesson as a page in the browser; Ctrl-C ends it.

    The page is served to this computer only and needs no network. It follows the file as you save it. With --class
    others in the room follow it on their own screens, and explore on their own; they change nothing here.

    Example: oilway open hoist.yaml --compare "main relief.valve=direct relief"
    """
    from oilway.page.sealed import sealed_game
    from oilway.page.serving import HERE, listen, serve
    from oilway.page.session import Session

    session = Session(file, pairs(change, "--change"), taught=word is not None)
    if compare:
        _second_side(session, compare)
    # Solved before anything is served: later it could not be shared out to two processes.
    game = None if sealed is None else sealed_game(session.side("a").machine, sealed)
    taken = listen(port)
    address = f"http://{HERE}:{taken.getsockname()[1]}/{'' if game is None else 'sealed'}"
    sys.stdout.write(f"{session.title}: {address}   (Ctrl-C ends it)\n")
    classroom = _room(session, word) if word is not None else None
    sys.stdout.flush()
    serve(session, taken, classroom, game=game, show=address if browser else "")


def _room(session: Session, word: str) -> tuple[Classroom, socket.socket]:
    """Open the room: make the tables that are sent to every student, and say how to come in."""
    import secrets

    from oilway.page.classroom import Classroom, packed
    from oilway.page.lesson_page import lesson_data, said_of
    from oilway.page.serving import EVERYWHERE, listen, own_number
    from oilway.progress import shown_progress

    if not word.strip() or session.lesson is None:
        raise InputError(Problem(Place("--class"), "the door word is empty", "say one that the class can type"))
    with shown_progress(1.0, what="class", unit="") as progress:
        data = lesson_data(session.lesson, progress)
    code = secrets.token_hex(4)
    classroom, taken = Classroom(word, code, packed(data)), listen(None, EVERYWHERE)
    door = f"http://{own_number()}:{taken.getsockname()[1]}/"
    sys.stdout.write(
        f"the class comes in at {door} with the door word '{word}' ({said_of(data)})\n"
        f"your desk, on a phone: {door}desk with the code {code}\n"
    )
    return classroom, taken


def _second_side(session: Session, compare: list[str]) -> None:
    files = [text for text in compare if "=" not in text]
    if len(files) > 1:
        raise InputError(Problem(Place("--compare"), f"one file stands beside another, not {len(files)}"))
    session.compare(pairs((text for text in compare if "=" in text), "--compare"), *files)


def draw(
    file: File,
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="Write to this .svg, .png or .pdf.", metavar="PATH")
    ] = None,
    picture: Annotated[
        str,
        typer.Option(
            help="Which picture, 'list' for their names; a machine's circuit or a valve's cutaway unless given.",
            metavar="NAME",
        ),
    ] = "",
    at: Annotated[
        str | None, typer.Option("--at", help="The operating point, 'load pressure=2100 psi'.", metavar="POINT")
    ] = None,
    hatched: Annotated[
        bool, typer.Option("--hatched", help="A hatch as well as colour, for a gray print.")
    ] = False,
    change: Change = None,
    units: UnitsOption = Units.shop,
) -> None:
    """Draw a valve's cutaway or a machine's circuit with the numbers of one operating point, to a file.

    Example: oilway draw "pilot relief" --at "load pressure=2000 psi" -o relief.pdf
    """
    from oilway import load
    from oilway.draw.chart_style import check_ending
    from oilway.draw.export_picture import save_picture
    from oilway.draw.paint import paint
    from oilway.draw.pictures import pick, pictures
    from oilway.solve.point import solve_point
    from oilway.study.scale import full_scale

    if output is not None:
        check_ending(output)
    machine = load(file, pairs(change, "--change"))
    drawn = pictures(machine)
    if picture == "list":
        sys.stdout.write("".join(f"{named.name}\n" for named in drawn))
        return
    if output is None:
        raise InputError(Problem(Place("draw"), "where to is not said", "add -o picture.pdf"))
    named = pick(drawn, picture)
    state = solve_point(machine, point_at(machine, at) if at else None)
    painted = paint(named.picture, state, full_scale(machine), units.value, hatched=hatched)
    save_picture(named.picture, painted, output)
    sys.stdout.write(f"written: {output}\n")
    if state.findings:
        sys.stderr.write("".join(f"{finding}\n" for finding in state.findings))
        raise typer.Exit(1)


def lesson(
    file: Annotated[
        str, typer.Argument(help="A lesson file, a machine or valve file, or a shipped valve.", metavar="FILE")
    ],
    output: Annotated[Path, typer.Option("-o", "--output", help="The page to write.", metavar="PATH")] = Path(
        "lesson.html"
    ),
    change: Change = None,
) -> None:
    """Write a lesson as one page that needs no network: the pictures, the questions, and states to explore.

    One or two sliders move through a table of solved states; how far it is off between them is told.

    Example: oilway lesson examples/lessons/two_reliefs.yaml -o lesson.html
    """
    from oilway.files import write_whole
    from oilway.page.lesson_page import lesson_data, lesson_html, said_of
    from oilway.progress import shown_progress
    from oilway.study.lesson import open_lesson

    told = open_lesson(file, pairs(change, "--change"))
    with shown_progress(1.0, what="lesson", unit="") as progress:
        data = lesson_data(told, progress)
    page = lesson_html(data)
    write_whole(output, page)
    sys.stdout.write(f"written: {output} ({len(page.encode()) / 1e6:.1f} MB), {said_of(data)}\n")
