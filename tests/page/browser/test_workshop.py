"""The workshop in a browser: machines and valves put together in forms, and nothing of them lost."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect
from tests.page.browser.opened import Opened
from tests.page.browser.test_access import grave
from typer.testing import CliRunner

import oilway
from oilway.cli import app
from oilway.page.session import Session
from oilway.study.explain import explain

Open = Callable[..., Opened]
Bench = Callable[..., Opened]
PAINTED = "#picture:not(.stale) svg"


@pytest.fixture
def bench(opened: Open, serve: Callable[[Session], tuple[Session, str]], own_hoist: Path) -> Bench:
    """``bench(size)``: the workshop of a copy of the hoist, painted."""

    def build(size: str = "projector") -> Opened:
        found = opened(serve(Session(str(own_hoist))), size)
        found.page.goto(found.address + "workshop")
        expect(found.page.locator("#title")).to_contain_text("hoist")
        return found

    return build


def text(page: Page) -> str:
    """The text of the file as it is now."""
    found: str = page.evaluate("window.oilway.draft.text")
    return found


def reach(page: Page, target: Locator) -> None:
    """Put the focus somewhere with the Tab key alone."""
    for _ in range(150):
        if target.evaluate("each => each === document.activeElement"):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{target} cannot be reached with Tab")


def press(page: Page, name: str) -> None:
    """Reach a button and press it."""
    reach(page, page.get_by_role("button", name=name, exact=True))
    page.keyboard.press("Enter")


def type_in(page: Page, label: str, said: str) -> None:
    """Reach a field by its label and type into it; of a select, the beginning of a choice."""
    reach(page, page.locator(".field", has=page.locator("label", has_text=label)).first.locator("input, select"))
    page.keyboard.type(said)


def begin(page: Page, name: str) -> None:
    """Begin with something on offer."""
    press(page, "Begin with ...")
    press(page, name)


def test_a_machine_is_put_together_with_the_keyboard_alone(bench: Bench, own_hoist: Path) -> None:
    found = bench()
    page = found.page
    begin(page, "a blank machine")
    press(page, "Actuators and loads")
    press(page, "Add: cylinder")
    page.keyboard.type("ram")
    for label, said in (
        ("Cap needed", "pump line"), ("Rod needed", "tank"), ("Bore", "80 mm"), ("Rod diameter", "45 mm"),
        ("Stroke", "600 mm"),
    ):  # fmt: skip
        type_in(page, label, said)
    press(page, "Add to the file")
    expect(page.locator("#form h2")).to_have_text("Ram")
    press(page, "Actuators and loads")
    press(page, "Add: load")
    page.keyboard.type("log")
    type_in(page, "On needed", "ram")
    type_in(page, "Load pressure", "800 psi")
    page.keyboard.press("Enter")
    expect(page.locator("#form h2")).to_have_text("Log")
    reach(page, page.locator("#list").get_by_role("button", name="pump line", exact=True))
    page.keyboard.press("Enter")
    press(page, "Screw a gauge in here")
    expect(page.locator("#form h2")).to_have_text("Pump line gauge")
    page.keyboard.press("Control+s")
    page.keyboard.type("splitter.yaml")
    page.keyboard.press("Enter")
    expect(page.locator("#state")).to_have_text("splitter.yaml")
    path = own_hoist.parent / "splitter.yaml"
    saved = path.read_text(encoding="utf-8")
    assert saved == text(page)
    assert saved.startswith("# A machine of your own.  Every line that begins with '#' is a note")
    checked = CliRunner().invoke(app, ["check", str(path)])
    assert checked.exit_code == 0, checked.output
    expect(page.locator(PAINTED)).to_contain_text("pump line gauge")
    # 'Open it' is the page with the numbers of this file.
    press(page, "Open it")
    expect(page).to_have_url(found.address)
    found.settled()
    expect(page.locator("#title")).to_have_text("my machine")
    assert page.evaluate("window.oilway.session.scene.file") == "splitter.yaml"
    pressure = explain(oilway.load(path))[0].state.pressures["pump line"]
    shown = page.evaluate("window.oilway.session.values.get('pressure:pump line')")
    assert shown == pytest.approx(pressure, abs=10.0)


def test_what_is_wrong_is_told_at_its_field_and_undone(bench: Bench) -> None:
    page = bench().page
    before = text(page)
    page.locator("#list").get_by_role("button", name="pump", exact=True).click()
    field = page.locator("[data-key=displacement]")
    field.locator("input").fill("36 psi")
    field.locator("input").press("Enter")
    expect(field.locator(".refused")).to_contain_text("'36 psi' is a pressure; a displacement is wanted")
    expect(field.locator("input")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#picture")).to_have_class("picture stale")
    expect(page.locator(".lines .wrong")).to_have_text("displacement: 36 psi")
    page.locator("#list").get_by_role("button", name="Oil", exact=True).click()
    page.locator("#wrong").get_by_role("button").click()
    expect(field.locator("input")).to_be_focused()
    page.keyboard.press("Control+z")
    expect(field.locator("input")).to_have_value("36 cc/rev")
    expect(page.locator(PAINTED)).to_be_visible()
    assert text(page) == before
    page.keyboard.press("Control+y")
    expect(field.locator("input")).to_have_value("36 psi")
    field.locator("input").fill("40 cc/rev")
    field.locator("input").press("Enter")
    expect(page.locator(".lines .changed")).to_have_text("displacement: 40 cc/rev")
    now = text(page)
    assert [b for a, b in zip(before.split("\n"), now.split("\n"), strict=True) if a != b] == [
        "    displacement: 40 cc/rev"
    ]


def test_a_word_that_was_meant_is_taken_over(bench: Bench) -> None:
    page = bench().page
    page.get_by_role("button", name="Write").click()
    area = page.get_by_label("Text of the file").last
    area.fill(text(page).replace("outlet: pump line", "outlet: pumpline"))
    page.locator("#list").get_by_role("button", name="pump", exact=False).first.focus()
    page.locator("#wrong").get_by_role("button").first.click()
    page.get_by_role("button", name="Use 'pump line'").click()
    expect(page.locator("[data-key=outlet] select")).to_have_value("pump line")
    expect(page.locator(PAINTED)).to_be_visible()


def test_an_own_valve_grows_part_by_part_until_its_cutaway_paints(bench: Bench) -> None:
    page = bench().page
    begin(page, "a valve, part by part")
    cut = page.locator(PAINTED)
    for group, kind, name, fields in (
        ("Moving parts", "moving part", "poppet", {"mass": "70 g", "travel": "3 mm"}),
        ("Faces", "face", "inlet face",
         {"chamber": "inlet", "on": "poppet", "diameter": "11 mm", "pushes": "open"}),
        ("Faces", "face", "back face",
         {"chamber": "outlet", "on": "poppet", "diameter": "11 mm", "pushes": "shut"}),
        ("Springs", "spring", "spring", {"on": "poppet", "rate": "250 N/mm", "pitch": "0.75 mm/turn",
                                         "turns": "6 turns", "most turns": "12 turns"}),
        ("Seats and edges", "poppet seat", "seat",
         {"from": "inlet", "to": "outlet", "on": "poppet", "diameter": "11 mm"}),
    ):  # fmt: skip
        page.locator("#list .group", has_text=group).click()
        page.get_by_role("button", name=f"Add: {kind}", exact=True).click()
        page.locator("#new-name").fill(name)
        if page.locator("#form details").count():
            page.locator("#form summary").click()
        for key, said in fields.items():
            control = page.locator(f"[data-key='{key}']").locator("input, select")
            if control.evaluate("each => each.matches('select')"):
                control.select_option(said)
            else:
                control.fill(said)
        page.get_by_role("button", name="Add to the file").click()
        expect(page.locator("#list").get_by_role("button", name=name, exact=True)).to_be_visible()
        expect(cut).to_be_visible()
    for part in ("poppet", "spring", "seat"):
        assert cut.locator(f"[data-part='{part}']").count(), part
    # The adjuster and its setting are the last step; the turns that give it are solved.
    page.locator("#list .group", has_text="Adjuster").click()
    page.locator("[data-key=adjuster] select").select_option("spring")
    page.locator("[data-key=setting] input").fill("2200 psi at 10 gpm")
    page.locator("[data-key=setting] input").press("Enter")
    expect(page.locator(".lines")).to_contain_text("setting: 2200 psi at 10 gpm")
    expect(cut).to_be_visible()
    expect(page.locator("#wrong")).to_contain_text("can be read and solved")
    machine = oilway.loads(text(page))
    turned = page.evaluate("window.oilway.look.answer.handles.find(each => each.group === 'adjusters').value")
    assert turned == pytest.approx(machine.parts["spring"].values["turns"], rel=1e-3)


def test_a_part_that_is_unfinished_is_told_and_the_rest_is_drawn(bench: Bench) -> None:
    page = bench().page
    begin(page, "a valve, part by part")
    page.locator("#list .group", has_text="Chambers").click()
    page.get_by_role("button", name="Add: chamber", exact=True).click()
    page.locator("#new-name").fill("spring chamber")
    page.get_by_role("button", name="Add to the file").click()
    expect(page.locator("#wrong")).to_contain_text("nothing is connected to this chamber")
    expect(page.locator("#wrong")).to_contain_text("Not in the picture yet: spring chamber")
    expect(page.locator("#picture svg")).to_be_visible()


def test_nothing_is_lost(bench: Bench, own_hoist: Path) -> None:
    found = bench()
    page, on_disk = found.page, own_hoist.read_text(encoding="utf-8")
    page.locator("#list").get_by_role("button", name="box", exact=True).click()
    page.locator("[data-key='mass'] input").fill("8000 kg")
    page.locator("[data-key='mass'] input").press("Enter")
    expect(page.locator("#state")).to_have_text("hoist.yaml, not saved")
    asked: list[str] = []
    page.once("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.reload()
    expect(page.locator("#state")).to_have_text("hoist.yaml, not saved")
    assert asked == ["beforeunload"]
    assert "mass: 8000 kg" in text(page)
    assert own_hoist.read_text(encoding="utf-8") == on_disk
    # Somebody else has written the file meanwhile: it is not overwritten.
    own_hoist.write_text(on_disk + "# by hand\n", encoding="utf-8")
    page.keyboard.press("Control+s")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_contain_text("there is a 'hoist.yaml' already")
    page.get_by_label("Name of the file").fill("mine")
    page.keyboard.press("Enter")
    expect(page.locator("#state")).to_have_text("mine.yaml")
    assert own_hoist.read_text(encoding="utf-8").endswith("# by hand\n")
    assert (own_hoist.parent / "mine.yaml").read_text(encoding="utf-8") == text(page)


def test_a_name_that_looks_like_markup_stays_text(bench: Bench) -> None:
    page = bench().page
    name = "<img src=x onerror=alert(1)>"
    page.locator("#list .group", has_text="Lines and tank").click()
    page.get_by_role("button", name="Add: chamber", exact=True).click()
    page.locator("#new-name").fill(name)
    page.get_by_role("button", name="Add to the file").click()
    expect(page.locator("#form h2")).to_have_text(name)
    expect(page.locator("#wrong")).to_contain_text("nothing is connected")
    assert page.locator("img").count() == 0


@pytest.mark.parametrize("size", ["projector", "phone"])
def test_axe_finds_nothing_grave_and_all_fits(bench: Bench, size: str) -> None:
    found = bench(size)
    page = found.page
    expect(page.locator("#wrong")).to_contain_text("can be read and solved")
    for tab in ("list", "form", "look", "text"):
        page.evaluate("tab => { window.oilway.go({ sort: 'part', name: 'pump' }); window.oilway._tab(tab); }", tab)
        assert not grave(found), tab
        wide = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
        assert wide[0] <= wide[1], tab
        small = page.evaluate(
            """() => [...document.querySelectorAll('button, select, input, summary, a')]
                 .filter(each => each.checkVisibility() && !each.matches('.skip'))
                 .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height])
                 .filter(([, height]) => height < 40)"""
        )
        assert size == "projector" or not small
    page.evaluate("void window.oilway._start()")
    assert not grave(found)
