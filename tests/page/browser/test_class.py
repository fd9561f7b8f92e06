"""A class in real browsers: in by the word, with the instructor or alone, and a desk that moves the projector."""

from __future__ import annotations

import asyncio
import socket
import threading
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page
from tests.page.browser.opened import SETTLED, SIZES

from oilway.page.classroom import Classroom, packed, room
from oilway.page.lesson_page import lesson_data
from oilway.page.server import app
from oilway.page.serving import _Server, listen
from oilway.page.session import Session
from oilway.study.story import examples

Addresses = tuple[str, str]


@pytest.fixture(scope="module")
def addresses() -> Iterator[Addresses]:
    """The instructor's page and the door, both served on this computer."""
    session = Session(str(examples() / "lessons" / "two_reliefs.yaml"), taught=True)
    assert session.lesson is not None
    classroom = Classroom("gravel", "c0de", packed(lesson_data(session.lesson)))
    sockets: list[socket.socket] = [listen(None), listen(None)]
    servers = [_Server(app(session, classroom)), _Server(room(classroom))]

    # Two threads with a loop each would not hear of each other: one loop serves both, as `oilway open` does.
    async def both() -> None:
        await asyncio.gather(*(s.serve(sockets=[w]) for s, w in zip(servers, sockets, strict=True)))

    thread = threading.Thread(target=lambda: asyncio.run(both()), daemon=True)
    thread.start()
    while not all(server.started for server in servers):
        time.sleep(0.02)
    page, door = (f"http://127.0.0.1:{taken.getsockname()[1]}/" for taken in sockets)
    yield page, door
    for server in servers:
        server.should_exit = True
    thread.join(10)
    for taken in sockets:
        taken.close()


def opened(browser: Browser, size: str = "phone") -> Page:
    width, height = SIZES[size]
    return browser.new_context(viewport={"width": width, "height": height}).new_page()


def come_in(page: Page, address: str, word: str) -> None:
    page.goto(address)
    page.get_by_role("textbox").fill(word)
    page.keyboard.press("Enter")


def test_a_class_follows_goes_alone_and_comes_back(browser: Browser, addresses: Addresses) -> None:
    here, door = addresses
    instructor, student, desk = opened(browser, "projector"), opened(browser), opened(browser)
    instructor.goto(here)
    instructor.wait_for_function(SETTLED)
    come_in(student, door, "Gravel")
    student.wait_for_function("() => window.oilway?.follower?.at?.frame")
    come_in(desk, door + "desk", "c0de")
    desk.get_by_role("button", name="Show the answer").click()  # from the picture: to the first question
    student.wait_for_function("() => oilway.view === 'steps' && !oilway.steps.revealed")
    desk.get_by_role("button", name="Show the answer").click()
    student.wait_for_function("() => oilway.steps.revealed && oilway.session.scene.variant === 'two-stage'")
    inlet = "[...oilway.session.values].find(([name]) => name === 'pressure:pump line')[1]"
    assert student.evaluate(inlet) == pytest.approx(instructor.evaluate(inlet))

    student.evaluate("oilway.follower._toggle()")
    before = student.evaluate("oilway.session.values.get('pressure:cap line')")
    desk.get_by_role("button", name="Next question").click()
    instructor.wait_for_function("() => oilway.steps.at === 1")
    student.evaluate("oilway.session.put({'box.load pressure': 5e6})")
    student.wait_for_function("before => oilway.session.values.get('pressure:cap line') !== before", arg=before)
    assert student.evaluate("oilway.steps.at") == 0

    student.evaluate("oilway.follower._toggle()")
    student.wait_for_function("() => oilway.steps.at === 1 && oilway.session.scene.variant === 'direct-acting'")
    for page in (instructor, student, desk):
        page.context.close()


def test_a_wrong_word_is_told_at_the_door(browser: Browser, addresses: Addresses) -> None:
    page = opened(browser)
    come_in(page, addresses[1], "sand")
    page.get_by_text("that is not the word").wait_for()
    page.context.close()
