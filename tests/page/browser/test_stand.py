"""The stand in a browser: a relief is read on a phone with the keyboard alone, and nothing of it is lost."""

from __future__ import annotations

import re
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.page.browser.opened import SIZES
from tests.page.browser.test_access import GRAVE

from oilway.page.classroom import Classroom
from oilway.page.serving import _Server, listen
from oilway.page.stand import Stand
from oilway.page.stand_routes import stand_app
from oilway.study.proof import prove
from oilway.study.readings import read_readings
from oilway.study.story import examples

HOIST = examples() / "readings" / "hoist_relief.yaml"
At = Callable[..., Page]


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The hoist's readings, up to the middle of the way up as left."""
    text = HOIST.read_text(encoding="utf-8")
    path = tmp_path / "hoist.yaml"
    path.write_text(text[: text.index("    6        2270    7\n    9        2270    10\n    12       2280")])
    return path


@pytest.fixture
def at(browser: Browser, own: Path) -> Iterator[At]:
    """``at(size, door)``: the stand on a screen, which may not complain."""
    stand, complaints = Stand(own, own.with_name("bench.db")), []
    sockets = [listen(None), listen(None)]
    servers = [_Server(stand_app(stand)), _Server(stand_app(stand, Classroom("gravel", "", b"")))]
    threads = [
        threading.Thread(target=server.run, kwargs={"sockets": [where]}, daemon=True)
        for server, where in zip(servers, sockets, strict=True)
    ]
    for thread in threads:
        thread.start()
    while not all(server.started for server in servers):
        time.sleep(0.01)
    contexts = []

    def build(size: str = "phone", *, door: bool = False) -> Page:
        width, height = SIZES[size]
        contexts.append(
            browser.new_context(viewport={"width": width, "height": height}, has_touch=size == "phone")
        )
        page = contexts[-1].new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(f"http://127.0.0.1:{sockets[door].getsockname()[1]}/")
        if not door:
            page.wait_for_function("() => window.oilway?.state")
        return page

    yield build
    for context in contexts:
        context.close()
    for server, thread in zip(servers, threads, strict=True):
        server.should_exit = True
        thread.join(10)
    for each in sockets:
        each.close()
    assert not complaints


def give(page: Page, typed: str) -> None:
    """Type an answer, give it, and wait until it is written."""
    page.keyboard.type(typed)
    page.keyboard.press("Enter")
    page.evaluate("window.oilway.sending")


def asked(page: Page) -> str:
    """The name of the prompt that is shown."""
    found: str = page.evaluate("window.oilway.shown?.id ?? 'end'")
    return found


def wait_for(page: Page, name: str) -> None:
    """Wait until a prompt is shown."""
    page.wait_for_function("name => window.oilway?.shown?.id === name", arg=name)


def grave(page: Page) -> list[str]:
    found = [each for each in Axe().run(page).response["violations"] if each["impact"] in GRAVE]
    return [f"{each['id']}: {node['html'][:160]}" for each in found for node in each["nodes"]]


@pytest.mark.parametrize("size", SIZES)
def test_the_rest_of_a_sweep_is_read_with_the_keyboard_alone(at: At, own: Path, size: str) -> None:
    text = HOIST.read_text(encoding="utf-8")
    own.write_text(text[: text.rindex("    1        2260    5")], encoding="utf-8")
    page = at(size)
    expect(page.get_by_label("Q, flow")).to_be_focused()
    assert asked(page) == "as left/rows/17/Q"
    assert not grave(page)
    for _ in range(12):
        if not asked(page).startswith("as left/rows/") or page.evaluate("!window.oilway.prompt.needed"):
            break
        if asked(page).endswith("/Q"):
            near = re.search(r"near ([\d.]+)", page.locator("#hint").inner_text())
            assert near
            give(page, near[1])
        else:
            give(page, "2270" if asked(page).endswith("/P") else "10")
    page.locator("#group").select_option(label="Verdict")
    verdict = prove(read_readings(own)).verdict
    expect(page.locator("#card .verdict")).to_have_text(verdict.upper())
    for figure in prove(read_readings(own)).last.figures:
        expect(page.locator(f"#found [data-figure='{figure}']")).to_be_visible()
    assert not grave(page)
    assert page.evaluate("document.querySelector('main').scrollWidth <= innerWidth")
    page.get_by_role("button", name="Keep in the bench log").click()
    expect(page.locator("#stored")).to_have_text("bench.db: sheet 1")


def test_a_reading_is_checked_as_it_is_typed_and_nothing_is_written_yet(at: At, own: Path) -> None:
    page, before = at(), own.read_bytes()
    page.locator("#card input").fill("1")
    expect(page.locator("#odd")).to_contain_text("out of order?")
    page.locator("#card input").fill("12 psi")
    expect(page.locator("#wrong")).to_contain_text("a flow is wanted")
    page.locator("#card input").fill("12")
    expect(page.locator("#odd")).to_be_empty()
    expect(page.locator("#wrong")).to_be_empty()
    assert own.read_bytes() == before
    give(page, "")
    page.locator("#card input").fill("5000")
    expect(page.locator("#odd")).to_contain_text("outside its instrument's 0 to 4000 psi")
    expect(page.locator("#odd")).to_contain_text("nobody in line with them")


def test_who_types_on_while_a_reading_is_written_is_told_all_the_same(at: At, own: Path) -> None:
    page = at()
    page.route("**/api/stand/put*", lambda route: (time.sleep(1.0), route.continue_()))
    page.keyboard.type("6")
    page.keyboard.press("Enter")
    page.keyboard.type("22700")
    expect(page.locator("#odd")).to_contain_text("outside its instrument's 0 to 4000 psi")
    page.evaluate("window.oilway.sending")
    expect(page.locator("#card input")).to_have_value("22700")
    expect(page.locator("#odd")).to_contain_text("outside its instrument's 0 to 4000 psi")
    assert "    6        -       -" in own.read_text(encoding="utf-8")


def test_what_cannot_be_stays_to_be_mended(at: At, own: Path) -> None:
    page, before = at(), own.read_bytes()
    give(page, "1o")
    expect(page.locator("#wrong")).not_to_be_empty()
    assert asked(page) == "as left/rows/5/Q"
    expect(page.locator("#card input")).to_have_value("1o")
    assert own.read_bytes() == before


def test_back_forward_and_undo(at: At, own: Path) -> None:
    page, before = at(), own.read_bytes()
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    give(page, "6")
    give(page, "2275")
    page.get_by_role("button", name="Back").click()
    expect(page.locator("#card input")).to_have_value("2275")
    page.get_by_role("button", name="Next").click()
    assert asked(page) == "as left/rows/5/T"
    page.get_by_role("button", name="Undo").click()
    wait_for(page, "as left/rows/5/P")
    page.get_by_role("button", name="Undo").click()
    wait_for(page, "as left/rows/5/Q")
    assert own.read_bytes() == before


def test_a_reload_loses_nothing_not_even_half_a_number(at: At, own: Path) -> None:
    page = at()
    give(page, "6")
    page.keyboard.type("22")
    page.reload()
    expect(page.locator("#card input")).to_have_value("22")
    assert asked(page) == "as left/rows/5/P"
    assert "    6        -       -" in own.read_text(encoding="utf-8")


def test_without_the_network_a_reading_waits_at_the_phone(at: At, own: Path) -> None:
    page = at()
    page.context.set_offline(True)
    give(page, "6")
    expect(page.locator("#wrong")).to_contain_text("What you typed is kept here")
    expect(page.locator("#card input")).to_have_value("6")
    page.context.set_offline(False)
    page.keyboard.press("Enter")
    wait_for(page, "as left/rows/5/P")
    page.evaluate("window.oilway.sending")
    assert "    6        -       -" in own.read_text(encoding="utf-8")


def test_it_is_held_in_one_hand(at: At) -> None:
    """What is pressed all the time lies in the lower part, large enough for a thumb."""
    page = at()
    for name in ("Back", "Undo", "Next"):
        box = page.get_by_role("button", name=name).bounding_box()
        assert box is not None
        assert box["y"] > 0.85 * SIZES["phone"][1]
        assert min(box["width"], box["height"]) >= 44
    assert page.locator("#card input").get_attribute("inputmode") == "decimal"
    assert page.evaluate("document.querySelector('main').scrollWidth <= innerWidth")


def test_a_new_file_is_filled_from_its_first_line(at: At, own: Path) -> None:
    own.unlink()
    page = at()
    give(page, "Press, clamp accumulator")
    wait_for(page, "test")
    page.get_by_role("button", name="precharge").click()
    wait_for(page, "date")
    page.locator("#group").select_option(label="Next that is needed")
    assert asked(page) == "instruments/P/range"
    assert not grave(page)


def test_a_gauge_moved_between_two_ports_is_entered_once_and_can_be_parted_again(at: At, own: Path) -> None:
    shutil.copy(HOIST.with_name("tractor_margin.yaml"), own)
    page = at()
    page.evaluate("oilway.go(oilway.state.prompts.findIndex(({ id }) => id === 'instruments/LS'))")
    page.get_by_role("button", name="None of these").click()
    wait_for(page, "instruments/LS/range")
    assert "same as P" not in own.read_text(encoding="utf-8")


def test_the_room_comes_in_by_the_door_word(at: At) -> None:
    page = at(door=True)
    page.get_by_label("Door word").fill("gravel")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Q, flow")).to_be_focused()
