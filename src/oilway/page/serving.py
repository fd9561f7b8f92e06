"""Serve a session to this computer, and a class to the room, until Ctrl-C."""

from __future__ import annotations

import asyncio
import contextlib
import socket
import sys
import threading
import webbrowser

import uvicorn
from starlette.applications import Starlette

from oilway.errors import InputError, Place, Problem
from oilway.page.classroom import Classroom, room
from oilway.page.sealed import Game
from oilway.page.server import app
from oilway.page.session import Session

HERE, EVERYWHERE = "127.0.0.1", "0.0.0.0"
PORT, TRIED = 8765, 20  # without a port asked for, the first free one of so many
ELSEWHERE = ("192.0.2.1", 9)  # an address that no computer has (RFC 5737): nothing is sent, a way there is chosen


def listen(port: int | None, host: str = HERE) -> socket.socket:
    """A socket that listens.  Errors: :class:`InputError` where the port is taken."""
    for tried in [port] if port else range(PORT, PORT + TRIED):
        taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform != "win32":  # there it would let two programs share a port
            taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            taken.bind((host, tried))
            taken.listen()
        except OSError:
            taken.close()
            continue
        return taken
    what = f"port {port} cannot be had" if port else f"no port from {PORT} to {PORT + TRIED - 1} can be had"
    raise InputError(
        Problem(Place("--port"), f"{what}: another program uses it", "leave --port out, or give another")
    )


def own_number() -> str:
    """The address by which others in the room call this computer; its own where it is in no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way, contextlib.suppress(OSError):
        way.connect(ELSEWHERE)
        return str(way.getsockname()[0])
    return HERE


class _Server(uvicorn.Server):
    """A server that ends its open lines when it stops."""

    def __init__(self, served: Starlette) -> None:
        super().__init__(uvicorn.Config(served, log_level="warning", timeout_graceful_shutdown=2, lifespan="on"))
        self._hang_up = served.state.hang_up

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Hang up, then stop."""
        self._hang_up()
        await super().shutdown(sockets)


def serve(
    session: Session,
    taken: socket.socket,
    class_: tuple[Classroom, socket.socket] | None = None,
    *,
    game: Game | None = None,
    show: str = "",
) -> None:
    """Serve until Ctrl-C; ``show`` is the address to open in the browser, if any; ``game`` a sealed machine."""
    served = [(app(session, class_[0] if class_ else None, game), taken)]
    if class_:
        served.append((room(class_[0]), class_[1]))
    serve_all(served, show)


def serve_all(served: list[tuple[Starlette, socket.socket]], show: str = "") -> None:
    """Serve applications until Ctrl-C, each on its own socket; ``state.hang_up`` of each ends its open lines."""
    servers = [(_Server(each), where) for each, where in served]
    if show:
        threading.Thread(target=webbrowser.open, args=(show,), daemon=True).start()

    async def all_of_them() -> None:
        await asyncio.gather(*(server.serve(sockets=[where]) for server, where in servers))

    with contextlib.ExitStack() as open_ones, contextlib.suppress(KeyboardInterrupt):
        for _, where in servers:
            open_ones.enter_context(where)
        asyncio.run(all_of_them())
