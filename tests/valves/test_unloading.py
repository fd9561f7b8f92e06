"""High-low unloading valve: system pressure opens it, the big pump's own does not."""

from __future__ import annotations

import pytest

from oilway.quantity import PSI

TURNS = {"main spring.turns": "12 turns"}


@pytest.fixture
def lifts_at(circle, coil) -> float:
    """Twelve turns of 1.25 mm on a 3 mm wire, 18 mm, 10 coils, against an 8 mm piston, in psi."""
    preload = coil(3, 18, 10) * 12 * 1.25e-3  # 13.77 N/mm x 15 mm = 206.5 N on 50.27 mm2
    assert preload == pytest.approx(206.5, abs=0.1)
    return preload / circle(8) / PSI  # 595.9 psi


@pytest.mark.parametrize("tank", [0, 50])
def test_it_lifts_where_spring_and_piston_balance_and_the_tank_line_adds_one_to_one(
    smooth, at, lifts_at, tank: int
) -> None:
    valve = smooth("unloading")
    for off, word in ((-1, "seated"), (1, "open")):
        words = {**TURNS, "system line.pressure": f"{lifts_at + tank + off} psi", "tank.pressure": f"{tank} psi"}
        assert at(valve, words).statuses["spool"].word == word


def test_full_travel_takes_the_spring_rate_times_the_travel_more(smooth, at, lifts_at, circle, coil) -> None:
    valve = smooth("unloading")
    spring = coil(3, 18, 10) * 6e-3  # 82.6 N: 238 psi more
    # what is left of the jet of 16 gpm: 5.2 psi over 180 mm2, 2 Cd Cv A dp cos 69 = 2.8 N, another 8 psi
    jet = 2 * 0.61 * 0.98 * 180e-6 * 5.2 * PSI * 0.358368
    full = lifts_at + (spring + jet) / circle(8) / PSI
    for off, word in ((-2, "open"), (2, "at its stop")):
        state = at(valve, {**TURNS, "system line.pressure": f"{full + off} psi"})
        assert state.statuses["spool"].word == word


def test_below_the_setting_all_oil_goes_to_the_system(smooth, at) -> None:
    state = at(smooth("unloading"), {"system line.pressure": "500 psi"})
    leak = state.flow_through("main edge")
    assert state.flow_through("check") == pytest.approx(state.flow_through("test pump") - leak, rel=1e-6)
    assert 0 < leak < 1e-3 * state.flow_through("test pump")
    drop = state.pressures["pump line"] - state.pressures["system line"]
    assert 5 * PSI < drop < 15 * PSI  # the check between cracking and fully open


def test_unloaded_the_check_is_exactly_shut_and_the_big_pump_idles(smooth, at) -> None:
    state = at(smooth("unloading"), {"system line.pressure": "1900 psi"})
    assert state.statuses["spool"].word == "at its stop"
    assert state.flow_through("check") == 0.0
    # 16 gpm through four notches 9 mm x 5 mm: rho / 2 (Q / (0.61 A))^2
    by_hand = state.parameter("oil.rho0") / 2 * (1.00944e-3 / (0.61 * 180e-6)) ** 2
    assert state.pressures["pump line"] == pytest.approx(by_hand, rel=0.05)
    assert by_hand < 6 * PSI


def test_the_big_pumps_own_pressure_says_nothing(machine, at) -> None:
    """X at 0: no pressure in P opens it, so the pump needs a relief of its own."""
    state = at(
        machine("""
        tank: {kind: tank}
        pump line: {kind: tank, pressure: 3000 psi}
        system: {kind: chamber}
        end: {kind: orifice, from: system, to: tank, diameter: 1 mm}
        unloading: {kind: valve, valve: unloading, P: pump line, A: system, T: tank, X: tank}
        """)
    )
    assert state.statuses["unloading.spool"].word == "seated"


def test_high_and_low_pump_work_together_and_then_the_low_one_alone(machine, at) -> None:
    """The circuit of a splitter: 16 gpm unload at 650 psi, 5 gpm go on to the relief."""
    built = machine("""
        tank: {kind: tank}
        big line: {kind: chamber, volume: 0.3 L}
        system: {kind: chamber, volume: 1 L}
        big: {kind: test pump, inlet: tank, outlet: big line, flow: 16 gpm}
        small: {kind: test pump, inlet: tank, outlet: system, flow: 5 gpm}
        wedge: {kind: test load, from: system, to: tank, load pressure: 300 psi}
        unloading: {kind: valve, valve: unloading, P: big line, A: system, T: tank, X: system}
        relief: {kind: valve, valve: direct relief, P: system, T: tank, setting: 2400 psi at 5 gpm}
        """)
    gpm = 3.785411784e-3 / 60
    taken = {}
    for load in (300, 2000, 5000):
        state = at(built, {"load pressure": f"{load} psi"})
        taken[load] = state.at_no_pressure(state.flow_through("wedge")) / gpm
    assert taken[300] == pytest.approx(21, abs=0.05)
    assert taken[2000] == pytest.approx(5, abs=0.05)
    assert taken[5000] == 0.0
    assert state.pressures["system"] == pytest.approx(2400 * PSI, abs=2 * PSI)
    assert state.pressures["big line"] < 10 * PSI
