"""Curves of reducing valves as text, and curves as CSV: what is printed is what was computed."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from rich.console import Console

import oilway
from oilway.curve_text import curve_table, print_reducing
from oilway.quantity import number, show
from oilway.study.reducing import ReducingCurve, reducing_curve


@pytest.fixture(scope="module")
def curves() -> list[ReducingCurve]:
    return [
        reducing_curve(oilway.load("reducing", {"outlet": choice})) for choice in ("non-relieving", "relieving")
    ]


def test_the_figures_stand_side_by_side(curves: list[ReducingCurve]) -> None:
    out = io.StringIO()
    print_reducing(Console(file=out, width=110), curves, "shop")
    lines = {" ".join(line.split()) for line in out.getvalue().splitlines()}

    def said(pick: str) -> str:
        values = (getattr(c, pick) for c in curves)
        return " ".join("-" if v is None else show(v, "pressure") for v in values)

    assert f"held pressure at no flow {said('held')}" in lines
    assert f"at the setting's flow {said('at_setting')}" in lines
    assert f"at full flow {said('full')}" in lines
    assert f"droop, from no to full flow {said('droop')}" in lines
    assert f"hysteresis at half flow {said('hysteresis')}" in lines
    assert f"rise, most pushed back {said('pushed_rise')}" in lines
    assert "most pushed back - 6.00 gpm" in lines
    assert any("non-relieving: it does not let out" in line for line in lines)
    assert any("inlet from 2000 psi to 1300 psi: " in line for line in lines)
    assert "not an authority" in out.getvalue()


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_the_table_holds_every_point_in_the_units_asked_for(curves: list[ReducingCurve], units) -> None:
    head, *rows = csv.reader(io.StringIO(curve_table(curves[1:], units)))
    flow, pressure = ("gpm", "psi") if units == "shop" else ("L/min", "bar")
    assert head == ["valve", "pressure read", "branch", f"flow, {flow}", f"pressure, {pressure}"]
    assert {row[1] for row in rows} == {"reduced pressure"}
    assert len(rows) == 3 * len(curves[1].flows)
    back = np.array([[float(v) for v in row[3:]] for row in rows if row[2] == "pushed back"])
    assert back[-1, 0] == pytest.approx(number(-curves[1].full_flow, "flow", units))
    assert back[-1, 1] == pytest.approx(number(float(curves[1].pushed[-1]), "pressure", units))
