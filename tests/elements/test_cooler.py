"""Cooler: its drop at rated flow, in thick oil and backwards, its heat in the ledger, its rating."""

from __future__ import annotations

import pytest

from oilway.errors import InputError

# In this oil at 40 C the test viscosity is its own: 0.6 bar at 60 L/min.
PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}
    cooler: {kind: cooler, from: line, to: tank, rated flow: 60 L/min, rated drop: 0.6 bar, test viscosity: 46 cSt,
             heat given off: 180 W/K}
    """


def test_half_the_rated_flow_drops_half(solve) -> None:
    state = solve(PARTS)
    assert state.pressures["line"] == pytest.approx(0.3e5, rel=1e-4)
    assert state.findings == []


def test_backwards_it_drops_as_much(solve) -> None:
    assert solve(PARTS.replace("from: line, to: tank", "from: tank, to: line")).pressures["line"] == pytest.approx(
        0.3e5, rel=1e-4
    )


def test_cold_oil_drops_more(solve) -> None:
    cold = solve(PARTS, {"oil temperature": "20 C"})
    drop = 0.3e5 * cold.parameter("oil.mu") / (46e-6 * cold.parameter("oil.rho0"))
    assert drop > 2 * 0.3e5
    assert cold.pressures["line"] == pytest.approx(drop, rel=1e-3)


def test_its_drop_is_heat_into_the_oil_and_power_closes(solve) -> None:
    state = solve(PARTS)
    heat = next(e.value for e in state.power if e.part == "cooler")
    assert heat == pytest.approx(0.3e5 * 0.5e-3, rel=1e-3)
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-6 * heat)


def test_above_its_rating_is_reported(solve) -> None:
    state = solve(PARTS.replace("heat given off", "rated pressure: 0.2 bar, heat given off"))
    assert {f.part for f in state.findings} == {"cooler"}


def test_one_that_gives_off_more_than_its_oil_carries_is_refused(machine) -> None:
    """60 L/min of 870 kg/m3 and 1970 J/(kg K) carry 1.714 kW a degree."""
    machine(PARTS.replace("180 W/K", "1.70 kW/K"))
    with pytest.raises(InputError, match="heat given off is more than the oil of the rated flow carries"):
        machine(PARTS.replace("180 W/K", "1.72 kW/K"))
