"""The setting plan in a browser: turned over with the keyboard, ticked, and refused in plain words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.page.browser.opened import SIZES, Opened
from tests.page.browser.test_access import grave

import oilway
from oilway.page.session import Session
from oilway.study.plan import setting_plan
from oilway.study.plan_data import plan_data

Open = Callable[..., Opened]
Served = tuple[Session, str]


def planned(opened: Open, where: Served, size: str = "projector") -> Opened:
    found = opened(where, size)
    found.page.goto(found.address + "plan")
    expect(found.page.locator("#step h2")).to_be_visible(timeout=30000)
    return found


@pytest.mark.parametrize("size", SIZES)
def test_each_step_shows_what_the_command_says(opened: Open, hoist: Served, size: str) -> None:
    found = planned(opened, hoist, size)
    page = found.page
    told = plan_data(setting_plan(oilway.load(hoist[0].file)), "shop")
    assert not grave(found)
    for text in told["preparation"]:
        expect(page.locator("#step")).to_contain_text(text)
    for step in told["steps"]:
        page.get_by_role("button", name="Next").click()
        lines = [*step["do"], *step["cautions"], step["why"], *(wrong["said"] for wrong in step["set wrongly"])]
        for text in [*lines, step["setting"]["said"], step["in the machine"]["pressure"]["said"]]:
            expect(page.locator("#step")).to_contain_text(text)
        assert not grave(found)
    expect(page.get_by_role("button", name="Next")).to_be_disabled()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_it_is_turned_over_and_ticked_with_the_keyboard_alone(opened: Open, hoist: Served) -> None:
    found = planned(opened, hoist)
    page = found.page
    found.key("ArrowRight")
    expect(page.locator("#step h2")).to_contain_text("Main relief")
    found.key("Tab", "Space")
    expect(page.get_by_role("checkbox").first).to_be_checked()
    page.reload()
    expect(page.locator("#step h2")).to_be_visible(timeout=30000)
    found.key("ArrowRight")
    expect(page.get_by_role("checkbox").first).to_be_checked()
    expect(page.get_by_role("checkbox").nth(1)).not_to_be_checked()
    found.key("ArrowLeft")
    expect(page.locator("#step h2")).to_have_text("Before the first step")


def test_the_main_page_leads_there_and_the_units_change(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.page.get_by_role("link", name="Set it").click()
    expect(found.page.locator("#step")).to_contain_text("°F", timeout=30000)
    found.page.get_by_role("button", name="in bar").click()
    expect(found.page.locator("#step")).to_contain_text("°C", timeout=30000)
    assert "units=metric" in (found.page.get_by_role("link", name="Print").get_attribute("href") or "")


def test_a_missing_rating_is_told_and_mended_while_the_page_is_open(
    opened: Open, serve: Callable[[Session], Served], own_hoist: Path
) -> None:
    text = own_hoist.read_text(encoding="utf-8")
    own_hoist.write_text(text.replace("    rated pressure: 3200 psi\n", ""), encoding="utf-8")
    page = planned(opened, serve(Session(str(own_hoist)))).page
    expect(page.locator("#step")).to_contain_text("hoist.yaml:")
    expect(page.locator("#step")).to_contain_text("add 'rated pressure: ...'")
    expect(page.locator("#print")).to_be_hidden()
    own_hoist.write_text(text, encoding="utf-8")
    expect(page.locator("#step h2")).to_have_text("Before the first step", timeout=30000)


def test_a_valve_alone_is_asked_for_its_rating(opened: Open, serve: Callable[[Session], Served]) -> None:
    found = planned(opened, serve(Session("direct relief")), "phone")
    assert not grave(found)
    found.page.get_by_label("Its rated pressure").fill("3500 psi")
    found.key("Enter")
    expect(found.page.locator("#step h2")).to_have_text("Before the first step", timeout=30000)
