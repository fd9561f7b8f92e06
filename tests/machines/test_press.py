"""The press: the clamp closes first, at its own reduced pressure; the ram waits for the sequence setting."""

from __future__ import annotations

import numpy as np
import pytest
from tests.machines.fleet import PSI, at, circle, example, pumped

from oilway.study.run import Run, read_change, run

CLAMP, RAM = circle(0.050), circle(0.100)
SETTING, REDUCED = 1200 * PSI, 600 * PSI
CLAMP_MOVES = "clamp cylinder.position=10 mm, piece.load pressure=100 psi"


def test_while_the_clamp_moves_the_ram_waits() -> None:
    """200 N and 100 N of seals on 19.6 cm2 ask for 22 psi: far below the setting, and all the oil goes there."""
    state = at(example("press"), CLAMP_MOVES)
    assert state.pressures["work line"] < 0.5 * SETTING
    assert state.statuses["sequence valve.spool"].word == "seated"
    flow = pumped(16e-6, 25, state.pressures["pump line"], state, 0.94)
    # both rod ends return by one line: what little back-pressure they get moves the ram by no more than this
    assert abs(state.velocities["ram cylinder"]) < 0.05 * state.velocities["clamp cylinder"]
    into_clamp = state.velocities["clamp cylinder"] * CLAMP
    from_ram = -state.velocities["ram cylinder"] * RAM
    assert into_clamp == pytest.approx(flow + from_ram, rel=0.02)


@pytest.mark.parametrize("piece", ["1100 psi", "1500 psi", "2000 psi"])
def test_the_clamp_is_held_at_the_reduced_pressure(piece: str) -> None:
    """600 psi on 19.6 cm2: 8.1 kN on the piece, whatever the ram needs.

    10 per cent: it was set while 2 gpm were drawn; with nothing drawn the spool goes back by its opening, and the
    spring that it gives way to is 34 N/mm on 78.5 mm2, 63 psi a millimetre.
    """
    state = at(example("press"), f"piece.load pressure={piece}")
    assert state.pressures["clamp line"] == pytest.approx(REDUCED, rel=0.10)
    assert state.pressures["work line"] > 1.9 * state.pressures["clamp line"]
    held = -sum(e.value for e in state.forces["clamp cylinder"] if e.label == "end stop")
    assert held == pytest.approx(REDUCED * CLAMP - 200, rel=0.10)
    assert pytest.approx(8.1e3, rel=0.01) == REDUCED * CLAMP


@pytest.mark.parametrize("piece", ["1300 psi", "1700 psi", "2000 psi"])
def test_a_piece_above_the_setting_sets_the_work_line(piece: str) -> None:
    """The sequence valve is wide open, both lines are one but for a drop; the setting shows nowhere any more."""
    state = at(example("press"), f"piece.load pressure={piece}")
    load = float(piece.split()[0]) * PSI
    assert state.pressures["ram line"] == pytest.approx(load, rel=0.01)
    assert 0 < state.pressures["work line"] - state.pressures["ram line"] < 50 * PSI


@pytest.mark.parametrize("piece", ["1000 psi", "1100 psi"])
def test_below_it_the_sequence_valve_keeps_the_setting(piece: str) -> None:
    """Set at 1 gpm, 6 gpm pass: 0.5 mm more of a 24.5 N/mm spring on 28.3 mm2, 63 psi, and its jet."""
    state = at(example("press"), f"piece.load pressure={piece}")
    assert SETTING <= state.pressures["work line"] <= SETTING + 120 * PSI


def test_the_ram_presses_at_the_flow_of_the_pump() -> None:
    state = at(example("press"))
    flow = pumped(16e-6, 25, state.pressures["pump line"], state, 0.94)
    assert state.velocities["ram cylinder"] == pytest.approx(flow / RAM, rel=0.02)


@pytest.fixture(scope="module", params=["300 psi", "1500 psi"])
def cycle(request: pytest.FixtureRequest) -> Run:
    """Clamp and ram back, then the lever is moved; the ram meets its piece at once."""
    machine = example("press")
    words = {"lever": "0", "clamp cylinder.position": "20 mm", "ram cylinder.position": "0 mm"}
    point = machine.point_from({**words, "piece.load pressure": request.param})
    return run(machine, 1.0, [read_change(machine, "0.1 s over 0.1 s: lever=1")], point=point)


def test_the_second_motion_starts_after_the_sequence_setting(cycle: Run) -> None:
    """It has moved its first millimetre only after the clamp has closed and the work line has reached 1200 psi.

    The spool leaves its seat before: it overlaps its port by 1.2 mm, and 24.5 N/mm on 28.3 mm2 are 126 psi a mm.
    """
    closed = next(e.time for e in cycle.events if e.part == "clamp cylinder" and "meets its outer" in e.what)
    lifted = next(e.time for e in cycle.events if e.part == "sequence valve.spool" and "leaves" in e.what)
    moved = cycle.times[np.argmax(cycle.series["position of ram cylinder"].values > 1e-3)]
    work = cycle.series["pressure in work line"].values
    assert closed < lifted < moved
    assert work[cycle.times < closed].max() < SETTING
    assert work[cycle.times < moved].max() >= SETTING
    assert work[np.argmax(cycle.times >= lifted)] == pytest.approx(SETTING - 1.2 * 126 * PSI, abs=30 * PSI)


def test_after_the_blow_the_clamp_settles_at_the_reduced_pressure(cycle: Run) -> None:
    """The relieving edge lets out what the closing clamp has pushed up; it opens 0.4 mm of travel later.

    0.4 mm and the opening of a drawn 2 gpm are worth another 12 per cent of the setting.
    """
    assert cycle.figures["clamp line"].end == pytest.approx(REDUCED, rel=0.12)
    assert cycle.series["velocity of ram cylinder"].values[-1] > 0.04


def test_a_reducing_valve_that_does_not_relieve_keeps_the_blow() -> None:
    machine = example("press", ("clamp reducing.outlet", "non-relieving"))
    words = {"lever": "0", "clamp cylinder.position": "20 mm", "ram cylinder.position": "0 mm"}
    change = read_change(machine, "0.1 s over 0.1 s: lever=1")
    done = run(machine, 1.0, [change], point=machine.point_from(words))
    assert done.figures["clamp line"].end > 1.4 * REDUCED
