"""Chamber: mass balance, and oil that holds no tension."""

from __future__ import annotations

import math

import pytest

from oilway.errors import ImpossibleCircuit

STARVED = """
    tank: {kind: tank}
    suction: {kind: chamber}
    line: {kind: chamber}
    strainer: {kind: orifice, from: tank, to: suction, diameter: 1 mm}
    pump: {kind: test pump, inlet: suction, outlet: line, flow: 30 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 5 mm}
    """
VACUUM = 0.05e5 - 101325.0  # Pa gauge: 0.05 bar absolute


def test_what_comes_in_goes_out(solve, oil) -> None:
    state = solve("""
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
        small: {kind: orifice, from: line, to: tank, diameter: 1 mm}
        large: {kind: orifice, from: line, to: tank, diameter: 2 mm}
        """)
    given = oil.rho0 * 20e-3 / 60
    assert state.flow_through("pump") == pytest.approx(given, rel=1e-12)
    assert state.flow_through("small") + state.flow_through("large") == pytest.approx(given, rel=1e-9)
    assert sum(e.value for e in state.flows["line"]) == pytest.approx(0.0, abs=1e-9)


def test_a_starved_chamber_stays_at_vacuum_and_a_void_makes_up_for_the_oil(solve, oil) -> None:
    state = solve(STARVED)
    assert state.pressures["suction"] == VACUUM
    drop = -VACUUM
    rho = oil.mean(0, VACUUM)
    strainer = rho * math.pi / 4 * 1e-6 * oil.orifice_speed(1e-3, drop, rho)
    void = next(e.value for e in state.flows["suction"] if e.label == "void opening")
    assert void == pytest.approx(oil.rho0 * 30e-3 / 60 - strainer, rel=1e-6)
    assert sum(e.value for e in state.flows["suction"]) == pytest.approx(0.0, abs=1e-9)
    assert any("air comes out" in f.what for f in state.findings)


def test_a_chamber_above_vacuum_has_no_void(solve) -> None:
    state = solve(STARVED.replace("diameter: 1 mm", "diameter: 20 mm"))
    assert VACUUM < state.pressures["suction"] < 0
    assert [e.value for e in state.flows["suction"] if e.label == "void opening"] == [0.0]


def test_the_pressure_never_falls_below_vacuum(solve) -> None:
    for flow in ("10 L/min", "50 L/min", "250 L/min"):
        state = solve(STARVED, {"pump flow": flow})
        assert min(state.pressures.values()) >= VACUUM


def test_a_pump_with_nowhere_to_go_is_a_finding_without_numbers(solve) -> None:
    with pytest.raises(ImpossibleCircuit, match="dead-headed") as caught:
        solve("""
            tank: {kind: tank}
            line: {kind: chamber}
            pump: {kind: test pump, inlet: tank, outlet: line, flow: 1 gpm}
            gauge: {kind: gauge, at: line}
            """)
    assert caught.value.exit_status == 3
    assert "line" in str(caught.value)


def test_a_pressure_above_the_rating_is_reported(solve) -> None:
    parts = """
        tank: {kind: tank}
        line: {kind: chamber, rated pressure: RATING}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
        hole: {kind: orifice, from: line, to: tank, diameter: 1.5 mm}
        """
    pressure = solve(parts.replace("RATING", "9000 psi")).pressures["line"]
    below, above = (parts.replace("RATING", f"{pressure * share:.0f} Pa") for share in (0.999, 1.001))
    assert [f.part for f in solve(below).findings] == ["line"]
    assert solve(above).findings == []
