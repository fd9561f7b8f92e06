"""How margins read on the terminal."""

from __future__ import annotations

import io

from rich.console import Console

import oilway
from oilway.margin_text import print_margins
from oilway.solve.point import solve_point
from oilway.study.margin import margins


def said(at: dict[str, str]) -> str:
    built = oilway.load("pilot relief")
    state = solve_point(built, built.point_from(at))
    console = Console(file=io.StringIO(), width=110)
    print_margins(console, [(state, margins(state))], "shop")
    return console.file.getvalue()


def test_an_unsteady_valve_is_told_what_would_help() -> None:
    text = said({"damping orifice.diameter": "1.6 mm"})
    assert "NOT STEADY" in text
    line = next(line for line in text.splitlines() if "damping orifice.diameter  " in line)
    assert "1.600 mm" in line
    assert "x 0." in line
    assert "turns of adjusters stay" in text


def test_a_shut_valve_does_not_swing() -> None:
    text = said({"load pressure": "500 psi"})
    assert "nothing of it swings here" in text
    assert "on a seat or stop, left out: main part, pilot poppet" in text
    assert "What changes it" not in text


def test_only_a_valve_short_of_the_target_has_a_column_of_factors() -> None:
    assert "for 0.1" in said({"damping orifice.diameter": "1.6 mm"})
    assert "for 0.1" not in said({"damping orifice.diameter": "0.8 mm"})
