"""The log splitter: fast with both pumps against air, slow and strong with the small one in wood."""

from __future__ import annotations

import pytest
from tests.machines.fleet import HP, PSI, at, circle, example, pumped, ring, shaft_power

from oilway.solve.result import State
from oilway.study.run import read_change, run

CAP, RING = circle(0.100), ring(0.100, 0.050)
SPEED = 2800 / 60  # rev/s
BIG, SMALL = 16e-6, 5e-6  # m3/rev
WOOD = "load pressure=1800 psi"


def both(state: State) -> tuple[float, float]:
    """m3/s of the big and of the small pump by hand."""
    big = pumped(BIG, SPEED, state.pressures["big pump line"], state, 0.95)
    return big, pumped(SMALL, SPEED, state.pressures["system line"], state, 0.93)


@pytest.mark.parametrize("load", ["100 psi", "200 psi", "400 psi"])
def test_against_little_both_pumps_push(load: str) -> None:
    """2 per cent: compression, air, and what leaks over the spools."""
    state = at(example("log_splitter"), f"load pressure={load}")
    assert state.velocities["splitting cylinder"] == pytest.approx(sum(both(state)) / CAP, rel=0.02)
    assert state.statuses["unloading valve.spool"].word == "seated"


@pytest.mark.parametrize("load", ["1200 psi", "1800 psi", "2200 psi"])
def test_in_wood_the_small_pump_pushes_alone(load: str) -> None:
    """System pressure opens the valve fully: the big pump stands below 50 psi, and its check is shut."""
    state = at(example("log_splitter"), f"load pressure={load}")
    assert state.velocities["splitting cylinder"] == pytest.approx(both(state)[1] / CAP, rel=0.02)
    assert state.statuses["unloading valve.spool"].word == "at its stop"
    assert state.flow_through("unloading valve.check") == 0.0
    assert state.pressures["big pump line"] < 50 * PSI


def test_it_changes_over_at_the_unloading_setting() -> None:
    """650 psi at 1 gpm: at 600 psi of load hardly any goes to tank, at 750 psi over half of the big pump's."""
    before, after = (at(example("log_splitter"), f"load pressure={p}") for p in ("600 psi", "750 psi"))
    share = [1 - s.velocities["splitting cylinder"] * CAP / sum(both(s)) for s in (before, after)]
    assert share[0] < 0.02
    assert share[1] > 0.5 * BIG / (BIG + SMALL)


def test_fast_and_slow_stand_in_the_ratio_of_the_displacements() -> None:
    """21 to 5 cc: 4.2 times as fast; the small pump's slip at 1800 psi, some 4 per cent, comes on top."""
    fast, slow = (at(example("log_splitter"), words).velocities["splitting cylinder"] for words in ("", WOOD))
    assert fast / slow == pytest.approx(21 / 5, rel=0.06)
    assert fast / slow > 21 / 5


def test_the_engine_power_that_unloading_saves() -> None:
    """1818 psi x 5 cc x 2800 rpm / 0.92 = 4.2 hp; both pumps at that pressure would ask 4.2 times as much.

    2 per cent for compression; the big pump idles on less than 1 per cent of that.
    """
    state = at(example("log_splitter"), WOOD)
    small = state.pressures["system line"] * SMALL * SPEED / 0.92
    assert small / HP == pytest.approx(4.2, rel=0.03)
    assert shaft_power(state, "small pump") == pytest.approx(small, rel=0.02)
    assert shaft_power(state, "big pump") < 0.02 * small
    # The valve set out of the way: the same push now takes the whole of it, more than a small engine has.
    stuck = at(example("log_splitter", ("unloading valve.setting", "1450 psi at 1 gpm")), "load pressure=1300 psi")
    both_pumps = shaft_power(stuck, "small pump") + shaft_power(stuck, "big pump")
    by_hand = (stuck.pressures["system line"] * (SMALL + BIG)) * SPEED / 0.92
    assert both_pumps == pytest.approx(by_hand, rel=0.02)
    assert both_pumps > 12 * HP


def test_stalled_the_main_relief_takes_the_small_pump_alone() -> None:
    state = at(example("log_splitter"), "load pressure=2700 psi")
    assert 2350 * PSI < state.pressures["system line"] < 2560 * PSI
    over = state.at_no_pressure(state.flow_through("main relief.seat"))
    assert over == pytest.approx(both(state)[1], rel=0.02)
    assert state.pressures["big pump line"] < 50 * PSI


def test_coming_back_the_smaller_end_is_filled_by_both() -> None:
    state = at(example("log_splitter"), "lever=-1, load pressure=0 psi")
    assert state.velocities["splitting cylinder"] == pytest.approx(-sum(both(state)) / RING, rel=0.02)


def test_the_wedge_meets_wood() -> None:
    """In time: the load rises within 50 ms; the valve opens on the way up, before the load has passed 900 psi."""
    machine = example("log_splitter")
    done = run(machine, 0.8, [read_change(machine, "0.1 s over 0.05 s: load pressure=1800 psi")])
    opened = next(e.time for e in done.events if e.part == "unloading valve.spool" and "leaves its seat" in e.what)
    assert opened > 0.1
    system = done.series["pressure in system line"].values
    assert system[done.times < opened].max() < 650 * PSI
    assert done.figures["big pump line"].end < 50 * PSI
    assert (
        done.series["velocity of splitting cylinder"].values[-1]
        < 0.4 * done.series["velocity of splitting cylinder"].values[0]
    )
