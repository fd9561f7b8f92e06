"""Keyboard, accessibility, quiet motion, names that look like markup, and nothing asked of other computers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from tests.page.browser.opened import VIEWS, Opened

from oilway.page.session import Session
from oilway.quantity import PSI

Open = Callable[..., Opened]
Served = tuple[Session, str]
Serve = Callable[[Session], Served]
GRAVE = ("serious", "critical")
LOAD = "box.load pressure"


@pytest.mark.parametrize("size", ["projector", "phone"])
@pytest.mark.parametrize("view", VIEWS)
def test_axe_finds_nothing_grave(opened: Open, hoist: Served, view: str, size: str) -> None:
    found = opened(hoist, size)
    found.view(view)
    if view == "two":
        expect(found.page.locator("#picture-b svg")).to_be_visible(timeout=15000)
    if view == "picture":
        found.page.evaluate("window.oilway.ask('main relief.main part')")
    assert not grave(found)


def grave(found: Opened) -> list[str]:
    """What the checker holds to be serious or worse."""
    return [
        f"{each['id']}: {node['html'][:160]}"
        for each in Axe().run(found.page).response["violations"]
        if each["impact"] in GRAVE
        for node in each["nodes"]
    ]


@pytest.mark.parametrize("tab", ["curve", "controls", "more"])
def test_axe_finds_nothing_grave_on_the_tabs_of_a_phone(opened: Open, hoist: Served, tab: str) -> None:
    found = opened(hoist, "phone")
    found.page.locator(f"#tabs [data-name={tab}]").click()
    assert not grave(found)


def test_a_class_can_be_held_with_the_keyboard_alone(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    value = "window.oilway.session.value"
    # The skip link leads to the sliders.
    found.key("Tab", "Enter", "Tab")
    assert found.page.evaluate("document.activeElement.closest('#sliders') !== null")
    # S goes to the first slider; arrows change it, with Shift finely.
    found.key("s")
    step = found.page.evaluate("window.oilway.session.scene.handles[0].step")
    start = found.page.evaluate(f"{value}(window.oilway.session.scene.handles[0].parameter)")
    found.key("ArrowRight", "ArrowRight", "Shift+ArrowLeft")
    now = found.page.evaluate(f"{value}(window.oilway.session.scene.handles[0].parameter)")
    assert now - start == pytest.approx(1.9 * step)
    # A typed value.
    found.key("Shift+Tab")
    found.page.keyboard.type("12")
    found.key("Enter")
    assert found.page.evaluate(f"{value}(window.oilway.session.scene.handles[0].parameter)") == pytest.approx(
        12 * PSI
    )
    # A part of the picture by Tab and Enter, away by Escape.
    found.page.locator("#larger").focus()
    while not found.page.evaluate("document.activeElement.matches('#picture-a [data-part]')"):
        found.key("Tab")
    found.key("Enter")
    expect(found.page.locator("#part")).to_be_visible()
    found.key("Escape")
    expect(found.page.locator("#part")).to_be_hidden()
    # The views, the help, and back to what the file says.
    for key, view in enumerate(VIEWS, 1):
        found.key(str(key))
        assert found.page.evaluate("document.body.dataset.view") == view
    found.key("?")
    expect(found.page.get_by_role("dialog")).to_be_visible()
    found.key("Escape", "r")
    assert found.page.evaluate("window.oilway.session.set") == {}


def test_what_has_the_focus_shows_it(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.page.locator("#larger").focus()
    for _ in range(25):
        found.key("Tab")
        shown = found.page.evaluate(
            """() => { const { outlineStyle, outlineWidth } = getComputedStyle(document.activeElement);
                       return [document.activeElement.outerHTML.slice(0, 90), outlineStyle, outlineWidth]; }"""
        )
        assert shown[1] != "none", shown
        assert float(shown[2].removesuffix("px")) >= 2, shown


def test_targets_of_a_phone_are_large_enough_for_a_thumb(opened: Open, hoist: Served) -> None:
    found = opened(hoist, "phone")
    for tab in ("picture", "controls", "more"):
        found.page.locator(f"#tabs [data-name={tab}]").click()
        small = found.page.evaluate(
            """() => [...document.querySelectorAll('button, select, input')].filter(each => each.checkVisibility())
                 .map(each => [each.outerHTML.slice(0, 80), each.getBoundingClientRect().height])
                 .filter(([, height]) => height < 40)"""
        )
        assert not small


@pytest.mark.parametrize("size", ["projector", "phone"])
@pytest.mark.parametrize("view", VIEWS)
def test_nothing_is_wider_than_the_window(opened: Open, hoist: Served, view: str, size: str) -> None:
    found = opened(hoist, size)
    found.view(view)
    wide = found.page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]


def test_numbers_that_matter_can_be_read_from_the_back_row(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    expect(found.page.locator("#curve dd").first).to_be_visible()
    for what in (".handle .typed", "#words p", "#curve dd", ".ring span"):
        size = found.page.locator(what).first.evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
        assert size >= 24, what


def test_quiet_motion_is_respected(opened: Open, hoist: Served) -> None:
    moving = "[...document.querySelectorAll('*')].some(each => getComputedStyle(each).transitionDuration !== '0s')"
    assert opened(hoist).page.evaluate(moving)  # without the wish something does move
    assert not opened(hoist, reduced_motion="reduce").page.evaluate(moving)


def test_a_name_that_looks_like_markup_stays_text(opened: Open, serve: Serve, own_hoist: Path) -> None:
    name = "<img src=x onerror=alert(1)>"
    text = own_hoist.read_text(encoding="utf-8")
    assert "  box: {" in text
    text = text.replace("  box: {", f'  "{name}": {{').replace("Brackwater tipping-trailer hoist", name)
    own_hoist.write_text(text, encoding="utf-8")
    session = Session(str(own_hoist))
    found = opened(serve(session))
    for view in VIEWS:
        found.view(view)
    found.page.evaluate("name => window.oilway.ask(name)", name)
    expect(found.page.locator("#title")).to_have_text(name)
    expect(found.page.locator("#part h2")).to_have_text(name)
    assert found.page.locator("img").count() == 0


def test_a_value_out_of_reach_is_refused_in_words(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    box = found.page.get_by_label("Load pressure, type a value")
    for typed, said in (("999999", "from 0 psi to "), ("much", "a number")):
        box.fill(typed)
        box.press("Enter")
        expect(found.page.locator(".handle .refused:visible")).to_contain_text(said)
    assert found.page.evaluate("window.oilway.session.set") == {}
