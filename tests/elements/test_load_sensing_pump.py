"""Load-sensing pump: margin over the load, standby with nothing asked for, compensator on top."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

# 40 cc/rev at 30 rev/s, no slip: 72 L/min.
PARTS = """
    tank: {kind: tank}
    told: {kind: tank, pressure: 120 bar}
    line: {kind: chamber}
    lever valve: {kind: orifice, from: line, to: told, diameter: 3 mm}
    pump:
      kind: load-sensing pump
      inlet: tank
      outlet: line
      case: tank
      load sense: told
      displacement: 40 cc/rev
      engine speed: 1800 rpm
      volumetric efficiency: 100 %
      compensator setting: 210 bar
      band: 10 bar
      margin: 18 bar
      standby: 22 bar
    """
FULL = 40e-6 * 30.0  # m3/s
SLIP = "99 %\n      test pressure: 200 bar\n      test viscosity: 46 cSt"


def delivered(state) -> float:
    """Mass flow into the line, kg/s."""
    return next(e.value for e in state.flows["line"] if e.law == "displacement x speed")


def test_it_gives_what_the_valve_takes_at_its_margin(solve, oil) -> None:
    state = solve(PARTS)
    over = state.pressures["line"] - 120e5
    share = (22e5 - over) / 4e5
    assert 0 < share < 1
    rho = oil.mean(state.pressures["line"], 120e5)
    taken = rho * math.pi / 4 * 9e-6 * oil.orifice_speed(3e-3, over, rho)
    assert delivered(state) == pytest.approx(taken, rel=1e-8)
    assert delivered(state) == pytest.approx(share * oil.rho0 * FULL, rel=1e-8)


def test_speed_does_not_change_with_the_load(solve, oil) -> None:
    # That is what load sensing is for; the denser oil takes a little off.
    flows = [delivered(solve(PARTS.replace("120 bar", f"{p} bar"))) for p in (20, 180)]
    assert flows[0] == pytest.approx(flows[1], rel=0.02)


def test_a_wide_open_valve_takes_all_and_the_margin_is_lost(solve, oil) -> None:
    state = solve(PARTS.replace("diameter: 3 mm", "diameter: 12 mm"))
    assert delivered(state) == pytest.approx(oil.rho0 * FULL, rel=1e-9)
    assert state.pressures["line"] - 120e5 < 18e5


def test_nothing_asked_for_it_stands_by(solve, oil) -> None:
    neutral = PARTS.replace("told: {kind: tank, pressure: 120 bar}", "told: {kind: tank}").replace(
        "lever valve: {kind: orifice, from: line, to: told, diameter: 3 mm}", "gauge: {kind: gauge, at: line}"
    )
    state = solve(neutral.replace("100 %", SLIP))
    p = state.pressures["line"]
    slip = oil.mean(p, 0) * 0.01 * FULL * p / 200e5
    assert delivered(state) == pytest.approx(slip, rel=1e-8)
    assert 22e5 - p == pytest.approx(4e5 * slip / (oil.rho0 * FULL), rel=1e-8)


def test_the_compensator_wins_above_its_setting(solve, oil) -> None:
    state = solve(PARTS.replace("120 bar", "205 bar"))
    p = state.pressures["line"]
    assert 205e5 < p < 210e5
    assert delivered(state) == pytest.approx((210e5 - p) / 10e5 * oil.rho0 * FULL, rel=1e-8)


SENSED = (
    PARTS.replace("load sense: told", "load sense: told line")
    + """
    told line: {kind: chamber}
    pilot: {kind: orifice, from: told, to: told line, diameter: 0.8 mm}
    """
)


def test_the_load_sense_port_takes_no_oil(solve) -> None:
    state = solve(SENSED)
    assert state.pressures["told line"] == pytest.approx(120e5, abs=1.0)
    assert state.pressures["line"] == pytest.approx(solve(PARTS).pressures["line"], rel=1e-7)


def test_a_bleed_takes_oil_and_lowers_what_the_pump_is_told(solve, oil) -> None:
    state = solve(SENSED.replace("margin: 18 bar", "margin: 18 bar\n      load sense bleed: 0.8 mm"))
    told = state.pressures["told line"]
    # Two equal holes in series share the drop, but for the oil's density.
    assert told == pytest.approx(60e5, rel=0.01)
    rho = oil.mean(told, 0)
    bleed = rho * math.pi / 4 * 0.64e-6 * oil.orifice_speed(0.8e-3, told, rho)
    assert -sum(e.value for e in state.flows["told line"] if e.part == "pump") == pytest.approx(bleed, rel=1e-8)


def test_a_cut_load_sense_line_stands_by(solve) -> None:
    # Drained through its bleed, with nothing to fill it: the pump goes to standby although the lever is open.
    cut = (
        SENSED.replace("pilot: {kind: orifice, from: told, to: told line, diameter: 0.8 mm}", "")
        .replace("margin: 18 bar", "margin: 18 bar\n      load sense bleed: 0.8 mm")
        .replace("from: line, to: told,", "from: line, to: load check,")
        + """
    load check: {kind: chamber}
    check: {kind: check valve, from: load check, to: told, diameter: 10 mm}
    """
    )
    assert solve(cut.replace("100 %", SLIP)).pressures["line"] == pytest.approx(22e5, rel=1e-3)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("standby: 22 bar", "standby: 18 bar", "standby is not above the margin"),
        ("compensator setting: 210 bar", "compensator setting: 21 bar", "standby is not below the compensator"),
    ],
)
def test_contradictions_are_refused(machine, old: str, new: str, what: str) -> None:
    with pytest.raises(InputError, match=f"pump: {what}"):
        machine(PARTS.replace(old, new))


def test_power_closes(solve) -> None:
    state = solve(PARTS)
    shaft = next(e.value for e in state.power if e.label == "shaft power")
    assert shaft < 0
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-3)
