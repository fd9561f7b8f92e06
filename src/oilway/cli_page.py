"""The verbs that show pictures: ``open`` serves the page, ``draw`` writes one picture to a file."""

from __future__ import annotations

import contextlib
import socket
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from oilway.cli_options import Change, File, Units, UnitsOption, pairs, point_at
from oilway.errors import InputError, Place, Problem

if TYPE_CHECKING:
    from oilway.page.session import Session

HOST = "127.0.0.1"
PORT, TRIED = 8765, 20  # without --port, the first free one of so many


def add_to(app: typer.Typer) -> None:
    """Put the verbs of this module on the command line."""
    app.command("open")(open_page)
    app.command("draw")(draw)


def open_page(
    file: File,
    port: Annotated[
        int | None,
        typer.Option(
            help=f"Port on this computer; the first free one from {PORT} unless given.", min=1, max=65535
        ),
    ] = None,
    browser: Annotated[bool, typer.Option(help="Show the page in the browser at once.")] = True,
    compare: Annotated[
        list[str] | None,
        typer.Option(
            "--compare",
            help="A second side: a change 'part.key=text' of the same file (may be repeated), a shipped valve, or "
            "a file beside it.",
            metavar="CHANGE|FILE",
        ),
    ] = None,
    change: Change = None,
) -> None:
    """Open a machine or a valve as a page in the browser; Ctrl-C ends it.

    The page is served to this computer only and needs no network. It follows the file as you save it.

    Example: oilway open hoist.yaml --compare "main relief.valve=direct relief"
    """
    from oilway.page.session import Session

    session = Session(file, pairs(change, "--change"))
    if compare:
        _second_side(session, compare)
    taken = _listen(port)
    address = f"http://{HOST}:{taken.getsockname()[1]}/"
    sys.stdout.write(f"{session.side('a').machine.title}: {address}   (Ctrl-C ends it)\n")
    sys.stdout.flush()
    _serve(session, taken, address if browser else "")


def _second_side(session: Session, compare: list[str]) -> None:
    files = [text for text in compare if "=" not in text]
    if len(files) > 1:
        raise InputError(Problem(Place("--compare"), f"one file stands beside another, not {len(files)}"))
    session.compare(pairs((text for text in compare if "=" in text), "--compare"), *files)


def _listen(port: int | None) -> socket.socket:
    """A socket on this computer only.  Errors: :class:`InputError` where the port is taken."""
    for tried in [port] if port else range(PORT, PORT + TRIED):
        taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there it would let two programs share a port
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            taken.bind((HOST, tried))
            taken.listen()
        except OSError:
            taken.close()
            continue
        return taken
    what = f"port {port} cannot be had" if port else f"no port from {PORT} to {PORT + TRIED - 1} can be had"
    raise InputError(
        Problem(Place("--port"), f"{what}: another program uses it", "leave --port out, or give another")
    )


def _serve(session: Session, taken: socket.socket, show: str) -> None:
    import threading
    import webbrowser

    import uvicorn

    from oilway.page.server import app

    class Server(uvicorn.Server):
        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            served.state.hang_up()
            await super().shutdown(sockets)

    served = app(session)
    config = uvicorn.Config(served, log_level="warning", timeout_graceful_shutdown=2, lifespan="on")
    if show:
        threading.Thread(target=webbrowser.open, args=(show,), daemon=True).start()
    with taken, contextlib.suppress(KeyboardInterrupt):
        Server(config).run(sockets=[taken])


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
