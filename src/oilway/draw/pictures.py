"""The pictures of a machine: a cutaway of each valve in it, and its circuit."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field

from oilway.draw.circuit import circuit
from oilway.draw.picture import Picture
from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.model.machine import Machine


@dataclass(frozen=True)
class Named:
    """A picture with its place among the others: ``sort`` is ``cutaway`` or ``circuit``."""

    key: str
    name: str
    sort: str
    picture: Picture
    notes: list[str] = field(default_factory=list)


def pictures(machine: Machine) -> list[Named]:
    """All pictures of a machine, the one to look at first in front: its circuit, or the cutaway of a valve.

    A circuit whose lines find no way is left out.
    """
    drawn = []
    with suppress(ValueError):
        drawn.append(Named("circuit", "circuit", "circuit", circuit(machine, key="circuit")))
    return drawn


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
