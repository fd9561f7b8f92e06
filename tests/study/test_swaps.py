from __future__ import annotations

import oilway
from oilway.study.swaps import swaps


def test_a_relief_in_a_machine_can_be_the_other_one_and_its_choices_are_named() -> None:
    found = {swap.key: swap for swap in swaps(oilway.load("examples/tipping_hoist.yaml"))}
    assert found["main relief.valve"].now == "pilot relief"
    assert "direct relief" in found["main relief.valve"].others
    assert found["lever valve.load check"].others == ["left out"]


def test_every_swap_can_be_loaded() -> None:
    machine = oilway.load("examples/tipping_hoist.yaml")
    for swap in swaps(machine):
        for other in swap.others:
            assert oilway.load(machine.path, {swap.key: other}).title == machine.title


def test_a_choice_that_needs_a_pipe_is_left_out_where_there_is_none() -> None:
    # The external drain wants a port that the hoist does not connect.
    assert "main relief.drain" not in {swap.key for swap in swaps(oilway.load("examples/tipping_hoist.yaml"))}


def test_a_valve_alone_can_be_another_file() -> None:
    whole = next(swap for swap in swaps(oilway.load("direct relief")) if not swap.key)
    assert whole.now == "direct relief"
    assert "pilot relief" in whole.others
    assert "counterbalance" not in whole.others
