"""A plan as plain data: what JSON, sheet and page read."""

from __future__ import annotations

import json

import pytest
from tests.study.shop import PSI, stalled

from oilway.study.plan import setting_plan
from oilway.study.plan_data import plan_data


def test_numbers_have_units_and_agree_with_the_plan(machine) -> None:
    plan = setting_plan(machine(stalled()))
    data = json.loads(json.dumps(plan_data(plan, "metric"), allow_nan=False))
    main, port = data["steps"]
    assert main["setting"]["unit"] == "bar"
    assert main["setting"]["value"] == pytest.approx(2300 * PSI / 1e5)
    assert main["in the machine"]["pressure"]["value"] == pytest.approx(plan.steps[0].reading.pressure / 1e5)
    assert port["acts first"] == ["main"]
    assert port["turned up meanwhile"][0]["turns"] == pytest.approx(plan.steps[1].raised[0].turns)
    assert {w["how"] for w in main["set wrongly"]} == {"cracking", "idle", "cold", "back-pressure", "falling"}
    assert main["lowest rating"]["part"] == "cylinder"
    assert main["adjuster"]["turning in"] == "raises"
    assert main["port relief below"][0]["port relief"] == "port"


def test_what_is_set_on_the_bench_has_no_reading_in_the_machine(machine) -> None:
    plan = setting_plan(machine(stalled(swap={"3400 psi": "2750 psi"})))
    port = plan_data(plan)["steps"][1]
    assert port["where"] == "bench"
    assert port["in the machine"] is None
