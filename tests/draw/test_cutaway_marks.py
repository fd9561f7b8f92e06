"""Names, signs and ports of a cutaway."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from tests.draw.drawn import words_of
from tests.draw.gallery import VALVES, local, painted, picture, plan, texts, valve

import oilway
from oilway import quantity
from oilway.draw.cutaway import cutaway
from oilway.draw.cutaway_marks import NAME, SMALLER, fitted
from oilway.draw.paint import paint
from oilway.draw.picture import Picture
from oilway.solve.point import solve_point


def test_a_name_shrinks_to_its_place_and_is_cut_only_then() -> None:
    drawn = Picture("t", 500, 100)
    short, longer = (fitted(drawn, None, 0, 0, words, 160) for words in ("inlet", "pilot spring chamber"))
    assert float(short.get("font-size", "0")) == NAME
    assert SMALLER <= float(longer.get("font-size", "0")) < NAME
    assert longer.text == "pilot spring chamber"
    cut = fitted(drawn, None, 0, 0, "a" * 60, 160)
    assert (cut.text or "").endswith("…")
    assert [e.text for e in cut if local(e) == "title"] == ["a" * 60]
    for element, box in texts(drawn.root):
        assert box[2] - box[0] <= 160, element.text


@pytest.mark.parametrize("name", VALVES)
def test_each_restriction_shows_its_name_and_its_flow(name: str) -> None:
    stations = [e for e in painted(name).iter() if e.get("class") == "station"]
    assert {e.get("data-part") for e in stations} == {s.part.name for s in plan(name).stations}
    for station in stations:
        said = " ".join(words_of(t) for t in station.iter() if local(t) == "text")
        wanted = valve(name).called(station.get("data-part", ""))
        assert said.replace(". ", ".").startswith(wanted)
        assert "gpm" in said


def test_an_orifice_tells_its_bore() -> None:
    """0.6 mm are 0.0236 in."""
    said = [words_of(e) for e, _ in texts(painted("pilot relief"))]
    assert "Ø 0.024 in" in said


@pytest.mark.parametrize("name", VALVES)
def test_each_port_tells_its_letter_and_its_role(name: str) -> None:
    said = [words_of(e) for e, _ in texts(picture(name).root)]
    for port in valve(name).ports:
        assert port.letter in said
        assert f"{port.role}, plugged" in said if port.plugged else port.role in said


def test_a_valve_with_every_kind_of_passage_shows_each_by_its_name() -> None:
    text = """
format: 1
valve: block with everything
ports:
  P: {chamber: a, role: inlet}
  T: {chamber: b, role: outlet}
rated flow: 10 gpm
parts:
  a: {kind: chamber, volume: 50 cm3}
  b: {kind: chamber, volume: 50 cm3}
  c: {kind: chamber, volume: 50 cm3}
  strainer: {kind: filter, from: a, to: b, rated flow: 20 gpm, bypass diameter: 10 mm}
  drilling: {kind: line, from: a, to: b, length: 0.2 m, diameter: 8 mm}
  fit: {kind: annular gap, from: a, to: b, diameter: 8 mm, length: 9 mm, clearance: 5 um}
  ball: {kind: shuttle, first: a, second: b, to: c}
  dial: {kind: gauge, at: c, span: 3000 psi}
"""
    machine = oilway.loads(text)
    drawn = cutaway(machine, machine.mounted[0], key="v")
    state = solve_point(machine)
    root = ET.fromstring(paint(drawn, state, 2e7))
    said = [words_of(e) for e, _ in texts(root)]
    assert set(said) >= {"strainer", "drilling", "fit", "ball", "dial", "a", "b", "c"}
    reading = quantity.show(state.pressures["c"], "pressure")
    assert said.count(reading) >= 2  # on the plate and at the gauge


def test_only_one_status_shows_at_a_time() -> None:
    for point, word in ((0, "seated"), (-1, "open")):
        said = [words_of(e) for e, _ in texts(painted("direct relief", point))]
        assert [w for w in said if w in ("seated", "open", "at its stop")] == [word]
