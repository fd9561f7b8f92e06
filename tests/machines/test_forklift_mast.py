"""The forklift mast: the forks go twice as far as the rod, and come down at one rate whatever stands on them."""

from __future__ import annotations

import math

import pytest
from tests.machines.fleet import GPM, PSI, at, circle, example, heat_of, pumped

from oilway.study.run import read_change, run

AREA = circle(0.070)
CYLINDER = "lift cylinder"
FRICTION = 250.0  # N in the seals
PALLETS = ("25.5 kN", "12 kN", "6 kN")  # rated, half, empty forks


def newtons(pallet: str) -> float:
    return float(pallet.split()[0]) * 1e3


@pytest.mark.parametrize("pallet", PALLETS)
def test_lifting_the_rod_feels_twice_the_weight(pallet: str) -> None:
    """2 x 25.5 kN and the seals on 38.5 cm2: 1932 psi."""
    state = at(example("forklift_mast"), f"lever=1, load force={pallet}")
    by_hand = (2 * newtons(pallet) + FRICTION) / AREA
    assert state.pressures["lift cylinder foot"] == pytest.approx(by_hand, rel=1e-3)
    assert pytest.approx(1932, abs=1) == (2 * 25.5e3 + FRICTION) / AREA / PSI


def test_it_lifts_at_the_flow_of_the_pump() -> None:
    """2 per cent: the oil is compressed, and its air."""
    state = at(example("forklift_mast"))
    flow = pumped(19e-6, 30, state.pressures["pump line"], state, 0.94)
    assert state.velocities[CYLINDER] == pytest.approx(flow / AREA, rel=0.02)
    assert state.statuses["main relief.pilot poppet"].word == "seated"


@pytest.mark.parametrize("pallet", PALLETS)
def test_it_lowers_alike_with_and_without_a_pallet(pallet: str) -> None:
    """9 gpm and 2 per cent more per 1000 psi above the control's 120 psi; 1.5 per cent for density."""
    state = at(example("forklift_mast"), f"lever=-1, load force={pallet}")
    drop = state.pressures["lift cylinder foot"] - state.pressures["lift line"]
    flow = 9 * GPM * (1 + 0.02 * (drop / PSI - 120) / 1000)
    assert state.velocities[CYLINDER] == pytest.approx(-flow / AREA, rel=0.015)
    assert state.pressures["pump line"] < 50 * PSI  # the pump has no part in it


def test_without_the_control_a_full_pallet_comes_down_much_faster() -> None:
    """Set out of reach, the control is a hole: at 4.25 times the pressure up to 2.06 times the speed."""
    wide = [at(example("forklift_mast"), f"lever=-1, load force={p}, flow control=300 gpm") for p in PALLETS[::2]]
    full, empty = (-state.velocities[CYLINDER] for state in wide)
    assert full > 1.5 * empty


def test_what_the_load_gives_up_is_heat_in_the_control() -> None:
    """51 kN at 0.15 m/s are 7.7 kW; seals, spool and hose take the last 2 per cent."""
    state = at(example("forklift_mast"), "lever=-1")
    given = 2 * 25.5e3 * -state.velocities[CYLINDER]
    assert heat_of(state, "lowering control") == pytest.approx(given, rel=0.02)


def test_in_neutral_it_sinks_by_what_the_spool_leaks() -> None:
    """One land of 2.5 mm to tank, and two in a row by the gallery to port B, which is joined to the tank here.

    1.5 per cent: oil under load is denser than what arrives at the tank.
    """
    state = at(example("forklift_mast"), "lever=0")
    drop = state.pressures["lift line"] - state.pressures["return line"]

    def land(dp: float) -> float:
        return math.pi * 0.020 * 5e-6**3 * dp / (12 * state.parameter("oil.mu") * 2.5e-3)

    leak = land(drop) + land(drop / 2)
    assert state.velocities[CYLINDER] == pytest.approx(-leak / AREA, rel=0.015)


def test_an_overloaded_fork_stays_down() -> None:
    """3.3 t: 2 x 32.4 kN on 38.5 cm2 want 2442 psi, and the main relief stands at 2150 psi."""
    state = at(example("forklift_mast"), "load force=32.4 kN")
    assert state.velocities[CYLINDER] < 0
    assert state.velocities[CYLINDER] > -1e-3
    assert state.statuses["main relief.main part"].word == "open"
    assert state.pressures["pump line"] == pytest.approx(2150 * PSI, rel=0.01)


def test_the_lever_pulled_back_catches_the_load_above_its_weight() -> None:
    """A stop within 0.1 s: the mass goes on, and its oil takes the blow."""
    machine = example("forklift_mast")
    down = machine.point_from({"lever": "-1"})
    done = run(machine, 1.0, [read_change(machine, "0.1 s over 0.1 s: lever=0")], point=down)
    weight = 2 * 25.5e3 / AREA
    assert done.figures["lift cylinder foot"].peak > 1.1 * weight
    places = done.series[f"position of {CYLINDER}"].values
    assert float(places[0] - places[-1]) < 0.15 * 0.3


def through_needle(pressure: float, density: float) -> float:
    """m/s of the rod: 1.6 mm of needle pass 0.61 A sqrt(2 dp / rho); at Re of some thousands turbulent."""
    return 0.61 * circle(0.0016) * math.sqrt(2 * pressure / density) / AREA


@pytest.mark.parametrize("pallet", PALLETS)
def test_near_the_floor_the_needle_of_the_cushion_sets_the_speed(pallet: str) -> None:
    """51 kN less 250 N of seals on 38.5 cm2 push it: 56 mm/s, where the control alone would let 150 mm/s pass."""
    state = at(example("forklift_mast"), f"lever=-1, load force={pallet}, {CYLINDER}.position=20 mm")
    drop = (2 * newtons(pallet) - FRICTION) / AREA - state.pressures["lift cylinder foot"]
    density = state.parameter("oil.rho0")
    assert state.velocities[CYLINDER] == pytest.approx(-through_needle(drop, density), rel=0.01)
    assert through_needle((2 * 25.5e3 - FRICTION) / AREA, density) == pytest.approx(0.056, abs=5e-4)


def test_a_full_pallet_sits_down_at_the_speed_of_the_cushion() -> None:
    """It comes at the control's 150 mm/s and has 60 mm to slow down; 5 per cent for what still swings."""
    machine = example("forklift_mast")
    point = machine.point_from({"lever": "0", f"{CYLINDER}.position": "150 mm"})
    done = run(machine, 2.5, [read_change(machine, "0.1 s over 0.4 s: lever=-1")], point=point)
    time = next(e.time for e in done.events if "meets its inner end" in e.what)
    place, speed = (done.series[f"{what} of {CYLINDER}"].values for what in ("position", "velocity"))
    falling = (place < 0.13) & (place > 0.06)
    assert -speed[falling].mean() == pytest.approx(0.15, rel=0.10)
    arrives = -float(speed[done.times < time][-1])
    slow = at(machine, f"lever=-1, {CYLINDER}.position=1 mm")
    drop = (2 * 25.5e3 - FRICTION) / AREA - slow.pressures["lift cylinder foot"]
    assert arrives == pytest.approx(through_needle(drop, slow.parameter("oil.rho0")), rel=0.05)
