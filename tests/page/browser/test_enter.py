"""Paper typed in with the keyboard alone: every entry is in its file, and nothing of it is lost or overwritten."""

from __future__ import annotations

import csv
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.classroom import HEAD, right, worksheet
from tests.page.browser.opened import SIZES
from tests.page.browser.test_access import GRAVE

from oilway.page.enter import Enter
from oilway.page.enter_keys import Keys
from oilway.page.enter_routes import enter_app
from oilway.page.serving import _Server, listen
from oilway.quantity import Units
from oilway.study.mark_class import mark_class
from oilway.study.roster import Roster, Student
from oilway.study.worksheet_draw import Drawer

UNITS: tuple[Units, ...] = ("shop", "metric")
QUESTIONS = """questions:
  - id: inlet
    ask: The load makes {below}. What does the inlet gauge read?
    set: {load pressure: "{below}"}
    answer: pressure of inlet
  - id: state
    kind: why
    marks: 3
    ask: Where does the poppet stand at {near}? Say why.
    set: {load pressure: "{near}"}
    answer: state of poppet
    rubric: {the balance holds it: 1}
  - id: setting it
    kind: order
    marks: 3
    ask: Put the steps in order.
    steps: [make it safe, warm the oil, turn and read, lock it]
practical:
  - {step: made safe, critical: yes}
  - {step: met, measured: gauge, limit: 2300 psi +- 50 psi, marks: 2}
"""
STUDENTS = [Student("B-1", "Abara, Nneka"), Student("B-2", "Bright, Tom"), Student("B-3", "<b>Ito</b>, Ren")]
At = Callable[..., Page]


@pytest.fixture
def taken(tmp_path: Path) -> Enter:
    """The answers of three, none given yet."""
    sheet = worksheet(tmp_path, QUESTIONS, HEAD)
    files = (tmp_path / name for name in ("answers.csv", "overrides.csv", "practical.csv"))
    return Enter(Keys({u: Drawer(sheet, u) for u in UNITS}, "shop"), Roster(STUDENTS), *files)


@pytest.fixture
def at(browser: Browser, taken: Enter) -> Iterator[At]:
    """``at(size)``: the form on a screen, which may not complain nor ask other computers."""
    where, complaints, contexts = listen(None), [], []
    server = _Server(enter_app(taken))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [where]}, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    address = f"http://127.0.0.1:{where.getsockname()[1]}/"

    def build(size: str = "projector") -> Page:
        width, height = SIZES[size]
        contexts.append(browser.new_context(viewport={"width": width, "height": height}))
        page = contexts[-1].new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda asked: asked.url.startswith(address) or complaints.append(asked.url))
        page.goto(address)
        page.wait_for_function("() => window.oilway?.state")
        return page

    yield build
    for context in contexts:
        context.close()
    server.should_exit = True
    thread.join(10)
    where.close()
    assert not complaints


def keys(page: Page, *typed: str) -> None:
    """Type texts, each ended with Enter, and wait until all is written."""
    for text in typed:
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.evaluate("window.oilway.sending")


def student(page: Page, typed: str, name: str) -> None:
    """Choose a student with a few keys."""
    expect(page.get_by_label("Whose sheet?")).to_be_focused()
    keys(page, typed)
    page.wait_for_function("id => window.oilway.state.sheet?.id === id && window.oilway.row", arg=name)


def rows(path: Path) -> dict[str, dict[str, str]]:
    """Rows of a CSV by item or step."""
    with path.open(encoding="utf-8", newline="") as file:
        return {row.get("item") or row["step"]: row for row in csv.DictReader(file)}


def grave(page: Page) -> list[str]:
    found = [each for each in Axe().run(page).response["violations"] if each["impact"] in GRAVE]
    return [f"{each['id']}: {node['html'][:160]}" for each in found for node in each["nodes"]]


def order_of(taken: Enter, name: str) -> str:
    """The digits in the boxes of a student who has the steps right."""
    with taken.keys.turn():
        found = taken.keys.of(next(s for s in STUDENTS if s.id == name), "")
    return right(next(item for item in found.items if item.kind == "order")).replace(" ", "")


@pytest.mark.parametrize("size", SIZES)
def test_two_sheets_are_typed_in_with_the_keyboard_alone_and_marked(at: At, taken: Enter, size: str) -> None:
    page = at(size)
    assert not grave(page)
    student(page, "tom", "B-2")
    expect(page.locator("[data-field='item/inlet'] input")).to_be_focused()
    with taken.keys.turn():
        key = right(taken.keys.of(STUDENTS[1], "").items[0])
    page.keyboard.type(key.removesuffix(" psi"))
    expect(page.locator("[data-field='item/inlet'] .verdict")).to_have_text("✓ right 2 of 2")
    assert not taken.files["answers"].exists()  # it is only being typed
    keys(page, "p", "b", "1", order_of(taken, "B-2"))
    expect(page.locator(".row .verdict").nth(3)).to_have_text("✓ right 3 of 3")
    assert not grave(page)
    student(page, "", "B-3")  # the next who is missing
    keys(page, "", "c", "", "1243")
    expect(page.get_by_label("Whose sheet?")).to_be_focused()
    expect(page.locator("#class")).to_contain_text("1 of 3 done")
    expect(page.locator("#class")).to_contain_text("1 begun, 1 missing")  # her reasoning is to be marked yet
    assert page.evaluate("document.querySelector('main').scrollWidth <= innerWidth")
    sheet = taken.worksheet
    marked = mark_class(lambda units: Drawer(sheet, units), taken.roster, taken.files["answers"])
    assert not marked.problems
    by_id = {each.variant.student.id: each for each in marked.sheets}
    assert by_id["B-2"].total == by_id["B-2"].most - (0 if by_id["B-2"].marks[1].item.key == "open" else 2)
    assert next(mark.comment for mark in by_id["B-3"].marks if not mark.answer) == "no answer"
    assert by_id["B-3"].marks[2].open


def test_a_wrong_number_is_named_beside_it_in_words_of_marking(at: At, taken: Enter) -> None:
    page = at()
    student(page, "B-1", "B-1")
    page.keyboard.type("2300p")
    line = page.locator("[data-field='item/inlet']")
    expect(line.locator(".verdict")).to_contain_text("misconception")
    expect(line.locator(".said")).to_contain_text("Pumps make pressure")
    expect(line.locator(".said")).to_contain_text("Key: ")
    keys(page, "")
    assert rows(taken.files["answers"])["inlet"]["unit"] == "psi"


def test_up_down_tab_and_back_move_and_write_what_is_new(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    page.keyboard.press("ArrowDown")
    page.keyboard.type("2")
    page.keyboard.press("Tab")
    page.keyboard.type("0.5")
    page.keyboard.press("Shift+Tab")
    expect(page.locator("[data-field='item/state'] input")).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(page.locator("[data-field='item/inlet'] input")).to_be_focused()
    page.evaluate("window.oilway.sending")
    found = rows(taken.files["answers"])
    assert (found["state"]["answer"], found["state.r1"]["marks"]) == ("open", "0.5")
    assert "inlet" not in found  # passed over, not left blank
    page.keyboard.type("17")
    page.keyboard.press("Escape")
    expect(page.locator("[data-field='item/inlet'] input")).to_have_value("")
    page.keyboard.press("Escape")
    expect(page.get_by_label("Whose sheet?")).to_be_focused()
    page.evaluate("window.oilway.sending")
    assert "inlet" not in rows(taken.files["answers"])


def test_what_cannot_be_stays_to_be_mended(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    keys(page, "1000", "b", "7", "2134")
    line = page.locator("[data-field='item/state.r1']")
    expect(line.locator("input")).to_be_focused()  # the end of the sheet leads back
    expect(page.locator("#unwritten")).to_have_text("Not written: the balance holds it")
    expect(line.locator(".said")).to_contain_text("7 marks, of 1 that there are")
    expect(line.locator("input")).to_have_value("7")
    page.keyboard.press("Control+a")
    keys(page, "1")
    expect(page.locator("#unwritten")).to_be_empty()
    found = rows(taken.files["answers"])
    assert (found["state.r1"]["marks"], found["setting it"]["answer"]) == ("1", "2 1 3 4")


def test_a_file_changed_meanwhile_is_not_overwritten(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    keys(page, "1000")
    path = taken.files["answers"]
    path.write_text(path.read_text(encoding="utf-8").replace("1000,psi", "1100,psi"), encoding="utf-8")
    keys(page, "b")
    line = page.locator("[data-field='item/state']")
    expect(line.locator(".said")).to_contain_text("changed meanwhile")
    expect(page.locator("[data-field='item/inlet'] input")).to_have_value("1100")
    assert "state" not in rows(path)
    expect(line.locator("input")).to_have_value("b")
    page.keyboard.press("ArrowUp")
    keys(page, "")
    assert (rows(path)["inlet"]["answer"], rows(path)["state"]["answer"]) == ("1100", "open")


def test_a_mark_is_set_with_its_reason_and_taken_back(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    keys(page, "5 psi")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("!")
    expect(page.get_by_label("Marks", exact=True)).to_be_focused()
    keys(page, "1", "")
    line = page.locator("[data-field='item/inlet']")
    expect(line.locator(".refused[role=alert]")).to_contain_text("needs its reason")
    assert not grave(page)
    keys(page, "method right on paper")
    expect(line.locator(".verdict")).to_have_text("! set by you 1 of 2")
    assert rows(taken.files["overrides"])["inlet"]["reason"] == "method right on paper"
    page.keyboard.press("!")
    page.get_by_role("button", name="Take back").click()
    expect(line.locator(".verdict")).to_contain_text("0 of 2")
    assert not rows(taken.files["overrides"])


def test_the_practical_is_signed_on_the_same_page(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    page.locator("#pass").select_option("practical")
    keys(page, "n", "y", "2400")
    expect(page.get_by_label("Whose sheet?")).to_be_focused()
    expect(page.locator("[data-field='done/1'] .verdict")).to_have_text("✗ CRITICAL: fails the whole 0 of 1")
    expect(page.locator("[data-field='value/2'] .verdict")).to_have_text("✗ outside its limit")
    expect(page.locator("#practical")).to_contain_text("Failed, a critical step was missed: made safe")
    assert not grave(page)
    found = rows(taken.files["practical"])
    assert (found["made safe"]["done"], found["met"]["value"]) == ("no", "2400 psi")


def test_the_code_on_a_metric_sheet_finds_it(at: At, taken: Enter) -> None:
    page = at()
    with taken.keys.turn():
        code = taken.keys.drawers["metric"].variant(STUDENTS[2]).code
    keys(page, "ffffffff")
    expect(page.locator("#whom")).to_contain_text("No sheet of this class bears 'ffffffff'")
    page.keyboard.press("Control+a")
    student(page, code, "B-3")
    expect(page.locator("#sheet h2")).to_contain_text(code)
    expect(page.locator("[data-field='item/inlet'] .unit")).to_have_text("bar")
    keys(page, "70")
    assert (rows(taken.files["answers"])["inlet"]["variant"], rows(taken.files["answers"])["inlet"]["unit"]) == (
        code,
        "bar",
    )


def test_without_the_server_what_was_typed_stays(at: At, taken: Enter) -> None:
    page = at()
    student(page, "aba", "B-1")
    page.context.set_offline(True)
    keys(page, "1000")
    line = page.locator("[data-field='item/inlet']")
    expect(line.locator(".said")).to_contain_text("Not written")
    expect(line.locator("input")).to_have_value("1000")
    page.get_by_label("Whose sheet?").focus()
    keys(page, "tom")
    expect(line.locator("input")).to_be_focused()  # nobody else before this is written
    page.context.set_offline(False)
    keys(page, "")
    assert rows(taken.files["answers"])["inlet"]["answer"] == "1000"
