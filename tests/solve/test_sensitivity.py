"""Slopes of a state of rest by hand: an orifice alone, and trapped oil that stays."""

from __future__ import annotations

import pytest

from oilway.solve.sensitivity import gradients, slopes
from oilway.solve.steady import steady

LINE = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 2 mm, transition Reynolds number: 1}
    """
SHUT = """
    shut: {kind: chamber}
    way: {kind: orifice, from: line, to: shut, diameter: 0 mm}
    """


def test_the_pressure_over_an_orifice_goes_with_flow_squared_over_bore_to_the_fourth(machine) -> None:
    built = machine(LINE)
    system, th = built.system, built.theta()
    z = steady(system, th)
    (p,), (slope,) = gradients(system, z, th, ["pressure:line"])
    flow, bore = system.parameters["pump.flow"], system.parameters["hole.diameter"]
    # the flow is counted at 0 psi, so that the density under pressure takes a little off the square
    assert slope[flow] * th[flow] / p == pytest.approx(2, rel=0.01)
    assert slope[bore] * th[bore] / p == pytest.approx(-4, rel=0.01)


def test_oil_that_nothing_fixes_stays(machine) -> None:
    built = machine(LINE.rstrip() + SHUT)
    system, th = built.system, built.theta()
    z = steady(system, th)
    by = slopes(system, z, th)
    assert by[system.index["pressure in shut"]] == pytest.approx(0, abs=1e-9)
    assert abs(by[system.index["pressure in line"]]).max() > 0
