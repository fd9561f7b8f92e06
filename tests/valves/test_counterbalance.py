"""Counterbalance valve: pL + R pp = pset + (1 + R) pb unvented, without pb vented; free the other way."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import PSI

RATIOS = {"1.5 to 1": 1.5, "3 to 1": 3.0, "4.5 to 1": 4.5, "8 to 1": 8.0}
FIVE = {"main spring.turns": "5 turns"}


@pytest.fixture
def setting(circle, coil) -> float:
    """Five turns of 1.5 mm on a 6 mm wire, 24 mm, 8 coils, against an 8 mm seat, in psi."""
    preload = coil(6, 24, 8) * 5 * 1.5e-3  # 116.2 N/mm x 7.5 mm = 871 N on 50.27 mm2
    assert preload == pytest.approx(871.2, abs=0.1)
    return preload / circle(8) / PSI  # 2514 psi


def point(load: float, pilot: float = 0, back: float = 0) -> dict[str, str]:
    return {
        **FIVE,
        "load line.pressure": f"{load} psi",
        "pilot line.pressure": f"{pilot} psi",
        "valve line.pressure": f"{back} psi",
    }


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("chamber", ["unvented", "vented"])
@pytest.mark.parametrize(("load", "back"), [(1500, 0), (1500, 100), (2300, 40)])
def test_the_pilot_pressure_that_opens_it(
    smooth, at, setting: float, ratio: str, chamber: str, load: float, back: float
) -> None:
    valve = smooth("counterbalance", {"ratio": ratio, "spring chamber": chamber})
    r = RATIOS[ratio]
    counts = (1 + r) * back if chamber == "unvented" else 0.0
    pilot = (setting + counts - load) / r
    for off, word in ((-0.5, "seated"), (0.5, "open")):
        assert at(valve, point(load, pilot + off, back)).statuses["poppet"].word == word


@pytest.mark.parametrize("ratio", RATIOS)
def test_unpiloted_it_is_a_relief_for_its_load(smooth, at, setting: float, ratio: str) -> None:
    valve = smooth("counterbalance", {"ratio": ratio})
    for off, word in ((-0.5, "seated"), (0.5, "open")):
        assert at(valve, point(setting + off)).statuses["poppet"].word == word


def test_unvented_back_pressure_counts_one_and_the_ratio(smooth, at, force, circle, setting: float) -> None:
    """On its seat: what presses it there grows by (1 + 3) x 100 psi on the load area."""
    valve = smooth("counterbalance")
    seats = [force(at(valve, point(1500, 0, back)), "poppet", "seat") for back in (0, 100)]
    assert seats[0] == pytest.approx((setting - 1500) * PSI * circle(8), rel=1e-4)
    assert seats[1] - seats[0] == pytest.approx(4 * 100 * PSI * circle(8), rel=1e-4)


def test_held_it_loses_nothing_and_dirt_makes_it_creep(smooth, at) -> None:
    held = at(smooth("counterbalance"), point(1500))
    assert held.flow_through("seat") == 0.0
    assert held.flow_through("free-flow check") == 0.0
    dirty = at(smooth("counterbalance"), {**point(1500), "seat.worn gap": "2 um"})
    # a ring 8 mm round, 2 um open at 45 deg: fully turbulent it would pass Cd A sqrt(2 dp / rho)
    rho, area = dirty.parameter("oil.rho0"), math.pi * 8e-3 * 2e-6 * math.sin(math.pi / 4)
    most = 0.77 * area * math.sqrt(2 * 1500 * PSI / rho)
    assert 0.2 * most < dirty.at_no_pressure(dirty.flow_through("seat")) < most


def test_lowering_term_by_term(smooth, at, circle, coil, setting: float) -> None:
    state = at(smooth("counterbalance"), point(1500, 380))
    lift = state.statuses["poppet"].lift
    # spring rate x lift and the jet (2 Cd Cv A dp cos 45) keep the poppet from opening further
    area = math.pi * lift * math.sin(math.pi / 4) * (8e-3 - lift * math.sin(math.pi / 4) * math.cos(math.pi / 4))
    jet = 2 * 0.77 * 0.98 * area * 1500 * PSI * math.cos(math.pi / 4)
    surplus = (1500 + 3 * 380 - setting) * PSI * circle(8)
    assert surplus == pytest.approx(coil(6, 24, 8) * lift + jet, rel=0.01)


def test_raising_oil_passes_freely(smooth, at) -> None:
    state = at(smooth("counterbalance"), point(1500, 0, 1540))
    # 40 psi over the fully open 11 mm check
    by_hand = 0.61 * math.pi / 4 * 0.011**2 * math.sqrt(2 * 40 * PSI / state.parameter("oil.rho0"))
    passed = state.at_no_pressure(state.flow_through("free-flow check"))
    assert passed == pytest.approx(by_hand, rel=0.02)
    assert state.statuses["poppet"].word == "seated"


def test_a_cylinder_comes_down_at_the_speed_of_its_pump(machine, at, circle, setting: float) -> None:
    """Lowering by the rod side: the pilot settles where the balance says, and nothing runs away."""
    built = machine("""
        tank: {kind: tank}
        cap line: {kind: chamber, volume: 0.3 L}
        rod line: {kind: chamber, volume: 0.3 L}
        pump: {kind: test pump, inlet: tank, outlet: rod line, flow: 3 gpm}
        cylinder: {kind: cylinder, cap: cap line, rod: rod line, bore: 80 mm, rod diameter: 45 mm, stroke: 800 mm,
                   position: 400 mm}
        load: {kind: load, on: cylinder, load pressure: 1500 psi, mass: 2000 kg}
        counterbalance: {kind: valve, valve: counterbalance, L: cap line, V: tank, X: rod line,
                         with: {poppet.dry friction: 0 N}}
        """)
    built = built.with_part("counterbalance.main spring", {"turns": 5.0})
    state = at(built)
    flow, rod_side = 3 * 3.785411784e-3 / 60, circle(80, 45)
    assert state.velocities["cylinder"] == pytest.approx(-flow / rod_side, rel=0.01)
    # the rod line's pressure presses on the load as well: pL = 1500 + pp x rod side / bore
    pilot, load = state.pressures["rod line"] / PSI, state.pressures["cap line"] / PSI
    assert load == pytest.approx(1500 + pilot * rod_side / circle(80), rel=1e-6)
    # cracking balance, and a little more for spring rate and jet
    assert 0 < load + 3 * pilot - setting < 120
