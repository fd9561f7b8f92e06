"""Figures of a choice: the least damping over the curve, and the range that the adjuster reaches."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.solve.point import solve_point
from oilway.solve.stability import stability
from oilway.study.anew import Anew
from oilway.study.curve import relief_curve
from oilway.study.size_figures import DAMPING, HIGHEST, LOWEST, Valve, Whole
from oilway.study.sized import ENDS
from oilway.study.spread_work import OVERRIDE
from oilway.study.sweep import on_its_stand


@pytest.fixture(scope="module")
def bench():
    """The two-stage relief on the stand on which it is set."""
    return on_its_stand(oilway.load("pilot relief"), {})[0]


def test_the_damping_ratio_is_the_least_over_the_curve(bench) -> None:
    valve = Valve(Anew(bench, bench.mounted[0]), "")
    th = bench.theta()[None].copy()
    told = valve.figures(th, [DAMPING])[0][DAMPING][0]
    found = []
    for share in (0.01, 0.25, 1.0):
        flow = share * bench.mounted[0].setting.flow
        state = solve_point(bench, {bench.set_by[1]: flow})
        found.append(stability(bench.system, state.z, state.th).worst.damping)
    assert told == pytest.approx(min(found), rel=1e-4)
    assert min(found) < found[-1]


def test_the_range_is_what_the_adjuster_reaches(bench) -> None:
    figures, held = Valve(Anew(bench, bench.mounted[0]), "").figures(bench.theta()[None].copy(), [])
    most = float(bench.parts["pilot spring"].values["most turns"])
    for name, share in zip((LOWEST, HIGHEST), ENDS, strict=True):
        curve = relief_curve(bench.with_part("pilot spring", {"turns": share * most}))
        assert figures[name][0] == pytest.approx(curve.full, rel=1e-6)
    assert held.all()
    assert figures[OVERRIDE][0] == pytest.approx(relief_curve(bench).override, rel=1e-3)


def test_a_machine_has_a_damping_ratio_of_its_own() -> None:
    machine = oilway.load("examples/tipping_hoist.yaml")
    whole = Whole(machine, {}, is_machine=True)
    figures = whole.figures(whole.written[None], [DAMPING, "speed:hoist cylinder", "not a figure"])
    state = solve_point(machine)
    assert set(figures) == {DAMPING, "speed:hoist cylinder"}
    assert figures[DAMPING][0] == pytest.approx(
        stability(machine.system, state.z, state.th).worst.damping, rel=1e-6
    )
    assert np.isfinite(figures["speed:hoist cylinder"]).all()
