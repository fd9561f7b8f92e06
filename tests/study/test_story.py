"""The story of the hoist: what it must show, and that its numbers are those of the machine."""

from __future__ import annotations

import pytest

from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.story import CLOSE, LOADS, VALVES, Story, examples, hoist, story

GPM = parse("1 gpm", "flow")


@pytest.fixture(scope="module")
def told() -> Story:
    return story()


def close(told: Story, condition: str) -> dict[str, object]:
    return {item.valve: item for item in told.close if item.condition == condition}


def test_three_loads_for_both_valves(told: Story) -> None:
    assert len(told.loads) == len(LOADS) * len(VALVES)
    assert {item.valve for item in told.loads} == set(VALVES)
    assert [c.name for c in told.curves] == ["direct-acting relief", "two-stage relief"]


def test_each_item_is_a_state_of_the_machine(told: Story) -> None:
    item = told.close[0]
    machine = hoist(item.valve)
    assert item.condition == "lever open, rated speed"
    state = solve_point(
        machine, machine.point_from({"load pressure": CLOSE, "lever": "1", "engine speed": "2000 rpm"})
    )
    assert item.pump_pressure == pytest.approx(state.pressures["pump line"], rel=1e-9)
    assert item.velocity == pytest.approx(state.velocities["hoist cylinder"], rel=1e-9)
    assert item.heat_over_relief == pytest.approx(item.pump_pressure * item.over_relief, rel=0.02)


def test_the_low_load_is_lifted_alike_and_the_high_one_stalls(told: Story) -> None:
    low, high = told.loads[:2], told.loads[-2:]
    assert low[0].velocity == pytest.approx(low[1].velocity, rel=1e-6)
    assert low[0].velocity > 0.1
    for item in high:
        assert abs(item.velocity) < 1e-4
        assert item.over_relief > 17 * GPM


def test_close_to_the_setting_the_valves_part(told: Story) -> None:
    rated = close(told, "lever open, rated speed")
    assert rated["direct-acting"].over_relief > 11 * GPM
    assert rated["two-stage"].over_relief == pytest.approx(0.0, abs=1e-6 * GPM)
    idle = close(told, "lever open, idle")
    assert abs(idle["direct-acting"].velocity) < 1e-4  # stalls, held by the load check
    assert idle["two-stage"].velocity > 0.03
    bare = close(told, "lever open, idle, no load check")
    assert bare["direct-acting"].velocity < -0.02  # sinks
    assert bare["two-stage"].velocity > 0.03


@pytest.mark.parametrize("condition", ["neutral, rated speed", "neutral, idle"])
def test_in_neutral_the_valve_makes_no_difference(told: Story, condition: str) -> None:
    neutral = close(told, condition)
    assert neutral["direct-acting"].velocity == pytest.approx(neutral["two-stage"].velocity, rel=1e-9)
    assert all(abs(item.over_relief) < 1e-6 * GPM for item in neutral.values())


def test_the_example_files_are_found() -> None:
    assert {p.name for p in examples().glob("*.yaml")} >= {"tipping_hoist.yaml", "damped_step_relief.yaml"}
