"""The excavator boom: its counterbalance holds in neutral and lets it down only with pilot pressure."""

from __future__ import annotations

import pytest
from tests.machines.fleet import PSI, at, circle, example, pumped, ring

from oilway.solve.result import State
from oilway.study.explain import explain
from oilway.study.run import read_change, run

CAP, RING = circle(0.090), ring(0.090, 0.055)
WEIGHT = 14e3 * 5.0  # N at the rod, at mid-stroke
SETTING = 2100 * PSI
FRICTION = 400.0  # N in the seals
RATIOS = {"1.5 to 1": 1.5, "3 to 1": 3.0, "4.5 to 1": 4.5}
SEATS = ("counterbalance.seat", "counterbalance.free-flow check")
CREEPING = "lever=-1, engine speed=100 rpm"  # half a gallon a minute, as on the bench where the valve was set


def passes(state: State) -> list[float]:
    """kg/s by the counterbalance's seat and by its check."""
    return [state.flow_through(seat) for seat in SEATS]


def test_in_neutral_the_boom_is_held_on_the_seat() -> None:
    """The lever valve lets its port off to tank, and yet nothing comes: 70 kN on 63.6 cm2 are 1596 psi."""
    state = at(example("boom"), "lever=0")
    assert passes(state) == [0.0, 0.0]
    assert abs(state.velocities["boom cylinder"]) < 1e-9
    assert state.pressures["raise line"] < 10 * PSI
    # friction helps to hold: what is left is within its 400 N
    assert state.pressures["cap end"] == pytest.approx(WEIGHT / CAP, abs=FRICTION / CAP)
    assert pytest.approx(1596, abs=1) == WEIGHT / CAP / PSI


def test_the_setting_is_a_third_above_the_load() -> None:
    """Common practice: 1.3 times the highest load pressure."""
    assert pytest.approx(1.3, abs=0.03) == SETTING / (WEIGHT / CAP)


def test_with_the_pump_stopped_the_lever_alone_does_not_lower_it() -> None:
    state = at(example("boom"), "lever=-1, engine speed=0 rpm")
    assert passes(state) == [0.0, 0.0]
    assert abs(state.velocities["boom cylinder"]) < 1e-6


@pytest.mark.parametrize("ratio", RATIOS)
def test_pilot_pressure_to_lower_by_hand(ratio: str) -> None:
    """pp = (pset + (1 + R) pb - pL) / R, with pL from the rod's balance: pL A = F + pp a - friction.

    5 per cent: the valve was set at 0.5 gpm, 0.7 gpm come out here, and 5 N of dry friction are left out.
    """
    r = RATIOS[ratio]
    state = at(example("boom", ("counterbalance.ratio", ratio)), CREEPING)
    pilot, load, back = (state.pressures[c] for c in ("rod line", "cap end", "raise line"))
    assert pilot == pytest.approx((SETTING + (1 + r) * back - load) / r, rel=0.05)
    assert load == pytest.approx((WEIGHT - FRICTION + pilot * RING) / CAP, rel=1e-3)
    # both put together: the load enters once, the pilot with R and with the rod's area ratio
    alone = (SETTING - (WEIGHT - FRICTION) / CAP) / (r + RING / CAP)
    assert pilot == pytest.approx(alone, rel=0.05)


def test_it_comes_down_at_the_speed_of_the_pump() -> None:
    """What fills the rod end sets the speed; 2 per cent for the oil's compression and its air."""
    state = at(example("boom"), "lever=-1")
    flow = pumped(18e-6, 1900 / 60, state.pressures["pump line"], state, 0.95)
    assert state.velocities["boom cylinder"] == pytest.approx(-flow / RING, rel=0.02)


def test_a_lighter_load_needs_more_pilot_pressure() -> None:
    """The load helps to open: by its own pressure, the less of it the more is asked of the pump."""
    full, light = (at(example("boom"), f"lever=-1, load force={load}") for load in ("14 kN", "4 kN"))
    assert light.pressures["rod line"] > full.pressures["rod line"] + 400 * PSI


def test_back_pressure_counts_once_and_the_ratio() -> None:
    """A return hose of 6 mm: each psi behind it asks (1 + R) / (R + a/A) of the pilot, within 2 %."""
    free, hindered = (at(example("boom"), f"lever=-1, return hose.diameter={d}") for d in ("25 mm", "6 mm"))
    behind = hindered.pressures["raise line"] - free.pressures["raise line"]
    more = hindered.pressures["rod line"] - free.pressures["rod line"]
    assert behind > 500 * PSI
    assert more == pytest.approx(behind * 2.5 / (1.5 + RING / CAP), rel=0.02)


def test_a_high_ratio_is_nervous() -> None:
    """3 to 1 asks for less pilot pressure, and its circuit hunts with this boom; 1.5 to 1 comes down steadily."""
    steady, nervous = example("boom"), example("boom", ("counterbalance.ratio", "3 to 1"))
    found = [explain(machine, [machine.point_from({"lever": "-1"})])[0] for machine in (steady, nervous)]
    assert [item.stability.stable for item in found] == [True, False]
    assert found[1].state.pressures["rod line"] < found[0].state.pressures["rod line"]


def test_put_back_to_neutral_it_stops() -> None:
    machine = example("boom")
    done = run(
        machine,
        1.5,
        [read_change(machine, "0.1 s over 0.2 s: lever=0")],
        point=machine.point_from({"lever": "-1"}),
    )
    places = done.series["position of boom cylinder"].values
    late = done.times > 1.0
    assert done.series["velocity of boom cylinder"].values[0] < -0.1
    # it still bounces on its oil, by 20 mm at most, and goes no further
    assert float(places[late].max() - places[late].min()) < 0.02
    assert abs(done.series["flow through counterbalance.seat"].values[late]).max() < 1e-5
