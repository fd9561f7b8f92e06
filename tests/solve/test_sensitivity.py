"""Slopes of a state of rest by hand."""

from __future__ import annotations

import pytest

from oilway.solve.sensitivity import gradients
from oilway.solve.steady import steady

LINE = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 2 mm, transition Reynolds number: 1}
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
