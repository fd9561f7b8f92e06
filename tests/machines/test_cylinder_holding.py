"""A cylinder that leaks inside with both ports shut: what the gauge shows, and what moves.  Worked by hand."""

from __future__ import annotations

import math

import pytest

from oilway.elements.chamber import AIR

BORE, ROD = 0.100, 0.056
CAP, RING, STEM = (math.pi / 4 * d for d in (BORE**2, BORE**2 - ROD**2, ROD**2))
BAR = 1e5
VACUUM = -(101325.0 - 5e3)  # Pa gauge: where a void opens (common practice: 0.05 bar absolute)
SHUT = """
    tank: {kind: tank}
    spool: {kind: lever, stroke: 8 mm}
    cap: {kind: chamber}
    rod: {kind: chamber}
    cap port: {kind: spool edge, on: spool, from: cap, to: tank, diameter: 20 mm, overlap: 2.5 mm}
    rod port: {kind: spool edge, on: spool, from: rod, to: tank, diameter: 20 mm, overlap: 2.5 mm}
    cylinder: {kind: cylinder, cap: cap, rod: rod, bore: 100 mm, rod diameter: 56 mm, stroke: 1.2 m,
               position: 0.4 m, seal clearance: BYPASS, piston length: 60 mm}
    box: {kind: load, on: cylinder, load force: LOAD}
    """


def held(load: str, bypass: str) -> str:
    return SHUT.replace("LOAD", load).replace("BYPASS", bypass)


def past_the_piston(oil, clearance: float, dp: float) -> float:
    """m3/s past a 100 mm piston, 60 mm long."""
    return oil.gap_flow(BORE, clearance, 0.060, dp)


@pytest.mark.parametrize("bypass", ["5 um", "20 um", "50 um"])
def test_a_load_on_the_cap_side_does_not_sink_but_raises_the_pressure(solve, bypass: str) -> None:
    """80 kN, piston leaking, ports truly shut: both ends climb to force over rod, 325 bar; the box stands."""
    state = solve(held("80 kN", bypass))
    assert pytest.approx(324.8, abs=0.1) == 80e3 / STEM / BAR
    assert state.pressures["cap"] == pytest.approx(80e3 / STEM, rel=1e-4)
    assert state.pressures["rod"] == pytest.approx(80e3 / STEM, rel=1e-4)
    assert abs(state.velocities["cylinder"]) < 1e-9


def test_with_a_tight_piston_the_cap_carries_it_alone(solve) -> None:
    state = solve(held("80 kN", "0 um"))
    assert state.pressures["cap"] == pytest.approx(80e3 / CAP, rel=1e-6)  # 102 bar
    assert sorted(state.isolated) == ["cap", "rod"]


def test_a_rating_is_exceeded_where_it_was_entered(solve) -> None:
    rated = held("80 kN", "20 um").replace("piston length: 60 mm", "piston length: 60 mm, rated pressure: 250 bar")
    assert [f.part for f in solve(rated).findings] == ["cylinder", "cylinder"]
    assert solve(rated.replace("20 um", "0 um")).findings == []


def test_with_the_rod_port_open_a_leaking_piston_lets_it_sink(solve, oil) -> None:
    """The rod side is relieved: the cap stays at F / A_cap, and sinks at leakage over cap area."""
    state = solve(
        held("80 kN", "20 um")
        .replace("overlap: 2.5 mm}", "overlap: -2.5 mm}")
        .replace(
            "from: cap, to: tank, diameter: 20 mm, overlap: -2.5 mm",
            "from: cap, to: tank, diameter: 20 mm, overlap: 2.5 mm",
        )
    )
    assert state.pressures["cap"] == pytest.approx(80e3 / CAP, rel=1e-3)
    by_hand = past_the_piston(oil, 20e-6, 80e3 / CAP) / CAP
    assert state.velocities["cylinder"] == pytest.approx(-by_hand, rel=0.01)  # density between the two ends


def test_a_hanging_load_draws_a_void_and_falls(solve, oil) -> None:
    """40 kN pull the rod out: the rod end leaks into a cap end that cannot fill, at F / A_ring less the vacuum."""
    state = solve(held("-40 kN", "20 um"))
    assert state.pressures["cap"] == pytest.approx(VACUUM, rel=1e-9)
    rod = (40e3 + VACUUM * CAP) / RING
    assert state.pressures["rod"] == pytest.approx(rod, rel=1e-6)
    by_hand = past_the_piston(oil, 20e-6, rod - VACUUM) / RING
    assert state.velocities["cylinder"] == pytest.approx(by_hand, rel=0.01)
    assert [f.what for f in state.findings if f.part == "cap"] == [AIR]
    void = sum(e.value for e in state.flows["cap"] if e.label == "void opening")
    grows = CAP * state.velocities["cylinder"] - past_the_piston(oil, 20e-6, rod - VACUUM)
    assert void == pytest.approx(oil.rho0 * grows, rel=0.02)


@pytest.mark.parametrize("clearance", [10, 20, 40])
def test_it_falls_with_the_cube_of_the_clearance(solve, clearance: int) -> None:
    one, other = (solve(held("-40 kN", f"{c} um")).velocities["cylinder"] for c in (10, clearance))
    assert other / one == pytest.approx((clearance / 10) ** 3, rel=1e-6)


def test_task_9_a_parked_box_that_sinks() -> None:
    """Trade, invented figures: 100 mm bore, 80 kN, 25 mm in 5 min: 196 mL, 39 mL/min, 102 bar; shut 325 bar."""
    assert pytest.approx(196, abs=0.5) == CAP * 25e-3 * 1e6
    assert pytest.approx(39, abs=0.5) == CAP * 25e-3 * 1e6 / 5
    assert pytest.approx(102, abs=0.5) == 80e3 / CAP / BAR


def test_task_9_by_the_machine(solve) -> None:
    """The same sink rate through a worn spool: found by its clearance, and gone when the ports are shut."""
    worn = held("80 kN", "0 um").replace("overlap: 2.5 mm}", "overlap: 2.5 mm, clearance: CLEARANCE}")
    rates = {c: solve(worn.replace("CLEARANCE", f"{c} um")).velocities["cylinder"] for c in (5, 10)}
    assert rates[10] / rates[5] == pytest.approx(8.0, rel=1e-3)
    # 25 mm in 5 min is 83 um/s: 39 mL/min over a 2.5 mm land at 102 bar take a clearance of about (by hand) 11 um
    mu = 46e-6 * 854.2
    clearance = (39e-6 / 60 * 12 * mu * 2.5e-3 / (math.pi * 0.020 * 80e3 / CAP)) ** (1 / 3)
    sinks = solve(worn.replace("CLEARANCE", f"{clearance * 1e6} um")).velocities["cylinder"]
    assert sinks * 300 == pytest.approx(-25e-3, rel=0.02)
