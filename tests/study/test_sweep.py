"""What pressure-flow curves share."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.study.sweep import Sweep, is_drawn, on_its_stand, spaced


def test_figures_of_two_straight_branches() -> None:
    flows = np.linspace(0, 50, 101)
    sweep = Sweep("made up", flows, 100 + 2 * flows, 90 + 2 * flows)
    assert (sweep.full_flow, sweep.full) == (50.0, 200.0)
    assert sweep.hysteresis == pytest.approx(10.0)
    assert Sweep("turned round", flows, sweep.falling, sweep.rising).hysteresis == pytest.approx(10.0)
    assert sweep.at(sweep.rising, 2.25) == pytest.approx(104.5)


def test_branches_come_in_the_order_in_which_they_were_taken() -> None:
    flows = np.array([0.0, 1.0, 2.0])
    taken = Sweep("made up", flows, flows + 10, flows + 5).branches()
    assert list(taken) == ["rising", "falling"]
    assert taken["rising"][1].tolist() == [10, 11, 12]
    assert [part.tolist() for part in taken["falling"]] == [[2, 1, 0], [7, 6, 5]]


def test_flows_are_closer_together_at_the_beginning_and_pass_through_the_one_asked_for() -> None:
    flows = spaced(0.0, 10.0, 50, 3.3)
    assert (flows[0], flows[-1], len(flows)) == (0.0, 10.0, 50)
    assert 3.3 in flows
    assert flows[1] < 0.01
    assert (np.diff(flows) > 0).all()


@pytest.mark.parametrize(
    ("name", "pump", "drawn"),
    [
        ("direct relief", "test pump", False),
        ("brake", "motor", False),
        ("reducing", "consumer", True),
        ("pilot reducing", "consumer", True),
    ],
)
def test_the_pump_that_sets_a_valve_is_found_and_which_way_it_works(name: str, pump: str, drawn: bool) -> None:
    machine = oilway.load(name)
    assert on_its_stand(machine, {})[1].name == pump
    assert is_drawn(machine) is drawn


def test_what_no_pump_sets_is_refused() -> None:
    with pytest.raises(InputError, match="set by the flow of a test pump"):
        on_its_stand(oilway.load("crossover relief"), {})
