"""Set-ups: where levers stand, what stalls, what is capped - and that a capped port really shuts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

import oilway
from oilway.solve.point import solve_point
from oilway.study.dictionary import SOLVED, bench_of, empty_entry, solve_into
from oilway.study.setups import capped_ports, setups_of
from oilway.study.story import examples


def test_the_hoist_can_be_run_in_all_the_ways_of_the_trade(hoist: Any) -> None:
    bench, _ = hoist
    names = [setup.name for setup in bench.setups]
    assert bench.default == "lever valve +1"  # as its file has it
    for wanted in (
        "neutral",
        "lever valve +1, stalled",
        "lever valve +1, stalled at idle",
        "lever valve +1, light load",
        "lever valve +1, stalled, vent of main relief capped",
        "lever valve +1, stalled, adjuster of main relief half a turn in",
        "neutral, ports of hoist cylinder capped",
    ):
        assert wanted in names
    assert len(names) == len(set(names))
    assert all(setup.minutes > 0 and setup.cautions for setup in bench.setups)


def test_stalled_means_that_it_stands(hoist: Any) -> None:
    bench, dictionary = hoist
    speed = next(r for r, o in enumerate(bench.panel.offers) if o.name == "speed of hoist cylinder")
    for u, setup in enumerate(bench.setups):
        moving = abs(dictionary.sound_mean[u, speed]) > 1e-3
        assert moving == (not setup.stalled and not setup.name.startswith("neutral")), setup.name


def test_the_passages_that_a_test_can_cap_cost_nothing() -> None:
    plain = oilway.load(examples() / "tipping_hoist.yaml")
    before, after = solve_point(plain), solve_point(capped_ports(plain))
    assert abs(before.velocities["hoist cylinder"] - after.velocities["hoist cylinder"]) < 1e-4
    for name, pressure in before.pressures.items():
        assert after.pressures[name] == pytest.approx(pressure, rel=1e-5, abs=200.0), name


def test_capped_a_worn_spool_lets_nothing_sink_but_a_piston_with_an_open_rod_end_would(hoist: Any) -> None:
    bench, dictionary = hoist
    speed = next(r for r, o in enumerate(bench.panel.offers) if o.name == "speed of hoist cylinder")
    at = {setup.name: u for u, setup in enumerate(bench.setups)}
    worn = next(k for k, f in enumerate(bench.faults) if f.name == "lever valve: spool worn")
    assert dictionary.mean[worn, -1, at["neutral"], speed] < -1e-4
    assert abs(dictionary.mean[worn, -1, at["neutral, ports of hoist cylinder capped"], speed]) < 1e-9


def test_a_valve_on_the_stand_has_set_ups_too() -> None:
    found, default = setups_of(oilway.load("direct relief"))
    assert default == "full flow"
    assert any("50 %" in setup.name for setup in found)
    named, _ = setups_of(oilway.load("load check"))
    assert [setup.name for setup in named] == ["the pump lifts the load", "the pump line is lower than the load"]


def test_a_held_motor_stands_whatever_is_wrong() -> None:
    """A motor between two equal pressures has no torque, so no share of it holds one: the swing drive at idle."""
    bench = bench_of(oilway.load(examples() / "swing_drive.yaml"))
    speed = next(r for r, o in enumerate(bench.panel.offers) if o.name == "speed of motor")
    held = [u for u, setup in enumerate(bench.setups) if setup.stalled]
    assert len(held) > 3
    for fault in bench.faults:
        entry, last = empty_entry(bench), None
        for u in held:
            last = solve_into(bench, entry, u, bench.setups[u], fault.changes(0.9), [last], sloped=False)
        solved = entry.status[held] == SOLVED
        assert solved.any()
        assert np.all(entry.mean[held, speed][solved] == 0), fault.name
