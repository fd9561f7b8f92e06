"""Tank: a pressure that does not change."""

from __future__ import annotations

import pytest

from oilway.errors import InputError

PARTS = """
    tank: {kind: tank, pressure: 10 psi}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 2 mm}
    """
PSI = 6894.757293168361


def test_holds_its_pressure_whatever_flows(solve) -> None:
    for flow in ("1 gpm", "10 gpm"):
        assert solve(PARTS, {"pump flow": flow}).pressures["tank"] == pytest.approx(10 * PSI)


def test_the_operating_point_may_change_it(solve) -> None:
    state = solve(PARTS, {"tank pressure": "60 psi"})
    assert state.pressures["tank"] == pytest.approx(60 * PSI)


def test_tank_pressure_lifts_the_whole_circuit(solve) -> None:
    wide = PARTS.replace("2 mm", "6 mm")
    base, lifted = (solve(wide, {"tank pressure": p}).pressures["line"] for p in ("0 psi", "100 psi"))
    # The drop over the wide hole stays but for a trace of density.
    assert lifted - base == pytest.approx(100 * PSI, rel=0.001)


def test_a_tank_holds_no_vacuum(machine) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:\d+: tank: pressure -10 psi is outside its legal range"):
        machine(PARTS.replace("pressure: 10 psi", "pressure: -10 psi"))
