"""The sealed machine in a browser: played with the keyboard alone, and on a phone."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack

import pytest
from playwright.sync_api import expect
from tests.page.browser.opened import HOIST, Opened, served
from tests.page.browser.test_access import grave
from tests.page.browser.test_workshop import reach

import oilway
from oilway.page.sealed import Game
from oilway.page.session import Session
from oilway.study.dictionary import bench_of, build
from oilway.study.sealed import Sealed

Open = Callable[..., Opened]


@pytest.fixture(scope="module")
def game() -> Game:
    """A fault hidden in the hoist."""
    bench = bench_of(oilway.load(HOIST))
    return Game(bench.machine, Sealed(bench, build(bench, workers=1), 7))


@pytest.mark.parametrize("size", ["projector", "phone"])
def test_a_fault_is_found_with_the_keyboard_alone(opened: Open, game: Game, size: str) -> None:
    game = Game(game.machine, Sealed(game.sealed.bench, game.sealed.dictionary, 7))
    session = Session(str(HOIST))
    with ExitStack() as running:
        found = opened((session, running.enter_context(served(session, game))), size)
        played(found, game)
        found.page.close()


def played(found: Opened, game: Game) -> None:
    """One game from the first reading to the verdict."""
    page, sealed = found.page, game.sealed
    page.goto(found.address + "sealed")
    gauge = page.locator("#ask li button").filter(has_text="Pump gauge")
    reach(page, gauge)
    page.keyboard.press("Enter")
    expect(page.locator("#taken strong")).to_contain_text("psi")
    expect(gauge).to_be_disabled()
    expect(gauge).to_contain_text(" psi")
    assert page.locator("#picture text").filter(has_text="psi").count() == 1  # nothing but what was asked for
    assert page.evaluate("document.activeElement.matches('#ask li button')")
    reach(page, page.get_by_label("Something else, in words"))
    page.keyboard.type("plug the drain")
    page.keyboard.press("Enter")
    expect(page.locator("#banner")).to_contain_text("never plug the pilot drain")
    assert not grave(found)
    wide = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
    assert wide[0] <= wide[1]
    for name in (next(f.name for f in sealed.bench.faults if f.name != sealed.fault.name), sealed.fault.name):
        page.get_by_label("What is wrong with it").select_option(name)
        reach(page, page.get_by_role("button", name="Name it"))
        page.keyboard.press("Enter")
        expect(page.locator("body")).not_to_have_attribute("aria-busy", "true", timeout=30000)
    expect(page.locator("#verdict h2")).to_have_text(f"Found: {sealed.fault.name}")
    expect(page.locator(".score")).to_have_text(f"Score {sealed.score(True)}")
    assert not grave(found)
