"""Gauge: shows its chamber, takes no oil, and says when it is past its scale."""

from __future__ import annotations

import pytest

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 2 mm}
    gauge: {kind: gauge, at: line, span: SPAN}
    """


def test_shows_the_pressure_of_its_chamber(solve) -> None:
    state = solve(PARTS.replace("SPAN", "400 bar"))
    assert state.readings["gauge"] == ("pressure", state.pressures["line"])
    assert state.findings == []


def test_takes_no_oil(solve) -> None:
    state = solve(PARTS.replace("SPAN", "400 bar"))
    assert state.flow_through("gauge") == 0.0
    without = PARTS.replace("gauge: {kind: gauge, at: line, span: SPAN}", "")
    assert solve(without).pressures["line"] == state.pressures["line"]


def test_beyond_its_scale_is_reported(solve) -> None:
    state = solve(PARTS.replace("SPAN", "100 bar"))
    (finding,) = state.findings
    assert (finding.part, finding.bound) == ("gauge", pytest.approx(100e5))
    assert "end of the gauge's scale" in finding.what


def test_a_gauge_may_leave_its_span_out(solve) -> None:
    state = solve(PARTS.replace(", span: SPAN", ""))
    assert state.readings["gauge"][1] > 100e5
    assert state.findings == []


def test_a_wrong_one_shows_something_else_and_changes_nothing(solve) -> None:
    sound = solve(PARTS.replace("SPAN", "400 bar"))
    wrong = solve(PARTS.replace("SPAN", "400 bar, zero error: 5 bar, span error: -10 %"))
    assert wrong.readings["gauge"][1] == pytest.approx(0.9 * sound.pressures["line"] + 5e5)
    assert wrong.pressures == sound.pressures
