"""What an instructor would complain about: numbers too small or covered, an older picture than the last."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from tests.page.browser.opened import HOIST, Opened

from oilway.page.session import Session
from oilway.study.story import examples

Open = Callable[..., Opened]
Served = tuple[Session, str]
Serve = Callable[[Session], Served]
LEAST, BESIDE = 24.0, 18.0  # px: a pressure on a projector, and where two pictures stand side by side
LARGEST = {
    ("tractor_loader", "circuit"),
    ("relief_stands", "circuit"),
}  # too large for one look: there is "Larger" for it
FILES = [
    *sorted(p.stem for p in examples().glob("*.yaml")),
    "solenoid vented relief",
    "crossover relief",
    "unloading",
]
# Size on the screen of each pressure of a picture, [[channel, px], ...]; the box of a text is higher than it.
SIZES = """([side, prefix]) => window.oilway.pictures[side].picture.bindings
  .filter(({ what, options }) => what === 'text' && options.kind === 'pressure')
  .map(({ id, channel }) => {
    const text = document.getElementById(prefix + id);
    const written = parseFloat(text.getAttribute('font-size')) * text.getScreenCTM().a;
    return [channel, Math.min(written, text.getBoundingClientRect().height)];
  })"""
PICTURES = "window.oilway.session.scene.pictures.map(({ key }) => key)"


@pytest.mark.parametrize("file", FILES)
def test_every_pressure_can_be_read_from_the_back_of_the_room(opened: Open, serve: Serve, file: str) -> None:
    path = examples() / f"{file}.yaml"
    found = opened(serve(Session(str(path) if path.exists() else file)))
    for key in found.page.evaluate(PICTURES):
        found.page.evaluate("key => window.oilway.choose(key)", key)
        if (file, key) in LARGEST:
            found.page.get_by_role("button", name="Larger").click()
        sizes = found.page.evaluate(SIZES, ["a", ""])
        assert sizes
        assert [each for each in sizes if each[1] < LEAST] == [], key


def test_two_cutaways_side_by_side_can_be_read(opened: Open, serve: Serve) -> None:
    found = opened(serve(Session(str(HOIST))))
    found.page.evaluate("window.oilway.choose('cutaway0')")
    found.key("3")
    found.page.wait_for_function("() => window.oilway.compare.other?.frame", timeout=60000)
    found.page.wait_for_function("() => document.querySelector('#picture-b svg')")
    for side in (["a", ""], ["b", "b-"]):
        assert [each for each in found.page.evaluate(SIZES, side) if each[1] < BESIDE] == []


@pytest.mark.parametrize("picture", ["circuit", "cutaway0"])
def test_notes_cover_no_number_on_a_phone(opened: Open, hoist: Served, picture: str) -> None:
    found = opened(hoist, "phone")
    found.page.evaluate("key => window.oilway.choose(key)", picture)
    about = {"circuit": "pump", "cutaway0": "main relief.main part"}[picture]
    problem = {"what": "the balance cannot be solved", "hint": "give a lower load", "part": about}
    answer = json.dumps({"seq": 1, "problem": problem})
    found.page.route("**/api/frame", lambda route: route.fulfill(body=answer, content_type="application/json"))
    found.change({"box.load pressure": 1e7})
    note = box(found, "#picture-a .callout")[0]
    plates = box(found, "#picture-a svg text")
    assert note["width"] > 100
    assert len(plates) > 10
    assert [plate for plate in plates if overlaps(note, plate)] == []


def box(found: Opened, selector: str) -> list[dict[str, Any]]:
    """Where elements stand on the screen."""
    boxes = found.page.evaluate(
        "at => [...document.querySelectorAll(at)].map(e => e.getBoundingClientRect().toJSON())", selector
    )
    assert isinstance(boxes, list)
    return boxes


def overlaps(a: dict[str, Any], b: dict[str, Any]) -> bool:
    across = min(a["right"], b["right"]) - max(a["left"], b["left"])
    return bool(across > 1 and min(a["bottom"], b["bottom"]) - max(a["top"], b["top"]) > 1)


def test_fast_presses_leave_the_last_answer_as_the_picture_before(opened: Open, serve: Serve) -> None:
    found = opened(serve(Session("direct relief")))
    found.key("4")
    found.settled()
    found.page.evaluate("""() => {
      const { source } = window.oilway;
      const get = source.frame.bind(source);
      source.frame = async (set, side) => {
        await new Promise(done => setTimeout(done, 300));
        return get(set, side);
      };
    }""")
    found.key("PageDown", "PageDown", "PageDown", "PageDown")
    found.page.wait_for_function("() => oilway.steps.at === 2 && !oilway.steps.revealed && !oilway.steps.busy")
    inlet = "pressure:inlet"
    before = found.page.evaluate("name => window.oilway.seen.values.get(name)", inlet)
    points = list(found.page.evaluate("window.oilway.session.scene.points").values())
    told = [found.session.side("a").solve(point).pressures["inlet"] for point in points[:2]]
    assert abs(told[0] - told[1]) > 1e5
    assert before == pytest.approx(told[1], rel=1e-6)
