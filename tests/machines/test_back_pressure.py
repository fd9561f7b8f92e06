"""Back-pressure counts where the spring chamber drains to: 1:1 inside, not at all outside, for both valves."""

from __future__ import annotations

from functools import cache

import pytest

import oilway
from oilway.model.machine import Machine
from oilway.quantity import parse
from oilway.solve.point import solve_point

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
CIRCUIT = """format: 1
machine: back-pressure
oil: {grade: ISO VG 46, temperature: 120 F}
parts:
  supply: {kind: tank}
  return: {kind: tank}
  drain: {kind: tank}
  pump line: {kind: chamber, volume: 1 L}
  pump: {kind: test pump, inlet: supply, outlet: pump line, flow: 18 gpm}
  relief: {kind: valve, valve: VALVE, P: pump line, T: return, DRAIN setting: 2300 psi at 18 gpm}
"""
DRAINS = {"internal": "", "external": "drain: external, Y: drain,"}


@cache
def built(valve: str, drain: str) -> Machine:
    return oilway.loads(CIRCUIT.replace("VALVE", valve).replace("DRAIN", DRAINS[drain]), "back.yaml")


def pressure(valve: str, drained: str, flow: float, **tanks: float) -> float:
    """psi in the pump line at a flow (gpm) with tanks at some pressure (psi)."""
    point = {f"{name}.pressure": p * PSI for name, p in tanks.items()}
    return solve_point(built(valve, drained), {"pump.flow": flow * GPM, **point}).pressures["pump line"] / PSI


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
@pytest.mark.parametrize("flow", [0.18, 5.0, 18.0])
def test_drained_inside_the_outlet_adds_in_full(valve: str, flow: float) -> None:
    """Every force of the valve is a difference to its outlet; only the oil's density notices: 0.6 psi in 150."""
    rise = pressure(valve, "internal", flow, **{"return": 150.0}) - pressure(valve, "internal", flow)
    assert rise == pytest.approx(150.0, abs=1.0)


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
def test_drained_outside_the_outlet_does_not_count(valve: str) -> None:
    """At a small flow nothing is left of it; at full flow the valve opens a little further for it."""
    for flow, most in ((0.18, 1.0), (18.0, 15.0)):
        rise = pressure(valve, "external", flow, **{"return": 150.0}) - pressure(valve, "external", flow)
        assert abs(rise) < most, flow


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
def test_pressure_in_an_external_drain_adds_instead(valve: str) -> None:
    rise = pressure(valve, "external", 0.18, drain=150.0) - pressure(valve, "external", 0.18)
    assert rise == pytest.approx(150.0, abs=1.0)


@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
def test_a_setting_is_made_at_no_back_pressure(valve: str) -> None:
    for drain in DRAINS:
        assert pressure(valve, drain, 18.0) == pytest.approx(2300.0, abs=0.1)


def test_a_return_hose_raises_a_setting_with_the_flow() -> None:
    """Trade fault 15: tank line restricted, pressure at the pump is the setting plus what the hose holds back."""
    text = (
        CIRCUIT.replace("VALVE", "direct relief")
        .replace("DRAIN", "")
        .replace(
            "  return: {kind: tank}",
            ("  return: {kind: chamber}\n  hose: {kind: orifice, from: return, to: supply, diameter: 6 mm}"),
        )
    )
    machine = oilway.loads(text, "hose.yaml")
    for flow in (5.0, 18.0):
        state = solve_point(machine, {"pump.flow": flow * GPM})
        free = pressure("direct relief", "internal", flow)
        held_back = state.pressures["return"] / PSI
        assert state.pressures["pump line"] / PSI == pytest.approx(free + held_back, abs=0.01 * held_back + 0.1)
    assert held_back > 100
