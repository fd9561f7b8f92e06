"""The order of the text changes no digit: parts and keys shuffled in every shipped file."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

import oilway
from oilway.model.catalogue import shipped_valves
from oilway.model.load import LOAD, machine_from_tree
from oilway.model.machine import Machine
from oilway.model.tree import Block, Series, Text, read_file
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.curve import relief_curve
from oilway.study.setting import settle

HOIST = Path(__file__).parents[2] / "examples" / "tipping_hoist.yaml"
SEEDS = range(3)


def shuffled(item: Text | Block | Series, dice: random.Random) -> Text | Block | Series:
    """The same tree with the keys of every block in another order; lists (the state words) stay."""
    if not isinstance(item, Block):
        return item
    keys = list(item.items)
    dice.shuffle(keys)
    return Block(item.where, {k: shuffled(item.items[k], dice) for k in keys}, item.keys)


def read_shuffled(path: Path, seed: int) -> Machine:
    tree = shuffled(read_file(path), random.Random(seed))
    assert isinstance(tree, Block)
    assert list(tree.items) != list(read_file(path).items)
    return settle(machine_from_tree(tree, path))


def numbers(state: State) -> dict[str, float]:
    """Every number of a state by name."""
    out = {f"pressure {name}": p for name, p in state.pressures.items()}
    for book in (state.flows, state.forces):
        for place, entries in book.items():
            for k, e in enumerate(sorted(entries, key=lambda e: (e.part, e.label, e.law, e.value))):
                out[f"{place}: {e.part} {e.label} {k}"] = e.value
    out.update({f"lift {name}": s.lift for name, s in state.statuses.items()})
    out.update({f"velocity {name}": v for name, v in state.velocities.items()})
    return out


def parameters(machine: Machine) -> dict[str, float]:
    return {name: machine.system.defaults[k] for name, k in machine.system.parameters.items()}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("load", ["1500 psi", "2200 psi", "2600 psi"])
def test_the_hoist(seed: int, load: str) -> None:
    plain, other = oilway.load(HOIST), read_shuffled(HOIST, seed)
    assert list(plain.parts) != list(other.parts)
    assert parameters(other) == parameters(plain)  # the solved setting included
    a, b = (numbers(solve_point(m, m.point_from({"load pressure": load}))) for m in (plain, other))
    assert b == a


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("name", shipped_valves())
def test_every_valve(seed: int, name: str) -> None:
    plain, other = oilway.load(name), read_shuffled(shipped_valves()[name], seed)
    assert parameters(other) == parameters(plain)
    assert plain.points == other.points
    loads = [{f"{LOAD}.load pressure": load} for load in (20e5, 140e5, 10000 * 6894.757)]
    for point in plain.points.values() or loads:
        a, b = (numbers(solve_point(m, point)) for m in (plain, other))
        assert b == a


def test_a_curve() -> None:
    name = "pilot relief"
    a, b = (relief_curve(m, points=20) for m in (oilway.load(name), read_shuffled(shipped_valves()[name], 0)))
    assert list(a.rising) == list(b.rising)
    assert list(a.falling) == list(b.falling)
