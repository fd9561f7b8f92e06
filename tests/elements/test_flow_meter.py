"""Flow meter: counts volume at its own pressure."""

from __future__ import annotations

import pytest

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    behind: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 40 L/min}
    meter: {kind: flow meter, from: line, to: behind}
    load: {kind: orifice, from: behind, to: tank, diameter: 2.1 mm}
    """


def test_reads_less_under_pressure_by_the_ratio_of_densities(solve, oil) -> None:
    state = solve(PARTS)
    kind, reading = state.readings["meter"]
    assert kind == "flow"
    rho = oil.mean(state.pressures["line"], state.pressures["behind"])
    assert reading == pytest.approx(40e-3 / 60 * oil.rho0 / rho, rel=1e-9)
    # At this pressure (above 200 bar) the oil is over 1 % denser than in the tank.
    assert reading < 0.99 * 40e-3 / 60
    assert state.at_no_pressure(state.flow_through("meter")) == pytest.approx(40e-3 / 60, rel=1e-9)


def test_drops_a_little_pressure_by_its_bore(solve, oil) -> None:
    state = solve(PARTS.replace("kind: flow meter,", "kind: flow meter, diameter: 6 mm,"))
    a, b = state.pressures["line"], state.pressures["behind"]
    rho = oil.mean(a, b)
    u = oil.rho0 * 40e-3 / 60 / (rho * 3.141592653589793 / 4 * 36e-6)
    drop = rho / (2 * 0.61**2) * (u**2 + oil.mu / rho * 9.33 / 6e-3 * u)
    assert a - b == pytest.approx(drop, rel=1e-6)


def test_reads_backwards_too(between) -> None:
    state = between("{kind: flow meter, diameter: 3 mm}", high="10 bar", low="20 bar")
    assert state.readings["part"][1] < 0
