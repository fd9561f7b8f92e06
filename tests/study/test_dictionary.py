"""The fault dictionary: the same states as solved one by one, slopes by finite differences, nothing dropped."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.solve.point import rest, solve_point
from oilway.study.dictionary import IMPOSSIBLE, SEVERITIES, SOLVED, build
from oilway.study.faults import apply
from oilway.study.tolerances import shifted


def test_an_entry_is_the_state_that_explain_would_show(on_stand: Any) -> None:
    bench, dictionary = on_stand
    k = next(k for k, f in enumerate(bench.faults) if f.name == "two-stage relief: pilot seat worn")
    for s in (0, 4, 8):
        state = solve_point(apply(bench.machine, bench.faults[k], SEVERITIES[s]), bench.setups[0].point)
        r = next(r for r, o in enumerate(bench.panel.offers) if o.name == "pressure at inlet")
        assert dictionary.mean[k, s, 0, r] == pytest.approx(state.pressures["inlet"], rel=1e-6)


def test_slopes_are_those_of_machines_that_differ(on_stand: Any) -> None:
    from oilway.solve.steady import steady

    bench, dictionary = on_stand
    th, warm = bench.theta(bench.setups[0], {})
    for k, wobble in enumerate(bench.wobbles):
        shown = []
        for by in (-0.05, 0.05):
            off = shifted(bench.machine, th, wobble, warm, by)
            at = warm + (by * wobble.fixed if wobble.column < 0 else 0.0)
            shown.append(bench.panel.read(bench.machine, steady(bench.machine.system, off), off, at))
        slope = (shown[1] - shown[0]) / 0.1
        assert dictionary.sound_slope[0, :, k] == pytest.approx(slope, rel=0.02, abs=1e-3 * np.abs(slope).max())


def test_a_stuck_valve_is_listed_not_dropped(hoist: Any) -> None:
    bench, dictionary = hoist
    k = next(k for k, f in enumerate(bench.faults) if f.name == "main relief: main part stuck shut")
    u = next(u for u, s in enumerate(bench.setups) if s.name == "lever valve +1, stalled")
    assert (dictionary.status[k, :, u] == IMPOSSIBLE).all()
    assert any(f == k and at == u and "dead-headed" in why for f, _, at, why in dictionary.unsolved)
    assert (
        dictionary.status[k, 0, bench.setups.index(next(s for s in bench.setups if s.name == "neutral"))] == SOLVED
    )


def test_a_load_held_on_shut_ports_has_a_pressure_that_nothing_fixes(hoist: Any) -> None:
    _, dictionary = hoist
    assert not dictionary.sound_loose[0].any()
    assert np.isfinite(dictionary.sound_mean).all()


def test_what_a_load_draws_to_vacuum_is_what_a_solve_from_nothing_finds(hoist: Any) -> None:
    bench, dictionary = hoist
    u = next(u for u, setup in enumerate(bench.setups) if setup.name == "neutral")
    drawn = [r for r, offer in enumerate(bench.panel.offers) if dictionary.sound_mean[u, r] < -0.9e5]
    assert drawn  # above the piston the load sinks away from its oil
    for k in range(0, len(bench.faults), 4):
        for s in (0, len(SEVERITIES) - 1):
            th, warm = bench.theta(bench.setups[u], bench.faults[k].changes(SEVERITIES[s]))
            z, isolated = rest(bench.machine, th)
            assert isolated == []
            cold = bench.panel.read(bench.machine, z, th, warm)
            assert dictionary.mean[k, s, u] == pytest.approx(cold, rel=1e-5, abs=1.0), bench.faults[k].name


def test_two_processes_make_the_same_dictionary(on_stand: Any) -> None:
    bench, dictionary = on_stand
    both = build(bench, workers=2)
    np.testing.assert_array_equal(both.mean, dictionary.mean)
    np.testing.assert_array_equal(both.status, dictionary.status)
