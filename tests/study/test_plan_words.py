"""The words of a plan: what a reader must find at each step."""

from __future__ import annotations

import pytest
from tests.study.shop import PLAIN, PSI, stalled, swapped

import oilway
from oilway.study.plan import setting_plan
from oilway.study.plan_words import below_words, cautions, instructions, preparation, reason, wrong_words
from oilway.study.story import examples


@pytest.fixture
def plan(machine):
    return setting_plan(machine(stalled()))


def test_preparation_names_temperature_and_speed(plan) -> None:
    told = " ".join(preparation(plan, "shop"))
    assert "104 °F" in told  # 40 C
    assert "pump 2000 rpm" in told
    assert "valves are tested near 122 °F" in told
    assert "40.0 °C" in " ".join(preparation(plan, "metric"))


def test_a_masked_step_says_what_to_turn_up_and_to_put_it_back(plan) -> None:
    port = plan.steps[1]
    told = instructions(plan, port, "shop")
    assert "main acts first" in reason(port, "shop")
    assert any(line.startswith("Only where the maker's manual says so: first turn up main to") for line in told)
    assert told[-1] == "Put main back to 2300 psi, and prove it again with a reading of its own."
    assert any("put it back at once" in line for line in cautions(port, "shop"))


def test_every_step_finishes_on_rising_pressure_and_names_the_lowest_rating(plan) -> None:
    for step in plan.steps:
        assert any("Finish on rising pressure" in line for line in instructions(plan, step, "shop"))
        assert (
            cautions(step, "shop")[0] == "Never above 3400 psi, the rated pressure of cylinder, the lowest here."
        )


def test_what_a_drained_valve_needs_is_said_there_only() -> None:
    steps = setting_plan(oilway.load(examples() / "press.yaml")).steps
    plugged = {s.control.name: any("Never plug its drain" in line for line in cautions(s, "shop")) for s in steps}
    assert plugged == {"main relief": False, "sequence valve": True, "clamp reducing": True}


def test_an_adjuster_that_lowers_is_shouted(tmp_path) -> None:
    file = tmp_path / "plain.yaml"
    text = swapped(PLAIN, {"pitch: 1 mm/turn": "pitch: -1 mm/turn, compression: 15 mm"})
    file.write_text(text, encoding="utf-8")
    plan = setting_plan(oilway.load(file), rated=3000 * PSI)
    assert any(line.startswith("Turning in LOWERS it") for line in instructions(plan, plan.steps[0], "shop"))


def test_wrong_ways_are_said_with_their_numbers(plan) -> None:
    main = plan.steps[0]
    told = [wrong_words(plan, wrong, "shop") for wrong in main.wrong]
    assert "set to 2300 psi with 100 psi of back-pressure: it reads 2200 psi, 100 psi too low" in told
    assert any(
        line.startswith("set to 2300 psi at idle, with 6.34 gpm over it") for line in told
    )  # a third of 19.02
    assert below_words(main.below[0], "shop").startswith("port below the main, at 2100 psi: cylinder stalls at 2")
