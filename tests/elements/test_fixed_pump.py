"""Fixed pump: flow, slip, torque and its least inlet pressure."""

from __future__ import annotations

import pytest

from oilway.quantity import PSI

# 40 cc/rev at 1800 rpm (30 rev/s); 92 % at 200 bar, 1800 rpm and the viscosity of this oil at 40 C.
PARTS = """
    tank: {kind: tank}
    outlet: {kind: tank, pressure: 200 bar}
    gallery: {kind: chamber}
    tap: {kind: orifice, from: outlet, to: gallery, diameter: 1 mm}
    pump:
      kind: fixed pump
      inlet: tank
      outlet: outlet
      displacement: 40 cc/rev
      engine speed: 1800 rpm
      volumetric efficiency: 92 %
      test pressure: 200 bar
      test speed: 1800 rpm
      test viscosity: 46 cSt
      mechanical efficiency: 90 %
    """
THEORETICAL = 40e-6 * 30.0  # m3/s


def parts_of_flow(state) -> tuple[float, float]:
    """Theoretical mass flow and slip into the outlet, kg/s."""
    entries = [e for e in state.flows["outlet"] if e.part == "pump"]
    return tuple(
        next(e.value for e in entries if e.law == law) for law in ("displacement x speed", "laminar slip")
    )


def test_slip_at_the_test_point_is_what_the_efficiency_says(solve, oil) -> None:
    theoretical, slip = parts_of_flow(solve(PARTS))
    assert theoretical == pytest.approx(oil.rho0 * THEORETICAL, rel=1e-12)
    assert slip == pytest.approx(-oil.mean(200e5, 0) * 0.08 * THEORETICAL, rel=1e-9)


def test_slip_goes_with_pressure_and_the_thinness_of_the_oil_not_with_speed(solve, oil) -> None:
    _, half = parts_of_flow(solve(PARTS.replace("pressure: 200 bar}", "pressure: 100 bar}")))
    assert half == pytest.approx(-oil.mean(100e5, 0) * 0.08 * THEORETICAL / 2, rel=1e-9)
    _, thick = parts_of_flow(solve(PARTS.replace("test viscosity: 46 cSt", "test viscosity: 23 cSt")))
    assert thick == pytest.approx(-oil.mean(200e5, 0) * 0.08 * THEORETICAL / 2, rel=1e-9)
    idle, idle_slip = parts_of_flow(solve(PARTS, {"engine speed": "600 rpm"}))
    assert idle == pytest.approx(oil.rho0 * THEORETICAL / 3, rel=1e-12)
    assert idle_slip == pytest.approx(parts_of_flow(solve(PARTS))[1], rel=1e-12)


def test_the_drive_ratio_turns_engine_speed_into_pump_speed(solve, oil) -> None:
    theoretical, _ = parts_of_flow(
        solve(PARTS.replace("engine speed: 1800 rpm", "engine speed: 1200 rpm\n      drive ratio: 1.5"))
    )
    assert theoretical == pytest.approx(oil.rho0 * THEORETICAL, rel=1e-9)


def test_shaft_power_by_hand(solve, oil) -> None:
    state = solve(PARTS)
    book = {e.label: e.value for e in state.power if e.part == "pump"}
    given = oil.rho0 * THEORETICAL * oil.work(200e5)
    assert book["shaft power"] == pytest.approx(-given / 0.90, rel=1e-9)
    assert book["torque loss"] == pytest.approx(given * (1 / 0.90 - 1), rel=1e-9)
    assert book["heat"] == pytest.approx(oil.mean(200e5, 0) * 0.08 * THEORETICAL * oil.work(200e5), rel=1e-9)
    # kW = bar x L/min / 600 (CK33): 200 bar x 72 L/min is 24 kW, before the torque loss.
    assert book["shaft power"] == pytest.approx(-24e3 / 0.90, rel=0.01)


def test_delivery_in_shop_units(solve, oil) -> None:
    # gpm = in3/rev x rpm / 231 (CK32), less the slip of an unloaded pump: none.
    state = solve(PARTS.replace("40 cc/rev", "2.31 in3/rev").replace("pressure: 200 bar}", "pressure: 0 bar}"))
    gpm = 231 * 0.0254**3 / 60
    assert parts_of_flow(state)[0] / oil.rho0 / gpm == pytest.approx(2.31 * 1800 / 231, rel=1e-9)


def test_a_starved_inlet_is_reported(solve) -> None:
    starved = (
        PARTS.replace("inlet: tank", "inlet: suction")
        + """
    suction: {kind: chamber}
    strainer: {kind: orifice, from: tank, to: suction, diameter: DIAMETER}
    """
    )
    state = solve(starved.replace("DIAMETER", "9 mm"))
    assert state.pressures["suction"] < -3 * PSI
    assert "cavitate" in " ".join(f.what for f in state.findings if f.part == "pump")
    assert [f for f in solve(starved.replace("DIAMETER", "40 mm")).findings if f.part == "pump"] == []


def test_outlet_above_its_rating_is_reported(solve) -> None:
    rated = PARTS.replace("mechanical efficiency: 90 %", "rated pressure: RATED")
    assert [f.part for f in solve(rated.replace("RATED", "199 bar")).findings] == ["pump"]
    assert solve(rated.replace("RATED", "201 bar")).findings == []


def test_a_restricted_inlet_costs_pressure_first_and_oil_only_at_vacuum(solve) -> None:
    sound = parts_of_flow(solve(PARTS))[0]
    some = solve(PARTS.replace("test speed: 1800 rpm", "test speed: 1800 rpm\n      inlet loss: 0.5 bar"))
    assert parts_of_flow(some)[0] == pytest.approx(sound, rel=1e-12)
    found = next(f for f in some.findings if f.part == "pump" and "inlet" in f.what)
    assert found.value == pytest.approx(-0.5e5)
    # Four times the 0.963 bar there is above the void (at 0.05 bar): half filled.
    starved = PARTS.replace("test speed: 1800 rpm", "test speed: 1800 rpm\n      inlet loss: 3.853 bar")
    assert parts_of_flow(solve(starved))[0] == pytest.approx(sound / 2, rel=1e-3)
