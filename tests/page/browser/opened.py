"""A real server on a free port, and the page of it in the browser of the system."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import uvicorn
from playwright.sync_api import Page

from oilway.page.sealed import Game
from oilway.page.server import app
from oilway.page.session import Session
from oilway.study.story import examples

BROWSER = "/usr/bin/chromium"
# No sandbox, for where tests run as root; nothing that a browser asks the net for itself.
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
SIZES = {"projector": (1920, 1080), "phone": (390, 844)}
VIEWS = ("picture", "curve", "two", "steps", "time")
HOIST = examples() / "tipping_hoist.yaml"


@contextmanager
def served(session: Session, game: Game | None = None) -> Iterator[str]:
    """The address of a running server; ``game``: a machine sealed already."""
    taken = socket.socket()
    taken.bind(("127.0.0.1", 0))
    application = app(session, game=game)

    class Server(uvicorn.Server):
        async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
            application.state.hang_up()  # the page keeps a line open for news
            await super().shutdown(sockets)

    server = Server(uvicorn.Config(application, log_level="error", timeout_graceful_shutdown=1))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{taken.getsockname()[1]}/"
    server.should_exit = True
    thread.join(10)
    taken.close()


@dataclass
class Opened:
    """A page with what it said and asked for."""

    page: Page
    session: Session
    address: str
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def settled(self) -> None:
        """Wait until the page has painted its newest answer."""
        self.page.wait_for_function(SETTLED)

    def change(self, values: dict[str, float]) -> None:
        """Set parameters (SI) and wait until they are painted."""
        self.page.evaluate("values => window.oilway.session.change(values)", values)
        self.settled()

    def key(self, *keys: str) -> None:
        """Press keys, one after the other."""
        for key in keys:
            self.page.keyboard.press(key)

    def view(self, name: str) -> None:
        """Go to a view by its name."""
        self.page.evaluate("name => window.oilway.go(name)", name)
        self.settled()


SETTLED = """() => {
  const { session, source } = window.oilway ?? {};
  return (session?.frame || session?.problem) && Object.values(source.frames ?? {}).every(each => !each.busy);
}"""
