"""The verb of the test stand: a readings file filled in on a page, at this computer or on a phone in the shop."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from oilway.cli_options import Browser, Port
from oilway.errors import InputError, Place, Problem


def add_to(app: typer.Typer) -> None:
    """Put the verb of this module on the command line."""
    app.command("stand")(stand)


def stand(
    readings: Annotated[
        Path, typer.Argument(help="A readings file; one that is not there yet is begun.", metavar="READINGS")
    ],
    word: Annotated[
        str | None, typer.Option(help="Let a phone in the room in that knows this door word.", metavar="WORD")
    ] = None,
    log: Annotated[
        Path | None,
        typer.Option(help="The bench log that the sheet can be kept in, begun if need be.", metavar="BENCH.DB"),
    ] = None,
    port: Port = None,
    browser: Browser = True,
) -> None:
    """Fill in a readings file at the test stand, one reading at a time, checked as it is typed; Ctrl-C ends it.

    Each reading is written into the file at once. The page shows the figures with their uncertainty as they come,
    and the verdict of 'oilway prove'.

    Example: oilway stand relief.yaml --word gravel --log bench.db
    """
    from oilway.page.classroom import Classroom
    from oilway.page.serving import EVERYWHERE, HERE, listen, own_number, serve_all
    from oilway.page.stand import Stand
    from oilway.page.stand_routes import stand_app

    if word is not None and not word.strip():
        raise InputError(
            Problem(Place("--word"), "the door word is empty", "say one that can be typed on a phone")
        )
    if readings.suffix.lower() not in (".yaml", ".yml"):
        raise InputError(Problem(Place(readings.name), "a readings file ends in .yaml"))
    filled = Stand(readings, log)
    served = [(stand_app(filled), listen(port))]
    address = f"http://{HERE}:{served[0][1].getsockname()[1]}/"
    sys.stdout.write(f"{readings.name}: {address}   (Ctrl-C ends it)\n")
    if word is not None:
        room = listen(None, EVERYWHERE)
        served.append((stand_app(filled, Classroom(word, "", b"")), room))
        door = f"http://{own_number()}:{room.getsockname()[1]}/"
        sys.stdout.write(f"on a phone in this network: {door} with the door word '{word}'\n")
    sys.stdout.flush()
    serve_all(served, address if browser else "")
