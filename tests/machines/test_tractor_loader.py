"""The tractor: its pump stands a margin above the highest load, and the lower load pays for it in heat."""

from __future__ import annotations

import math

import pytest
from tests.machines.fleet import GPM, HP, PSI, at, circle, example, heat_of, pumped

from oilway.quantity import convert

LIFT, TILT = circle(0.090), circle(0.075)
NEUTRAL = "lift valve.spool.position=0, tilt valve.spool.position=0"
LIFT_PARTS = ("lift control", "lift valve.")
TILT_PARTS = ("tilt control", "tilt valve.")
LOADS = [("1700 psi", "800 psi"), ("600 psi", "1500 psi"), ("1000 psi", "1000 psi")]
# Trade task 5, invented figures: margin 290 psi (a pump that holds it exactly), 12 gpm at 1800, 8 gpm at 900 psi.
# The seals are taken to drag nothing: the task's loads are what the gauges show.
TASK_5 = (
    ("pump.margin", "289 psi"),
    ("pump.standby", "291 psi"),
    ("pump.displacement", "60 cc/rev"),
    ("lift control.flow", "12 gpm"),
    ("tilt control.flow", "8 gpm"),
    ("shovel.load pressure", "1800 psi"),
    ("stone.load pressure", "900 psi"),
    ("lift cylinder.seal friction", "0 N"),
    ("tilt cylinder.seal friction", "0 N"),
)


@pytest.mark.parametrize(("lift", "tilt"), LOADS)
def test_the_pump_stands_a_margin_above_the_highest_load(lift: str, tilt: str) -> None:
    """250 psi on full stroke to 300 psi destroked, above the higher load; 2 per cent for lines and seals."""
    state = at(example("tractor_loader"), f"shovel.load pressure={lift}, stone.load pressure={tilt}")
    highest = max(state.pressures["lift cap line"], state.pressures["tilt cap line"])
    assert highest == pytest.approx(max(float(p.split()[0]) for p in (lift, tilt)) * PSI, rel=0.02)
    assert 245 * PSI < state.pressures["pump line"] - highest < 300 * PSI
    assert state.pressures["load sense line"] == pytest.approx(highest, abs=10 * PSI)


def test_each_function_gets_its_own_flow() -> None:
    """10 and 6 gpm and up to 5 per cent more (2 per cent per 1000 psi above its least drop, density)."""
    state = at(example("tractor_loader"))
    for cylinder, area, flow in (("lift cylinder", LIFT, 10), ("tilt cylinder", TILT, 6)):
        assert state.velocities[cylinder] == pytest.approx(flow * GPM / area, rel=0.05)


def test_one_load_does_not_feel_the_other() -> None:
    both = at(example("tractor_loader"))
    alone = at(example("tractor_loader"), "lift valve.spool.position=0")
    assert both.velocities["tilt cylinder"] == pytest.approx(alone.velocities["tilt cylinder"], rel=0.08)
    # alone it asks less of the pump: its own load and the margin
    assert alone.pressures["pump line"] < both.pressures["pump line"] - 800 * PSI


def test_in_neutral_the_pump_destrokes_at_standby() -> None:
    """Nobody asks, the signal has gone to tank: 300 psi, and a stroke that only makes up the slip."""
    state = at(example("tractor_loader"), NEUTRAL)
    assert state.pressures["pump line"] == pytest.approx(300 * PSI, rel=0.02)
    assert state.pressures["load sense line"] < 5 * PSI
    assert state.readings["pump"][1] < 0.02


def test_a_load_above_the_compensator_stalls_below_the_main_relief() -> None:
    """What the load loses meanwhile is the bleed of the signal: 0.61 x 0.3 mm x root of 2 p / rho; 10 per cent."""
    state = at(example("tractor_loader"), "shovel.load pressure=2900 psi")
    assert 2600 * PSI < state.pressures["pump line"] < 2710 * PSI
    assert state.statuses["main relief.pilot poppet"].word == "seated"
    jet = math.sqrt(2 * state.pressures["load sense line"] / state.parameter("oil.rho0"))
    assert state.velocities["lift cylinder"] == pytest.approx(-0.61 * circle(0.3e-3) * jet / LIFT, rel=0.10)


def test_at_idle_the_higher_load_starves() -> None:
    """45 cc x 900 rpm are 10.7 gpm for 16 asked: oil takes the easier way, the lift gets what tilt leaves."""
    state = at(example("tractor_loader"), "engine speed=900 rpm")
    full = at(example("tractor_loader"))
    assert state.velocities["tilt cylinder"] == pytest.approx(full.velocities["tilt cylinder"], rel=0.03)
    assert state.velocities["lift cylinder"] < 0.6 * full.velocities["lift cylinder"]
    # what slips past the pump's own parts is known; 8 per cent for the bleed, the spools' leakage, compression
    left = pumped(45e-6, 15, state.pressures["pump line"], state, 0.95) - state.velocities["tilt cylinder"] * TILT
    assert state.velocities["lift cylinder"] * LIFT == pytest.approx(left, rel=0.08)
    margin = state.pressures["pump line"] - state.pressures["load sense line"]
    assert margin < 250 * PSI


def test_task_5_pump_pressure_and_heat() -> None:
    """2090 psi; A 12 x 290 / 1714 = 2.0 hp, B 8 x 1190 / 1714 = 5.6 hp, 7.6 hp in all, 5.7 kW.

    Flow controls give a little more than set, gallons are counted at no pressure: 5 per cent on A and B.
    """
    state = at(example("tractor_loader", *TASK_5))
    # 1 per cent: the return hose's few psi stand in the rod ends, the work lines lose a little
    assert state.pressures["pump line"] / PSI == pytest.approx(2090, rel=0.01)
    a, b = heat_of(state, *LIFT_PARTS), heat_of(state, *TILT_PARTS)
    assert a / HP == pytest.approx(2.0, rel=0.05)
    assert b / HP == pytest.approx(5.6, rel=0.05)
    assert (a + b) / HP == pytest.approx(7.6, rel=0.05)
    assert convert(a + b, "power", "kW") == pytest.approx(5.7, rel=0.05)
