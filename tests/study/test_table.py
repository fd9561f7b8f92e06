"""A table of states: every node is the solver's own answer, and between nodes it is as near as it says."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway import quantity
from oilway.errors import InputError
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.study.frame import channels, frame
from oilway.study.story import examples
from oilway.study.table import Slider, refined, tabulate

PSI = quantity.PSI


@pytest.fixture(scope="module")
def hoist() -> Machine:
    return oilway.load(examples() / "tipping_hoist.yaml")


def slider(machine: Machine, word: str, low: str, high: str) -> Slider:
    parameter, kind = machine.resolve(word)
    return Slider(word, parameter, kind, quantity.parse(low, kind), quantity.parse(high, kind))


def test_the_nodes_are_solved_states(hoist: Machine) -> None:
    load = slider(hoist, "load pressure", "300 psi", "2600 psi")
    table = tabulate(hoist, [load])
    for k in (0, 7, len(table.nodes[0]) - 1):
        state = solve_point(hoist, {load.parameter: table.nodes[0][k]})
        solved = dict(zip((c.name for c in channels(state)), frame(state).values, strict=True))
        for channel, value in zip(table.channels, table.values[k, 0], strict=True):
            # Two solves of one point agree to the last digits only; the smallest flows are their leftovers.
            assert value == pytest.approx(solved[channel.name], rel=1e-6, abs=1e-5), channel.name
        assert table.frames[k, 0].statuses == frame(state).statuses


def test_between_the_nodes_of_two_sliders_it_is_as_near_as_it_says(hoist: Machine) -> None:
    sliders = [
        slider(hoist, "load pressure", "300 psi", "2600 psi"),
        slider(hoist, "engine speed", "800 rpm", "2000 rpm"),
    ]
    table = tabulate(hoist, sliders)
    column = next(k for k, c in enumerate(table.channels) if c.name == "pressure:pump line")
    chance = np.random.default_rng(5)  # not the places that the table has looked at itself
    for share in chance.random((40, 2)):
        settings = [s.low + u * (s.high - s.low) for s, u in zip(sliders, share, strict=True)]
        state = solve_point(hoist, {s.parameter: v for s, v in zip(sliders, settings, strict=True)})
        off = abs(table.at(settings)[column] - state.pressures["pump line"])
        assert off < 5 * PSI
        assert off < 3 * table.apart["pressure"] + 0.1 * PSI


def test_nodes_gather_at_a_change_of_regime(hoist: Machine) -> None:
    table = tabulate(hoist, [slider(hoist, "load pressure", "300 psi", "2600 psi")])
    nodes = table.nodes[0]
    part = "main relief.main part"
    words = [table.frames[k, 0].statuses[part] for k in range(len(nodes))]
    change = next(k for k in range(len(words) - 1) if words[k] != words[k + 1])
    assert nodes[change + 1] - nodes[change] < 0.5 * (nodes[-1] - nodes[0]) / 8


def test_a_point_without_solution_is_named_and_has_no_numbers() -> None:
    valve = oilway.load("direct relief")
    turns = slider(valve, "turns", "0 turns", "12 turns")
    # Loads are fine at every number of turns up to the point where the coils touch.
    table = tabulate(oilway.load("direct relief", {"main spring.solid compression": "5 mm"}), [turns])
    unsolved = [k for k in range(len(table.nodes[0])) if (k, 0) in table.problems]
    assert unsolved
    assert all("solid height" in table.problems[k, 0] for k in unsolved)
    assert all(np.isnan(table.values[k]).all() for k in unsolved)
    assert not np.isnan(table.values[0]).any()


def test_three_sliders_are_refused(hoist: Machine) -> None:
    load = slider(hoist, "load pressure", "300 psi", "2600 psi")
    with pytest.raises(InputError, match="one or two"):
        tabulate(hoist, [load, load, load])


def test_refining_finds_a_corner() -> None:
    corner = 0.3371

    def bent(x: float) -> list[np.ndarray | None]:
        return [np.array([max(0.0, x - corner)])]

    nodes = refined(bent, 0.0, 1.0, 60, lambda: np.array([0.1]))
    exact = [max(0.0, x - corner) for x in np.linspace(0, 1, 500)]
    near = np.interp(np.linspace(0, 1, 500), nodes, [max(0.0, x - corner) for x in nodes])
    assert np.max(np.abs(near - exact)) < 0.004 * 0.1 * 1.5
    assert len(nodes) < 25
