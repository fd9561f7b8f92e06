"""The ends of the test stand: a given flow, and a held pressure."""

from __future__ import annotations

import pytest

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
    load: {kind: test load, from: line, to: tank, load pressure: 150 bar}
    """
SPILLING = f"{PARTS.rstrip()}\n    spill: {{kind: orifice, from: line, to: tank, diameter: 10 mm}}\n"
GIVEN = 20e-3 / 60  # m3/s


def test_the_pump_delivers_its_flow_at_any_pressure(solve, oil) -> None:
    for p in ("10 bar", "400 bar", "600 bar"):
        state = solve(PARTS, {"load pressure": p})
        assert state.flow_through("pump") == pytest.approx(oil.rho0 * GIVEN, rel=1e-12)


def test_the_pump_takes_the_work_it_gives(solve, oil) -> None:
    state = solve(PARTS)
    shaft = next(e.value for e in state.power if e.label == "shaft power")
    assert shaft == pytest.approx(-oil.rho0 * GIVEN * oil.work(state.pressures["line"]), rel=1e-12)
    # kW = bar x L/min / 600 (CK33): 5 kW, less half of the 1 % that compression gives back.
    assert shaft == pytest.approx(-5000, rel=0.006)


def test_the_load_holds_its_pressure(solve) -> None:
    state = solve(PARTS)
    assert state.pressures["line"] == pytest.approx(150e5 + 1e6 * GIVEN, rel=1e-12)  # 1e6 Pa s/m3 of steepness


def test_with_its_check_the_load_gives_no_oil_back(solve) -> None:
    state = solve(SPILLING)
    assert state.pressures["line"] < 150e5
    assert state.flow_through("load") == 0.0


def test_without_its_check_it_feeds_the_line(solve) -> None:
    state = solve(SPILLING.replace("load pressure: 150 bar", "load pressure: 150 bar, load check: no"))
    assert state.flow_through("load") < 0
    assert state.pressures["line"] == pytest.approx(150e5, rel=1e-3)
    both = state.flow_through("pump") - state.flow_through("load")
    assert state.flow_through("spill") == pytest.approx(both, rel=1e-9)
