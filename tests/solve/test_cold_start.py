"""Cold starts, in small: every valve and the hoist from random starts, as shipped and with random internals.

The full count (1,000 starts; 200 parameter sets) is ``python -m benchmarks cold``.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from benchmarks import cold_start
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.point import pushed
from oilway.solve.stability import stability
from oilway.solve.steady import steady
from oilway.study.setting import settle

STARTS, SETS, STARTS_PER_SET = 40, 12, 4
each = pytest.mark.parametrize("name", list(cold_start.SUBJECTS))


@each
def test_random_starts_all_end_in_the_one_state(name: str) -> None:
    tally = cold_start.shipped(name, STARTS)
    assert (tally.starts, tally.infeasible) == (STARTS, 0)
    assert not tally.failures
    assert not tally.several


@each
def test_random_internals_come_to_rest_or_say_why_not(name: str) -> None:
    tally = cold_start.varied(name, range(SETS), STARTS_PER_SET)
    assert tally.starts == SETS * STARTS_PER_SET
    assert not tally.failures
    assert tally.solved + tally.infeasible == tally.starts
    assert tally.solved > 0.8 * tally.starts


@each
def test_every_state_has_modes_with_finite_numbers(name: str) -> None:
    for machine, th, z in states(name):
        found = stability(machine.system, z, th)
        assert found.modes
        for mode in found.modes:
            assert all(map(math.isfinite, (mode.growth, mode.frequency, mode.damping)))
            assert mode.frequency >= 0
        assert found.worst in found.modes


def states(name: str) -> list[tuple[Machine, Vector, Vector]]:
    """The rest of a subject as shipped, and with a few random parameter sets."""
    machine = settle(cold_start.SUBJECTS[name]())
    sets = [pushed(machine.system, machine.theta(), "open")]
    sets += [cold_start.random_parameters(machine, np.random.default_rng(seed)) for seed in range(SETS)]
    return [(machine, th, steady(machine.system, th)) for th in sets]


def test_random_parameters_are_legal_and_differ() -> None:
    machine = settle(cold_start.SUBJECTS["hoist, pilot relief"]())
    one, two = (cold_start.random_parameters(machine, np.random.default_rng(seed)) for seed in (1, 2))
    index = machine.system.parameters
    for element in machine.elements.values():
        for record in element.records:
            if (k := index.get(f"{element.name}.{record.name}")) is not None:
                assert record.low <= one[k] <= record.high, record.name
    assert one[index["main relief.main spring.rate"]] != two[index["main relief.main spring.rate"]]
    assert one[index["hoist cylinder.rod diameter"]] < one[index["hoist cylinder.bore"]]


def test_a_set_that_no_start_solves_counts_as_infeasible_only_with_a_named_reason(machine) -> None:
    dead_end = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
        """
    built = machine(dead_end)
    tally = cold_start.trial(built, built.theta(), iter([np.zeros(1), np.ones(1)]), "dead end")
    assert (tally.starts, tally.infeasible, tally.solved) == (2, 2, 0)
    assert "dead-headed" in tally.infeasible_sets[0]
    free_fall = """
        tank: {kind: tank}
        cylinder: {kind: cylinder, cap: tank, rod: tank, bore: 100 mm, rod diameter: 56 mm, stroke: 1 m}
        box: {kind: load, on: cylinder, load force: 10 kN}
        """
    built = machine(free_fall)
    tally = cold_start.trial(built, built.theta(), iter([np.zeros(1)]), "free fall")
    assert (tally.infeasible, len(tally.failures)) == (0, 1)
    assert "force balance of cylinder" in tally.failures[0]


def test_of_several_balances_only_those_that_can_be_stayed_in_are_answers() -> None:
    """These internals have a main part that flow holds open as well as shut, with a balance between the two."""
    tally = cold_start.varied("hoist, pilot relief", range(117, 118), 20)
    assert not tally.failures
    assert len(tally.several) == 1
    assert tally.several[0].count("in a state that is stable") == 2
    assert "unstable" not in tally.several[0]
