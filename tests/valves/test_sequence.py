"""Sequence valve: shut up to its setting, then open; what stands in its outlet does not count."""

from __future__ import annotations

import pytest

import oilway
from oilway.quantity import PSI

BLOCKED = {"first motion.load pressure": "10000 psi"}
TURNS = {"main spring.turns": "8 turns"}


@pytest.fixture
def lifts_at(circle, coil) -> float:
    """Eight turns of 1.25 mm on a 3 mm wire, 16 mm, 8 coils, against a 6 mm piston (Pa)."""
    preload = coil(3, 16, 8) * 8 * 1.25e-3  # 24.5 N/mm x 10 mm = 245 N
    assert preload == pytest.approx(245.0, abs=0.1)
    return preload / circle(6)  # 245 N / 28.27 mm2 = 1257 psi


def point(first: float, second: str = "0 psi", tank: str = "0 psi", **more: str) -> dict[str, str]:
    return {
        "first motion.load pressure": f"{first / PSI} psi",
        "second motion.load pressure": second,
        "tank.pressure": tank,
        **TURNS,
        **more,
    }


@pytest.mark.parametrize(("second", "tank"), [("0 psi", 0), ("1000 psi", 0), ("0 psi", 100)])
def test_it_lifts_where_spring_and_piston_balance(smooth, at, lifts_at, second: str, tank: int) -> None:
    """Its outlet does not move that point; its drain does, 1:1."""
    valve = smooth("sequence")
    begins = lifts_at + tank * PSI
    below = at(valve, point(begins - PSI, second, f"{tank} psi"))
    above = at(valve, point(begins + PSI, second, f"{tank} psi"))
    assert (below.statuses["spool"].word, above.statuses["spool"].word) == ("seated", "open")


def test_the_first_line_is_held_near_the_setting_while_the_second_runs(smooth, at) -> None:
    state = at(smooth("sequence"), {**BLOCKED, "second motion.load pressure": "500 psi"})
    assert state.statuses["spool"].word == "open"
    assert state.pressures["second line"] == pytest.approx(500 * PSI, abs=0.2 * PSI)
    # set to 1200 psi at 1 gpm; 12 gpm lift it further against its spring and the jet
    assert 1200 * PSI < state.pressures["first line"] < 1400 * PSI


def test_its_balance_term_by_term(smooth, at, circle, coil) -> None:
    state = at(smooth("sequence"), {**BLOCKED, **TURNS, "second motion.load pressure": "500 psi"})
    lift = state.statuses["spool"].lift
    # four notches 6 mm wide, open by the lift less 1.2 mm; F = 2 Cd Cv A dp cos 69
    dp = state.pressures["first line"] - state.pressures["second line"]
    jet = 2 * 0.61 * 0.98 * 4 * 6e-3 * (lift - 1.2e-3) * dp * 0.358368
    spring = coil(3, 16, 8) * (10e-3 + lift)
    assert state.pressures["first line"] == pytest.approx((spring + jet) / circle(6), rel=2e-3)


def test_once_wide_open_the_first_line_follows_the_second_load(smooth, at) -> None:
    state = at(smooth("sequence"), {**BLOCKED, "second motion.load pressure": "1700 psi"})
    assert state.statuses["spool"].word == "at its stop"
    drop = state.pressures["first line"] - state.pressures["second line"]
    # 12 gpm through four notches 6 mm x 3.8 mm: (Q / (0.61 A))^2 rho / 2 is 0.3 psi
    flow, area = 7.571e-4, 4 * 6e-3 * 3.8e-3
    by_hand = state.parameter("oil.rho0") / 2 * (flow / (0.61 * area)) ** 2
    assert drop == pytest.approx(by_hand, rel=0.1)
    assert state.pressures["first line"] > 1699 * PSI


def test_a_second_load_above_the_main_relief_never_moves(smooth, at) -> None:
    """Trade: a sequence set above the main relief never opens; the first line stays at the relief."""
    valve = smooth("sequence", {"setting": "1800 psi at 1 gpm"})
    state = at(valve, {"first motion.load pressure": "1600 psi"})  # what a relief at 1600 psi would hold
    assert state.statuses["spool"].word == "seated"


def test_the_second_motion_returns_through_the_check(machine, at) -> None:
    built = machine("""
        tank: {kind: tank}
        first: {kind: tank}
        second: {kind: chamber}
        back: {kind: test pump, inlet: tank, outlet: second, flow: 12 gpm}
        sequence: {kind: valve, valve: sequence, P: first, A: second, Y: tank}
        """)
    state = at(built)
    assert state.flow_through("sequence.reverse check") == pytest.approx(state.flow_through("back"), rel=1e-3)
    assert 5 * PSI < state.pressures["second"] < 20 * PSI


@pytest.mark.parametrize(("remote", "word"), [(-1.0, "seated"), (1.0, "open")])
def test_with_a_remote_pilot_its_own_inlet_says_nothing(smooth, at, lifts_at, remote: float, word: str) -> None:
    valve = smooth("sequence", {"pilot": "remote"})
    words = point(2500 * PSI, **{"remote line.pressure": f"{lifts_at / PSI + remote} psi"})
    assert at(valve, words).statuses["spool"].word == word


def test_a_blocked_drain_keeps_it_shut(machine, at) -> None:
    """Fault: oil past the piston fills a blocked spring chamber until the second motion never starts."""
    text = """
        tank: {{kind: tank}}
        line: {{kind: tank, pressure: 2300 psi}}
        second: {{kind: chamber}}
        end: {{kind: orifice, from: second, to: tank, diameter: 3 mm}}
        blocked: {{kind: chamber}}
        gauge: {{kind: gauge, at: blocked, span: 4000 psi}}
        sequence: {{kind: valve, valve: sequence, P: line, A: second, Y: {drain}}}
        """
    sound, faulty = (at(machine(text.format(drain=drain))) for drain in ("tank", "blocked"))
    assert sound.statuses["sequence.spool"].word == "at its stop"
    assert faulty.statuses["sequence.spool"].word == "seated"
    assert faulty.pressures["blocked"] == pytest.approx(2300 * PSI, rel=1e-3)


def test_it_is_set_as_written() -> None:
    note = oilway.load("sequence", {"setting": "1400 psi at 2 gpm"}).notes[-1]
    assert "set to 1400 psi at 2.00 gpm" in note
