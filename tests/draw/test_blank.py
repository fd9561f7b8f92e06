"""Blanks: what is asked for has a line to write on, and nothing of the state is given away."""

from __future__ import annotations

import re

import oilway
from oilway import quantity
from oilway.draw.blank import LINE, blank
from oilway.draw.paint import paint
from oilway.draw.pictures import pick, pictures
from oilway.solve.point import solve_point


def test_a_blank_cutaway_gives_nothing_away() -> None:
    machine = oilway.load("pilot relief")
    state = solve_point(machine)
    picture = pick(pictures(machine)).picture
    text = blank(picture, state, {"pressure:inlet": "a", "pressure:back chamber": "b"})
    assert f"a {LINE} psi" in text
    assert f"b {LINE} psi" in text
    for pressure in state.pressures.values():
        shown = quantity.show(pressure, "pressure")
        assert pressure < 1e5 or shown not in text
        assert pressure < 1e5 or shown in re.sub(r"<[^>]*>", "", paint(picture, state, 2e7))
    assert "gpm" not in text
    assert not re.search(r">(open|seated|at its stop)<", text)


def test_two_states_have_the_same_blank() -> None:
    machine = oilway.load("pilot relief")
    picture = pick(pictures(machine)).picture
    low = solve_point(machine, machine.point_from({"load pressure": "1000 psi"}))
    assert blank(picture, low, {"pressure:inlet": "a"}) == blank(
        picture, solve_point(machine), {"pressure:inlet": "a"}
    )


def test_no_fill_of_the_pressure_scale_is_left() -> None:
    machine = oilway.load("direct relief")
    picture = pick(pictures(machine)).picture
    assert "#fee838" in paint(picture, solve_point(machine), 2e7)  # the colour of tank pressure
    assert "#fee838" not in blank(picture, solve_point(machine), {})
