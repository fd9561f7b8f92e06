"""Each view of the page driven as a class would see it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.page.browser.opened import HOIST, Opened

from oilway.page.session import Session
from oilway.quantity import PSI, show
from oilway.study.story import examples

Open = Callable[..., Opened]
Served = tuple[Session, str]
Serve = Callable[[Session], Served]
LOAD = "box.load pressure"


def test_a_part_shows_its_ledger_with_the_law_behind_it(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.change({LOAD: 2600 * PSI})
    found.page.evaluate("window.oilway.ask('main relief.main part')")
    panel = found.page.locator("#part")
    expect(panel.get_by_role("heading", name="Main part")).to_be_visible()
    state = found.session.side("a").solve({LOAD: 2600 * PSI})
    shown = panel.locator(".bars .value").all_inner_texts()
    forces = [show(entry.value, "force") for entry in state.forces["main relief.main part"]]
    assert [text.rsplit(" ", 1)[0] if text.endswith(("opens", "shuts")) else text for text in shown] == forces
    assert panel.locator(".laws dt").all_inner_texts()
    found.key("Escape")
    expect(panel).to_be_hidden()


def test_a_touched_part_of_the_picture_opens_its_panel(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.page.locator("#picture-a [data-part='hoist cylinder']").first.click()
    expect(found.page.locator("#part h2")).to_have_text("Hoist cylinder")


def test_the_operating_point_walks_along_the_curve(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.view("curve")
    ring = found.page.locator(".ring span").first
    expect(ring).to_be_visible()
    before = ring.bounding_box()
    found.change({LOAD: 2600 * PSI})
    state = found.session.side("a").solve({LOAD: 2600 * PSI})
    expect(ring).to_contain_text(show(state.pressures["pump line"], "pressure"))
    after = ring.bounding_box()
    assert before is not None
    assert after is not None
    assert after["x"] > before["x"] + 100
    assert after["y"] < before["y"]


def test_a_turned_adjuster_gives_another_curve(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    cracking = found.page.locator("#curve dd").first
    expect(cracking).to_contain_text("psi")
    before = cracking.inner_text()
    turns = found.page.evaluate("window.oilway.session.value('main relief.pilot spring.turns')")
    found.change({"main relief.pilot spring.turns": turns / 2})
    expect(cracking).not_to_have_text(before)


def test_side_b_has_the_other_valve_and_follows_the_sliders(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.view("two")
    what = found.page.get_by_label("On side b")
    expect(what).to_be_visible()
    what.select_option(label="Main relief: direct relief")
    expect(found.page.locator("#name-b")).to_contain_text("direct relief")
    expect(found.page.locator("#picture-b svg")).to_be_visible()
    found.change({LOAD: 2100 * PSI})
    expect(found.page.locator("#words-b")).not_to_be_empty()
    found.settled()
    found.page.locator("#picture-b [data-part='pump']").first.click()
    expect(found.page.locator("#part h2")).to_have_text("Pump")
    found.key("Escape")
    for side, text in (("a", "#curve .ring >> nth=0"), ("b", "#curve .ring >> nth=1")):
        state = found.session.side(side).solve({LOAD: 2100 * PSI})
        expect(found.page.locator(text)).to_contain_text(show(state.pressures["pump line"], "pressure"))


def test_side_b_has_a_fault_of_its_own(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.view("two")
    found.page.get_by_label("On side b").select_option(label="Pilot seat worn gap (main relief)")
    box = found.page.get_by_label("is", exact=True)
    box.fill("0.04 mm")
    box.press("Enter")
    expect(found.page.locator("#name-b")).to_contain_text("worn gap")
    found.settled()
    own = found.page.evaluate("window.oilway.compare.other.set")
    assert own == {"main relief.pilot seat.worn gap": pytest.approx(4e-5)}
    assert found.page.evaluate("window.oilway.session.set") == {}


def test_of_two_choices_for_side_b_the_last_one_stays(opened: Open, hoist: Served) -> None:
    """The first is a valve, whose answer takes longer than that of a fault."""
    found = opened(hoist)
    found.page.evaluate("""() => {
      const { source } = window.oilway;
      const get = source.side.bind(source);
      source.side = async (changes, file) => {
        if (Object.keys(changes).length) await new Promise(done => setTimeout(done, 500));
        return get(changes, file);
      };
    }""")
    found.view("two")
    found.page.get_by_label("On side b").select_option(label="Pilot seat worn gap (main relief)")
    expect(found.page.get_by_role("status")).to_have_text("Side b is being set up ...")
    expect(found.page.get_by_role("status")).to_have_text("")
    found.page.wait_for_timeout(700)
    assert list(found.page.evaluate("window.oilway.compare.other.set")) == ["main relief.pilot seat.worn gap"]


def test_late_answers_for_a_variant_left_behind_change_nothing(opened: Open, serve: Serve) -> None:
    """Curves of the two-stage valve, slow to come, must not stand beside the numbers of the direct-acting one."""
    found = opened(serve(Session(str(examples() / "lessons" / "two_reliefs.yaml"))))
    now = found.page.evaluate("""async () => {
      const { source, session } = window.oilway;
      for (const what of ["curves", "frame"]) {
        const get = source[what].bind(source);
        source[what] = async (set, side) => {
          const answer = await get(set, side);
          if (side === "two-stage") await new Promise(done => setTimeout(done, 1000));
          return answer;
        };
      }
      await session.become("two-stage");
      session.ask();
      await session.become("direct-acting");
      await new Promise(done => setTimeout(done, 2500));
      return [session.curves, session.frame.values.length, session.scene.channels.length];
    }""")
    curves, values, channels = now
    (told,) = Session(str(examples() / "lessons" / "two_reliefs.yaml")).side("direct-acting").curves({})
    assert [curve["rising"] for curve in curves] == [told["rising"]]
    assert values == channels


def test_steps_reveal_nothing_before_the_answer(opened: Open, serve: Serve) -> None:
    session = Session("direct relief")
    found = opened(serve(session))
    found.key("4")
    found.settled()
    card = found.page.locator("#steps-card")
    expect(card).to_contain_text("Question 1 of 3")
    assert_hidden(found)
    found.key("PageDown")
    expect(card).to_contain_text("Read it off the picture")
    assert "?" not in plates(found)
    expect(found.page.locator("#words .regimes")).not_to_be_empty()
    expect(found.page.locator(".ring span")).to_be_visible()
    found.key("PageDown")
    expect(card).to_contain_text("Question 2 of 3")
    found.settled()
    assert_hidden(found)
    found.key("a")
    words = found.page.locator("#words").inner_text()
    point = list(found.page.evaluate("window.oilway.session.scene.points").values())[1]
    told = session.side("a").frame(point, 0)["words"]
    assert all(text in words for text in told.values())
    found.key("PageUp")
    expect(card).to_contain_text("Question 1 of 3")


def plates(found: Opened) -> str:
    """All texts of the picture that are bound to numbers, one a line."""
    bound = found.page.evaluate(
        """() => window.oilway.pictures.a.picture.bindings.filter(b => b.what === 'text')
             .map(b => document.querySelector(`#picture-a [id="${b.id}"]`).textContent)"""
    )
    assert bound
    return "\n".join(bound)


def assert_hidden(found: Opened) -> None:
    """No number stands in the picture, no words beneath it, no point on the curve."""
    assert all("?" in plate for plate in plates(found).split("\n"))
    expect(found.page.locator("#words .regimes")).to_be_empty()
    assert found.page.locator(".ring:not([hidden])").count() == 0


def test_a_lesson_of_its_own_asks_its_own_questions(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    lesson = [
        {"title": "Stall", "set": {LOAD: 2600 * PSI}, "question": "Who passes the oil?", "hide": ["words"],
         "choices": ["the main relief", "the lever valve"], "reveal": "The main relief."},
    ]  # fmt: skip
    found.page.evaluate(
        "stops => { const { session } = window.oilway; session.take({ ...session.scene, lesson: { stops } }); }",
        lesson,
    )
    found.view("steps")
    card = found.page.locator("#steps-card")
    expect(card).to_contain_text("Who passes the oil?")
    assert "The main relief." not in card.inner_text()
    assert "?" not in plates(found)  # this stop hides the words only
    found.page.get_by_role("button", name="Show the answer").click()
    expect(card).to_contain_text("The main relief.")


def test_a_run_plays_pauses_and_is_scrubbed(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.key("5")
    found.page.get_by_label("Seconds").fill("0.4")
    found.page.get_by_label("What changes, one a line").fill("0.1 s over 0.02 s: load pressure=2600 psi")
    found.page.get_by_role("button", name="Run", exact=True).click()
    play = found.page.get_by_role("button", name="Play")
    expect(play).to_be_enabled(timeout=30000)
    before = plates(found)
    scrub = found.page.get_by_label("Time", exact=True)
    scrub.focus()
    found.key("End")
    expect(found.page.locator(".clock")).to_have_text("0.400 s")
    assert plates(found) != before
    last = found.page.evaluate("window.oilway.time.run.values.at(-1)")
    names = found.page.evaluate("window.oilway.session.scene.channels.map(c => c.name)")
    assert show(last[names.index("pressure:pump line")], "pressure") in plates(found)
    found.page.locator("#transport select").select_option("0.1")
    scrub.evaluate("element => { element.value = 0; element.dispatchEvent(new Event('input')); }")
    scrub.evaluate("element => element.blur()")
    found.key(" ")
    expect(found.page.get_by_role("button", name="Pause")).to_be_visible()
    found.page.wait_for_function("() => window.oilway.time.now > 0.01")
    found.key(" ")
    stood = found.page.evaluate("window.oilway.time.now")
    found.page.wait_for_timeout(100)
    assert found.page.evaluate("window.oilway.time.now") == stood


def test_slow_motion_around_the_moment_a_seat_lifts(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    speeds = found.page.evaluate(
        """() => {
          const { time } = window.oilway;
          time.run = { events: [{ time: 0.5, part: 'x', what: 'lifts' }] };
          const at = now => { time.now = now; return time._speed(); };
          const slow = [at(0.1), at(0.495), at(0.505), at(0.9)];
          time.slow.checked = false;
          return [slow, at(0.5)];
        }"""
    )
    assert speeds == [[1, 0.01, 0.01, 1], 1]


def test_a_wrong_change_of_a_run_is_told_in_words(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    found.key("5")
    found.page.get_by_label("What changes, one a line").fill("0.1 s: leaver=1")
    found.page.get_by_role("button", name="Run", exact=True).click()
    expect(found.page.locator("#time-panel .refused")).to_contain_text("leaver")
    found.complaints.clear()  # the browser notes the refusal as well


def test_freeze_holds_the_picture_while_sliders_move(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    before = plates(found)
    found.key("f")
    found.change({LOAD: 2600 * PSI})
    assert plates(found) == before
    expect(found.page.locator("#frozen")).to_be_visible()
    found.key("f")
    assert plates(found) != before


def test_numbers_units_hatch_and_big_are_one_key_each(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    assert "psi" in plates(found)
    found.key("u")
    assert "bar" in plates(found)
    assert "psi" not in plates(found)
    found.key("n")
    assert all("?" in plate for plate in plates(found).split("\n"))
    found.key("n", "u")
    size = "parseFloat(getComputedStyle(document.querySelector('#words')).fontSize)"
    small = found.page.evaluate(size)
    found.key("b")
    assert found.page.evaluate(size) > 1.2 * small


def test_what_cannot_be_solved_greys_the_picture_and_speaks_at_the_part(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    before = plates(found)
    problem = {"what": "the balance of 'pump' cannot be solved", "hint": "give a lower load", "part": "pump"}
    answer = json.dumps({"seq": 1, "problem": problem})
    found.page.route("**/api/frame", lambda route: route.fulfill(body=answer, content_type="application/json"))
    found.change({LOAD: 2600 * PSI})
    assert plates(found) == before
    expect(found.page.locator("#picture-a.stale")).to_be_visible()
    note = found.page.locator("#picture-a .callout")
    expect(note).to_have_text("the balance of 'pump' cannot be solved. give a lower load")
    expect(found.page.locator(".findings .problem")).to_be_visible()
    found.page.unroute("**/api/frame")
    found.change({LOAD: 2000 * PSI})
    expect(found.page.locator("#picture-a.stale")).to_have_count(0)
    expect(note).to_have_count(0)


def test_a_broken_file_is_told_with_its_line_and_recovers(opened: Open, serve: Serve, own_hoist: Path) -> None:
    session = Session(str(own_hoist))
    text = own_hoist.read_text(encoding="utf-8")
    found = opened(serve(session))
    found.change({LOAD: 2000 * PSI})
    own_hoist.write_text(text.replace("bore: 100 mm", "bore: 100 psi"), encoding="utf-8")
    line = 1 + text[: text.index("bore: 100 mm")].count("\n")
    banner = found.page.locator("#banner")
    expect(banner).to_contain_text(f"hoist.yaml:{line}: ", timeout=10000)
    expect(banner).to_contain_text("100 psi")
    expect(found.page.locator("#picture-a.stale")).to_be_visible()
    own_hoist.write_text(text.replace("bore: 100 mm", "bore: 110 mm"), encoding="utf-8")
    expect(banner).to_be_hidden(timeout=10000)
    found.settled()
    expect(found.page.locator("#picture-a.stale")).to_have_count(0)
    assert found.page.evaluate("window.oilway.session.set") == {LOAD: 2000 * PSI}  # what was set stays set


def test_only_the_newest_question_counts(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    asked = found.page.evaluate(
        """async () => {
          const { LatestWins } = await import('/static/source.js');
          const sent = [];
          const free = [];
          const ask = each => { sent.push(each); return new Promise(done => free.push(() => done(each))); };
          const all = new LatestWins(ask);
          const answers = [1, 2, 3, 4].map(each => all.request(each));
          free[0]();
          await answers[0];
          await new Promise(done => setTimeout(done));
          free[1]();
          return [sent, await Promise.all(answers)];
        }"""
    )
    assert asked == [[1, 4], [1, None, None, 4]]


def test_the_first_picture_is_the_one_that_was_opened(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    assert (
        found.page.locator("#which option").first.get_attribute("value") == found.session.side("a").pictures[0].key
    )
    assert found.page.title().startswith("Brackwater")
    assert HOIST.name == found.page.evaluate("window.oilway.session.scene.file")
