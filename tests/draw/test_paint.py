"""Painting: each binding does what its sentence says, with the numbers of the state and of nothing else."""

from __future__ import annotations

import copy
import math
from xml.etree import ElementTree as ET

import pytest
from tests.draw.gallery import states

from oilway import quantity
from oilway.draw.colours import colour, hatch
from oilway.draw.paint import SMALLEST, _Painter, paint
from oilway.draw.picture import WHATS, Picture, spring_path
from oilway.solve.result import State

FULL = 2e7


@pytest.fixture
def state() -> State:
    """The direct-acting relief at full flow."""
    return states("direct relief")[-1]


def painted(
    state: State,
    what: str,
    channel: str,
    units: quantity.Units = "shop",
    *,
    hatched: bool = False,
    **options: float | str,
) -> ET.Element:
    picture = Picture("t", 10, 10)
    picture.bind(picture.add(None, "g"), what, channel, **options)
    root = ET.fromstring(paint(picture, state, FULL, units, hatched=hatched))
    return next(e for e in root.iter() if e.get("id") == picture.bindings[0].id)


def test_fill_is_the_colour_of_the_pressure(state: State) -> None:
    assert painted(state, "fill", "pressure:inlet").get("fill") == colour(state.pressures["inlet"], FULL)


def test_the_hatch_shows_in_print_only(state: State) -> None:
    assert painted(state, "hatch", "pressure:inlet").get("fill") == "none"
    band = hatch(state.pressures["inlet"], FULL)
    assert painted(state, "hatch", "pressure:inlet", hatched=True).get("fill") == f"url(#p-hatch-{band})"


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_text_is_the_value_as_every_other_face_shows_it(state: State, units: quantity.Units) -> None:
    said = painted(state, "text", "pressure:inlet", units, kind="pressure", before="P ", after=" !").text
    assert said == f"P {quantity.show(state.pressures['inlet'], 'pressure', units)} !"


def test_a_group_moves_by_the_lift_and_no_further_than_allowed(state: State) -> None:
    lift = state.statuses["poppet"].lift
    assert lift > 0
    free = painted(state, "move", "lift:poppet", dx=1000.0, dy=-2000.0)
    assert free.get("transform") == f"translate({1000 * lift:.2f} {-2000 * lift:.2f})"
    held = painted(state, "move", "lift:poppet", dy=-2000.0, most=0.01)
    assert held.get("transform") == "translate(0.00 -0.01)"


def test_a_spring_lies_between_its_anchor_and_its_part(state: State) -> None:
    lift, turns = state.statuses["poppet"].lift, state.parameter("main spring.turns")
    options = {"x": 5.0, "width": 4.0, "coils": 3.0, "a": 0.0, "b": 90.0, "gain": -1e4, "most": 50.0}
    d = painted(
        state, "spring", "lift:poppet", **options, anchor_gain=2.0, anchor_channel="turns:main spring"
    ).get("d")
    assert d == spring_path(5, 4, 3, 2 * turns, 90 - 1e4 * lift)
    unanchored = painted(state, "spring", "lift:poppet", **options).get("d")
    assert unanchored == spring_path(5, 4, 3, 0, 90 - 1e4 * lift)


def test_an_adjuster_turns_once_a_turn(state: State) -> None:
    turns = state.parameter("main spring.turns")
    found = painted(state, "turn", "turns:main spring", cx=3.0, cy=4.0).get("transform")
    assert found == f"rotate({360 * turns:.2f} 3 4)"


def test_an_arrow_grows_with_the_logarithm_of_the_flow(state: State) -> None:
    """From the smallest at the least flow to full size at full flow; half-way between at their geometric mean."""
    q = state.at_no_pressure(state.flow_through("seat"))
    for least, full, size in (
        (q, 9 * q, SMALLEST),
        (q / 9, q, 1.0),
        (q / 3, 3 * q, (1 + SMALLEST) / 2),
        (q / 9, q / 3, 1.0),
    ):
        found = painted(state, "flow", "flow:seat", least=least * (1 - 1e-12), full=full)
        assert found.get("visibility") == "visible"
        assert found.get("transform") == f"scale({size:.3f} {size:.3f})"


def test_an_arrow_hides_below_the_least_flow_and_turns_round_with_it(state: State) -> None:
    q = state.at_no_pressure(state.flow_through("seat"))
    assert painted(state, "flow", "flow:seat", least=1.01 * q, full=9 * q).get("visibility") == "hidden"
    back = copy.copy(state)
    back.flows = {c: [copy.copy(e) for e in book] for c, book in state.flows.items()}
    for book in back.flows.values():
        for k, entry in enumerate(book):
            book[k] = type(entry)(entry.label, entry.part, entry.law, -entry.value, entry.other)
    found = painted(back, "flow", "flow:seat", least=q / 9, full=q)
    assert found.get("transform") == "scale(-1.000 1.000)"


def test_a_status_shows_only_while_it_holds(state: State) -> None:
    shows = {w: painted(state, "status", "status:poppet", when=w).get("visibility") for w in ("seated", "open")}
    assert shows == {"seated": "hidden", "open": "visible"}


def test_every_kind_of_binding_is_painted() -> None:
    assert {name[1:] for name in vars(_Painter) if name[1:] in WHATS} == set(WHATS)


def test_painting_leaves_the_picture_as_it_was(state: State) -> None:
    picture = Picture("t", 10, 10)
    picture.number(None, 0, 0, "pressure:inlet")
    before = picture.svg()
    assert paint(picture, state, FULL) != before
    assert picture.svg() == before


def test_a_channel_that_is_not_there_is_an_error_and_no_blank(state: State) -> None:
    with pytest.raises(KeyError):
        painted(state, "fill", "pressure:nowhere")


def test_no_number_is_painted_that_is_not_finite(state: State) -> None:
    wrong = copy.copy(state)
    wrong.pressures = {**state.pressures, "inlet": math.nan}
    with pytest.raises(ValueError, match="nan"):
        painted(wrong, "text", "pressure:inlet", kind="pressure")
