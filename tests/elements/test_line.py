"""Line: Hagen-Poiseuille when laminar, wall friction when turbulent, fittings on top."""

from __future__ import annotations

import math

import pytest

# The line of CK27 at 46 mm2/s: 60 L/min, 20 mm, 10 m, laminar (Re 1384).
PARTS = """
    tank: {kind: tank}
    far end: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: far end, flow: 60 L/min}
    hose: {kind: line, from: far end, to: tank, length: 10 m, diameter: 20 mm}
    """
AREA = math.pi / 4 * 20e-3**2


def test_laminar_drop_by_hagen_and_poiseuille(solve, oil) -> None:
    p = solve(PARTS).pressures["far end"]
    flow = oil.rho0 * 1e-3 / oil.mean(p, 0)
    assert p == pytest.approx(128 * oil.mu * 10 * flow / (math.pi * 20e-3**4), rel=1e-3)
    # CK27 says 1.0191 bar at 870 kg/m3; the drop goes with density at equal mm2/s.
    assert p / 1e5 == pytest.approx(1.0191 * oil.rho0 / 870, rel=2e-3)


def test_fittings_add_their_share_of_the_dynamic_pressure(solve, oil) -> None:
    plain = solve(PARTS).pressures["far end"]
    bent = solve(PARTS.replace("diameter: 20 mm", "diameter: 20 mm, minor losses: 12")).pressures["far end"]
    v = 1e-3 / AREA
    assert bent - plain == pytest.approx(12 * oil.rho0 * v**2 / 2, rel=1e-3)


def test_turbulent_drop_near_colebrook(solve, oil) -> None:
    state = solve(
        PARTS.replace("20 mm", "20 mm, roughness: 20 um"), {"pump flow": "600 L/min", "oil temperature": "80 C"}
    )
    p = state.pressures["far end"]
    mu, rho0 = state.parameter("oil.mu"), state.parameter("oil.rho0")
    rho = rho0 * (1 + p / 2 / 1.2e9)
    v = rho0 * 10e-3 / (rho * AREA)
    re = rho * v * 20e-3 / mu
    assert re > 10_000
    f = 0.03
    for _ in range(50):  # 1 / sqrt f = -2 log10(e / 3.7 + 2.51 / (Re sqrt f))
        f = (-2 * math.log10(1e-3 / 3.7 + 2.51 / (re * math.sqrt(f)))) ** -2
    assert p == pytest.approx(f * 10 / 20e-3 * rho * v**2 / 2, rel=0.04)


def test_no_flow_no_drop(solve) -> None:
    assert solve(PARTS, {"pump flow": "0 gpm"}).pressures["far end"] == pytest.approx(0.0, abs=1e-3)


def test_flow_back_drops_the_other_way(solve) -> None:
    turned = PARTS.replace("from: far end, to: tank", "from: tank, to: far end")
    assert solve(turned).pressures["far end"] == pytest.approx(solve(PARTS).pressures["far end"], rel=1e-9)
    assert solve(turned).flow_through("hose") < 0


def test_a_hose_above_its_rating_is_reported(solve) -> None:
    state = solve(PARTS.replace("diameter: 20 mm", "diameter: 20 mm, rated pressure: 0.9 bar"))
    assert {f.part for f in state.findings} == {"hose"}
