"""A run as frames: it begins with the steady frame, and every row is the balance of its moment."""

from __future__ import annotations

from functools import cache
from typing import Any

import casadi as ca
import numpy as np
import pytest

import oilway
from oilway.solve.point import solve_point
from oilway.study.frame import Frame, channels, frame
from oilway.study.moving_frames import FINER, MovingFrames, moving_frames
from oilway.study.run import Run, read_change, run
from oilway.study.story import examples

STEP = 0.01
# Lines of a ledger that are not the same at rest and at the first moment of a run, with the reason: dry friction
# pushes in the rest form; in motion a part that stands has none yet.
OTHERWISE = "dry friction"


@cache
def ran() -> tuple[Run, MovingFrames, list[Any], Frame]:
    """The hoist from neutral to lifting, and its frames."""
    machine = oilway.load(examples() / "tipping_hoist.yaml", {"box.load pressure": "2600 psi"})
    point = machine.point_from({"lever": "0"})
    done = run(machine, 0.8, [read_change(machine, "0.2 s over 0.1 s: lever=1")], point=point, step=STEP)
    rest = solve_point(machine, point)
    return done, moving_frames(done, point), channels(rest), frame(rest)


def test_the_first_frame_is_the_steady_one() -> None:
    _, shown, columns, rest = ran()
    for column, moving, still in zip(columns, shown.frames[0].values, rest.values, strict=True):
        if column.label == OTHERWISE or column.law == "no tension in oil" or column.name.startswith("power"):
            continue
        assert moving == pytest.approx(still, rel=1e-6, abs=1e-6), column
    assert shown.frames[0].statuses == rest.statuses
    assert shown.frames[0].words == rest.words
    assert shown.frames[0].point == rest.point


def test_every_row_is_the_balance_of_its_moment() -> None:
    """What a force ledger leaves over is mass x acceleration, as the integrator itself has it."""
    done, shown, columns, _ = ran()
    motion, course = done.machine.system.motion, done.course
    rates = ca.Function("rates", [motion.states, motion.th], [motion.rates])
    at = {round(t, 9): k for k, t in enumerate(shown.times)}
    parts = {"main relief.main part", "main relief.pilot poppet"}
    checked = 0
    for k, time in enumerate(course.times):
        if round(float(time), 9) not in at:
            continue
        row = shown.frames[at[round(float(time), 9)]].values
        rate = np.array(rates(course.states[k], course.th[k])).ravel()
        for part in parts:
            left = sum(v for c, v in zip(columns, row, strict=True) if c.name.startswith(f"force:{part}#"))
            mass = float(done.machine.parts[part].values["mass"] or 0.0)
            pushed = mass * rate[motion.names.index(f"speed of {part}")]
            assert left == pytest.approx(pushed, rel=1e-6, abs=1e-6), (time, part)
            checked += 1
    assert checked >= 2 * len(course.times) - 4


def test_pressures_and_positions_are_those_of_the_run() -> None:
    done, shown, columns, _ = ran()
    names = [c.name for c in columns]
    for name, series in (
        ("pressure:pump line", done.series["pressure in pump line"]),
        ("position:hoist cylinder", done.series["position of hoist cylinder"]),
        ("lift:main relief.main part", done.series["lift of main relief.main part"]),
    ):
        column = names.index(name)
        played = np.interp(done.times, shown.times, [f.values[column] for f in shown.frames])
        assert played == pytest.approx(series.values, rel=1e-9, abs=1e-12), name


def test_around_a_seat_the_frames_stand_closer() -> None:
    done, shown, _, _ = ran()
    assert done.events
    steps = np.diff(shown.times)
    assert steps.min() > 0
    event = done.events[0].time
    near = steps[np.searchsorted(shown.times, event) - 1]
    assert near <= STEP * FINER / 50 * 1.01
    assert len(shown.times) > len(done.times)


def test_a_frame_says_what_has_been_changed_by_then() -> None:
    _, shown, _, _ = ran()
    lever = "lever valve.spool.position"
    assert shown.frames[0].point[lever] == 0
    assert shown.frames[-1].point[lever] == 1
