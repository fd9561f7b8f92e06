"""Tolerances: what may differ in a machine, and by how much."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.study.tolerances import moved, shifted, tolerances, wobbles


def test_every_row_is_found_in_the_hoist_or_elsewhere(hoist: Any) -> None:
    bench, _ = hoist
    assert tolerances()
    names = [w.name for w in wobbles(bench.machine)]
    assert names[0] == "oil temperature"
    for wanted in ("pump.volumetric efficiency", "main relief.pilot spring.turns", "box.load pressure"):
        assert wanted in names
    assert not [name for name in names if ": " in name]  # nothing of what the tests themselves added


def test_one_thing_is_moved_by_its_own_size(hoist: Any) -> None:
    bench, _ = hoist
    th, warm = bench.machine.theta(), bench.machine.temperature
    wobble = next(w for w in bench.wobbles if w.name == "pump.engine speed")
    moved = shifted(bench.machine, th, wobble, warm, 2.0)
    assert moved[wobble.column] == pytest.approx(th[wobble.column] * 1.03)
    assert np.count_nonzero(moved != th) == 1


def test_warmer_oil_is_thinner(hoist: Any) -> None:
    bench, _ = hoist
    th, warm = bench.machine.theta(), bench.machine.temperature
    moved = shifted(bench.machine, th, bench.wobbles[0], warm, 1.0)
    mu = bench.machine.system.parameters["oil.mu"]
    assert moved[mu] == pytest.approx(bench.machine.oil.at(warm + 4.0).mu)
    assert moved[mu] < th[mu]


def test_moves_are_what_a_machine_off_by_a_little_differs_by(hoist: Any) -> None:
    bench, _ = hoist
    th, warm = bench.machine.theta(), bench.machine.temperature
    moves, warmer = moved(bench.machine, th, bench.wobbles, warm)
    for k, wobble in enumerate(bench.wobbles):
        sides = [shifted(bench.machine, th, wobble, warm, by) for by in (0.05, -0.05)]
        assert moves[:, k] == pytest.approx((sides[0] - sides[1]) / 0.1, rel=2e-3, abs=1e-15)
    assert warmer[0] == pytest.approx(4.0)
    assert not warmer[1:].any()
