"""A lesson opened from disk with the network off: the same page, the same numbers."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page
from tests.page.browser.opened import SETTLED, SIZES

from oilway.page.lesson_page import lesson_data, lesson_html
from oilway.quantity import show
from oilway.solve.point import solve_point
from oilway.study.lesson import Lesson, read_lesson
from oilway.study.story import examples


@pytest.fixture(scope="module")
def lesson() -> Lesson:
    return read_lesson(examples() / "lessons" / "two_reliefs.yaml")


@pytest.fixture(scope="module")
def written(lesson: Lesson, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("lesson") / "lesson.html"
    path.write_text(lesson_html(lesson_data(lesson)), encoding="utf-8")
    return path


@pytest.fixture(params=SIZES)
def page(request: pytest.FixtureRequest, browser: Browser, written: Path) -> Iterator[Page]:
    """The lesson from disk, which may neither complain nor ask for anything."""
    width, height = SIZES[request.param]
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    opened = context.new_page()
    complaints: list[str] = []
    asked: list[str] = []
    opened.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(written.as_uri())
    opened.wait_for_function(SETTLED)
    yield opened
    assert not complaints
    assert {url.partition(":")[0] for url in asked} <= {"file", "data", "blob"}
    context.close()


def plates(page: Page) -> list[str]:
    return [text.strip() for text in page.locator("#picture-a .number text").all_text_contents()]


def test_the_stops_by_keyboard_show_what_the_solver_finds(page: Page, lesson: Lesson) -> None:
    page.keyboard.press("4")
    for number, stop in enumerate(lesson.stops):
        page.wait_for_function(
            "([at, name]) => oilway.steps.at === at && oilway.session.scene.variant === name",
            arg=[number, stop.variant],
        )
        hidden = page.locator("#curve .ring:not([hidden])")
        assert hidden.count() == 0, "the point on the curve tells what the question hides"
        page.keyboard.press("a")
        state = solve_point(lesson.machines[stop.variant], stop.point)
        inlet = show(state.pressures["pump line"], "pressure")
        page.wait_for_function(
            "text => [...document.querySelectorAll('#picture-a .number text')].some(e => e.textContent === text)",
            arg=inlet,
        )
        assert page.evaluate("oilway.steps.revealed")
        assert stop.tell.split(".")[0] in page.locator("#steps-card .answer").inner_text().replace("\n", " ")
        page.keyboard.press("PageDown")


def test_sliders_move_through_the_table(page: Page, lesson: Lesson) -> None:
    slider = lesson.sliders[0]
    value = 0.37 * slider.low + 0.63 * slider.high
    page.evaluate("([name, value]) => oilway.session.change({[name]: value})", [slider.parameter, value])
    state = solve_point(lesson.machines["direct-acting"], {slider.parameter: value})
    shown = page.evaluate("oilway.session.values.get('pressure:pump line')")
    assert shown == pytest.approx(state.pressures["pump line"], abs=7e3)  # 1 psi
    assert page.locator("#banner").is_hidden()


def test_what_the_table_does_not_hold_is_said_in_words(page: Page) -> None:
    page.evaluate("oilway.session.change({'lever valve.spool.position': 0.5})")
    page.wait_for_function("() => oilway.session.problem")
    assert "no numbers for that" in page.locator("#words").inner_text()


def test_the_other_variant_stands_beside_it(page: Page) -> None:
    page.evaluate("oilway.go('two')")
    page.wait_for_function("() => oilway.compare.other?.frame")
    assert page.evaluate("oilway.compare.other.scene.variant") in ("two-stage", "direct-acting")


def test_nothing_serious_for_the_checker_of_access(page: Page) -> None:
    for view in ("picture", "steps"):
        page.evaluate("view => oilway.go(view)", view)
        found = Axe().run(page).response["violations"]
        assert not [(e["id"], e["nodes"][0]["html"]) for e in found if e["impact"] in ("serious", "critical")]
