"""What could stand in the place of a valve: other shipped valves that fit its connections, and its own choices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from oilway.errors import OilwayError
from oilway.model.catalogue import shipped_valves
from oilway.model.load import read_machine
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.tree import Block
from oilway.model.valve import read_valve


@dataclass(frozen=True)
class Swap:
    """A text of the file with what it says now and what else it could say.

    ``key`` as changes of a file name it ("main relief.valve"); it is empty where the file itself is the valve, and
    ``others`` are then files to open instead.
    """

    key: str
    now: str
    others: list[str]


def swaps(machine: Machine) -> list[Swap]:
    """The swaps of a machine that its file can be read with; whether they hold the setting shows when solved."""
    found = [swap for mounted in machine.mounted for swap in _of(machine, mounted)]
    return [swap for swap in found if swap.others]


def _of(machine: Machine, mounted: Mounted) -> Iterator[Swap]:
    own, now = mounted.prefix, mounted.valve.path.stem.replace("_", " ")
    if own.count(".") > 1:  # a valve inside a valve belongs to the file of that one
        return
    alike = [name for name, acts in _acts().items() if acts == mounted.valve.acts_as and name != now]
    if not own:
        yield Swap("", now, alike)
    else:
        yield Swap(f"{own}valve", now, [name for name in alike if _fits(machine, f"{own}valve", name)])
    options = read_valve(mounted.valve.path).options
    for option, picked in mounted.valve.chosen.items():
        block = options.items[option]
        assert isinstance(block, Block)
        choices = block.items["choices"]
        assert isinstance(choices, Block)
        key = f"{own}{option}"
        yield Swap(key, picked, [name for name in choices.items if name != picked and _fits(machine, key, name)])


@lru_cache(maxsize=1)
def _acts() -> dict[str, str]:
    return {name: read_valve(path).acts_as for name, path in shipped_valves().items()}


def _fits(machine: Machine, key: str, text: str) -> bool:
    try:
        read_machine(machine.path, {key: text})
    except OilwayError:
        return False
    return True
