"""The pictures of a machine: a cutaway of each valve in it, and its circuit."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

from oilway.draw.circuit import circuit
from oilway.draw.cutaway import cutaway
from oilway.draw.picture import Picture
from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.study.reach import reaches

CIRCUIT = "circuit"


@dataclass(frozen=True)
class Named:
    """A picture with its place among the others: ``sort`` is ``cutaway`` or ``circuit``."""

    key: str
    name: str
    sort: str
    picture: Picture


def pictures(machine: Machine) -> list[Named]:
    """All pictures of a machine, the one to look at first in front: its circuit, or the cutaway of a valve.

    A valve inside a valve is in the cutaway of the outer one.  What cannot be laid out is left out.
    """
    drawn = []
    with suppress(ValueError):
        drawn.append(Named("circuit", CIRCUIT, "circuit", circuit(machine, key="circuit")))
    reach = reaches(machine)
    alone = [
        m for m in machine.mounted if not any(m.prefix != o.prefix and _inside(m, o) for o in machine.mounted)
    ]
    for i, mounted in enumerate(alone):
        key = f"cutaway{i}"
        with suppress(ValueError):
            drawn.append(Named(key, mounted.name, "cutaway", cutaway(machine, mounted, key=key, reach=reach)))
    valve_alone = bool(machine.mounted) and machine.mounted[0].prefix == ""
    return sorted(drawn, key=lambda named: (named.sort == "circuit") == valve_alone)


def _inside(mounted: Mounted, outer: Mounted) -> bool:
    return mounted.prefix.startswith(outer.prefix)


def pick(named: Sequence[Named], wanted: str = "") -> Named:
    """The picture of a key or a name; the first of all where none is wanted.

    Errors: :class:`InputError` for another one.
    """
    found = next((n for n in named if not wanted or wanted in (n.key, n.name)), None)
    if found is None:
        names = [n.name for n in named]
        hint = did_you_mean(wanted, names) or "pictures: " + (", ".join(names) or "none")
        raise InputError(Problem(Place("picture"), f"there is no picture '{wanted}'", hint))
    return found
