"""The page's own units, colours and painting are those of Python, and its numbers are those of ``explain``."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest
from tests.draw.drawn import words_of
from tests.page.browser.opened import HOIST, Opened
from typer.testing import CliRunner

from oilway import quantity
from oilway.cli import app as cli
from oilway.draw.colours import colour, hatch
from oilway.draw.paint import paint
from oilway.page.session import Session
from oilway.quantity import KINDS, PSI
from oilway.study.scale import full_scale

Open = Callable[..., Opened]
Served = tuple[Session, str]
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
NEAR = 0.02  # px, degrees: as far as two painters may differ
BOUND = ("fill", "stroke", "visibility", "transform", "d")

STATES: dict[str, dict[str, float]] = {
    "as in the file": {},
    "relief open": {"box.load pressure": 2600 * PSI},
    "lowering": {"lever valve.spool.position": -1.0},
    "neutral": {"lever valve.spool.position": 0.0},
    "retracted, idle": {"hoist cylinder.position": 0.02, "pump.engine speed": 800 / 60},
}
SIZES = [0.0, 1e-9, -1e-9, 3e-5, 0.0005, 0.0125, 0.5, -0.5, 1.0, 2.5, -3.5, 0.999999, 1234.5, -98765.4321, 1e8]


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_numbers_are_written_as_quantity_show_writes_them(opened: Open, hoist: Served, units: str) -> None:
    found = opened(hoist)
    cases = [(kind, size * unit_of(kind, units)) for kind in KINDS for size in SIZES]
    # Values that stand exactly between two roundings in the shown unit, where the two languages differ by nature.
    cases += [("number", k + 0.5) for k in range(4)] + [("number", 0.0625 * k) for k in range(9)]
    said = found.page.evaluate(
        """async ([cases, units]) => {
          const { Units } = await import('/static/units.js');
          const all = new Units(window.oilway.session.scene.units, units);
          return cases.map(([kind, value]) => all.show(value, kind));
        }""",
        [cases, units],
    )
    assert said == [quantity.show(value, kind, units) for kind, value in cases]


def unit_of(kind: str, units: str) -> float:
    """What one shown unit is in SI, offset left out."""
    return KINDS[kind].units[quantity.unit(kind, units)]


@pytest.mark.parametrize(
    ("text", "kind", "wanted"),
    [("2100", "pressure", "2100 psi"), ("2,100 psi", "pressure", "2100 psi"), ("145 bar", "pressure", "145 bar"),
     ("120", "temperature", "120 F"), ("-0.5", "number", "-0.5"), ("1.5e3 PSI", "pressure", "1500 psi")],
)  # fmt: skip
def test_typed_values_are_read_as_parse_reads_them(
    opened: Open, hoist: Served, text: str, kind: str, wanted: str
) -> None:
    found = opened(hoist)
    value = found.page.evaluate("([text, kind]) => window.oilway.display.units.read(text, kind)", [text, kind])
    assert value == pytest.approx(quantity.parse(wanted, kind), rel=1e-12)


@pytest.mark.parametrize("text", ["", "psi", "21,00", "2100 gpm", "1.2.3", "high"])
def test_what_is_no_number_is_not_taken_for_one(opened: Open, hoist: Served, text: str) -> None:
    found = opened(hoist)
    assert found.page.evaluate("text => Number.isNaN(window.oilway.display.units.read(text, 'pressure'))", text)


def test_colours_and_hatches_are_those_of_print(opened: Open, hoist: Served) -> None:
    found = opened(hoist)
    full = full_scale(found.session.side("a").machine)
    pressures = [full * k / 200 for k in range(-10, 220)]
    said = found.page.evaluate(
        "pressures => pressures.map(p => [window.oilway.scale.colour(p), window.oilway.scale.hatch(p)])", pressures
    )
    assert said == [[colour(p, full), hatch(p, full)] for p in pressures]


@pytest.mark.parametrize("hatched", [False, True])
@pytest.mark.parametrize("name", STATES)
def test_the_page_paints_what_print_paints(opened: Open, hoist: Served, name: str, hatched: bool) -> None:
    found = opened(hoist)
    found.change(STATES[name])
    if hatched:
        found.key("p")
    side = found.session.side("a")
    state = side.solve(STATES[name])
    for named in side.pictures:
        found.page.evaluate("key => window.oilway.choose(key)", named.key)
        drawn = paint(named.picture, state, full_scale(side.machine), hatched=hatched)
        wanted = {e.get("id"): e for e in ET.fromstring(drawn).iter() if e.get("id")}
        shown = found.page.evaluate(READ, sorted({b.id for b in named.picture.bindings}))
        assert shown
        for key, (attributes, text) in shown.items():
            assert text == words_of(wanted[key]), key
            for attribute in BOUND:
                alike(attributes.get(attribute), wanted[key].get(attribute), f"{named.key} {key} {attribute}")


READ = """ids => Object.fromEntries(ids.map(id => {
  const element = document.querySelector(`#picture-a [id="${id}"]`);
  const attributes = Object.fromEntries([...element.attributes].map(a => [a.name, a.value]));
  return [id, [attributes, element.querySelector('title, g') ? '' : element.textContent]];
}))"""


def alike(shown: str | None, wanted: str | None, what: str) -> None:
    """The same words, and numbers that differ by no more than can be seen."""
    assert (shown is None) == (wanted is None), what
    if shown is None or wanted is None:
        return
    if shown.startswith("#"):
        assert shown == wanted, what
        return
    assert NUMBER.sub("", shown) == NUMBER.sub("", wanted), what
    pairs = zip(NUMBER.findall(shown), NUMBER.findall(wanted), strict=True)
    assert all(abs(float(a) - float(b)) <= NEAR for a, b in pairs), f"{what}: {shown} for {wanted}"


@pytest.mark.parametrize("at", ["load pressure=1500 psi", "load pressure=2600 psi", "lever=0"])
def test_pressures_on_the_page_are_those_of_explain(opened: Open, hoist: Served, at: str) -> None:
    told = CliRunner().invoke(cli, ["explain", str(HOIST), "--at", at, "--json"])
    pressures = json.loads(told.output)[0]["pressures"]["values"]
    found = opened(hoist)
    word, text = at.split("=")
    box = found.page.get_by_label(f"{word.capitalize()}, type a value")
    box.fill(text.removesuffix(" psi"))
    box.press("Enter")
    found.settled()
    compared = 0
    for picture in found.session.side("a").pictures:
        found.page.evaluate("key => window.oilway.choose(key)", picture.key)
        shown = found.page.evaluate(READ, [b.id for b in picture.picture.bindings if b.what == "text"])
        for binding in picture.picture.bindings:
            sort, _, chamber = binding.channel.partition(":")
            if binding.what == "text" and sort == "pressure":
                number = float(
                    NUMBER.findall(shown[binding.id][1].removeprefix(str(binding.options.get("before", ""))))[0]
                )
                assert number == pytest.approx(pressures[chamber], abs=0.5000001), chamber
                compared += 1
    assert compared >= 4
