"""Conditions of a test: met, not met, not known."""

from __future__ import annotations

import pytest
from tests.shop import MET, line_rows, proof_of, sheet

from oilway.study.conditions import Condition, State


def found(text: str) -> dict[str, Condition]:
    return {condition.name: condition for condition in proof_of(text).conditions}


def test_a_good_sheet_meets_everything() -> None:
    assert {c.state for c in found(sheet(line_rows())).values()} == {State.met}


def test_a_thermometer_too_coarse_to_tell_leaves_it_open() -> None:
    instruments = "  temp: {range: 0 C to 150 C, class: +-3 K}"
    near = MET.replace("122 F", "129 F")
    assert found(sheet(line_rows(), conditions=near))["oil temperature"].state is State.met
    coarse = found(sheet(line_rows(), conditions=near, instruments=instruments))["oil temperature"]
    assert coarse.state is State.unknown
    assert "finer instrument" in coarse.remedy


def test_no_window_is_supplied() -> None:
    condition = found(sheet(line_rows(), conditions="oil temperature: 122 F, settling time: 5 s"))[
        "oil temperature"
    ]
    assert condition.state is State.unknown
    assert "maker's" in condition.remedy


def test_a_logged_temperature_is_judged_by_its_worst() -> None:
    rows = [f"{row} {temp}" for row, temp in zip(line_rows(), [122] * 17 + [140], strict=True)]
    condition = found(sheet(rows, head="Q (gpm) P (psi) temp (F)"))["oil temperature"]
    assert condition.state is State.not_met
    assert "122 °F to 140 °F" in condition.said


@pytest.mark.parametrize(("seconds", "state"), [(60, State.met), (8, State.not_met)])
def test_a_logger_s_sweep_is_slow_or_does_not_count(seconds: float, state: State) -> None:
    steps = 100
    flows = [24 * k / steps for k in range(steps)] + [24 - 24 * k / steps for k in range(steps + 1)]
    rows = [f"{seconds * k / steps:.3f} {flow:.3f} {2900 + flow:.3f}" for k, flow in enumerate(flows)]
    conditions = MET.replace(", settling time: 5 s", "")
    assert found(sheet(rows, head="t (s) Q (gpm) P (psi)", conditions=conditions))["settled"].state is state


def test_the_maker_s_settling_time_counts_before_common_practice() -> None:
    condition = found(sheet(line_rows(), conditions=MET + ", least settling time: 30 s"))["settled"]
    assert condition.state is State.not_met
    assert "common practice" not in condition.said
