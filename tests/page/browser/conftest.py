"""The browser of the system, the hoist served for all, and a page opened for each test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, sync_playwright
from tests.page.browser.opened import ARGUMENTS, BROWSER, HOIST, SIZES, Opened, served

from oilway.page.session import Session


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests."""
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=BROWSER, args=ARGUMENTS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def hoist() -> Iterator[tuple[Session, str]]:
    """The hoist, served for all tests that leave its file alone."""
    session = Session(str(HOIST))
    with served(session) as address:
        yield session, address


@pytest.fixture
def serve() -> Iterator[Callable[[Session], tuple[Session, str]]]:
    """``serve(session)``: another file, served for one test."""
    with ExitStack() as running:
        yield lambda session: (session, running.enter_context(served(session)))


@pytest.fixture
def opened(browser: Browser, serve: object) -> Iterator[Callable[..., Opened]]:
    """``opened((session, address), size)``: a fresh page, which may not complain nor ask other computers.

    It is closed before its server is (``serve``).
    """
    pages: list[Opened] = []

    def build(where: tuple[Session, str], size: str = "projector", **options: Any) -> Opened:
        width, height = SIZES[size]
        context = browser.new_context(viewport={"width": width, "height": height}, **options)
        page = context.new_page()
        found = Opened(page, *where)
        pages.append(found)
        page.on("console", lambda said: found.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: found.complaints.append(str(error)))
        page.on("request", lambda request: found.asked.append(request.url))
        page.goto(found.address)
        found.settled()
        return found

    yield build
    for found in pages:
        found.page.context.close()
        assert not found.complaints
        assert all(url.startswith((found.address, "data:")) for url in found.asked)


@pytest.fixture
def own_hoist(tmp_path: Path) -> Path:
    """A copy of the hoist that a test may change."""
    path = tmp_path / "hoist.yaml"
    path.write_text(HOIST.read_text(encoding="utf-8"), encoding="utf-8")
    return path
