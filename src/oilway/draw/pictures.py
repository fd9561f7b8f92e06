"""The pictures of a machine: a cutaway of each valve in it, and its circuit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, partial

from oilway.draw.circuit import circuit
from oilway.draw.cutaway import cutaway
from oilway.draw.kept import Kept, content_of
from oilway.draw.picture import Picture
from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.study.reach import reaches

CIRCUIT = "circuit"


@dataclass(frozen=True)
class Named:
    """A picture with its place among the others, drawn when it is first looked at.

    ``sort`` is ``cutaway`` or ``circuit``; ``make`` raises :class:`ValueError` for what cannot be laid out.
    """

    key: str
    name: str
    sort: str
    make: Callable[[], Picture]

    @cached_property
    def picture(self) -> Picture:
        """The picture.  Errors: :class:`InputError` where it cannot be laid out."""
        try:
            return self.make()
        except ValueError as error:
            raise InputError(Problem(Place("picture"), f"'{self.name}' cannot be drawn: {error}")) from None


def pictures(machine: Machine) -> list[Named]:
    """All pictures of a machine, the one to look at first in front: its circuit, or the cutaway of a valve.

    A valve inside a valve is in the cutaway of the outer one.
    """
    whole = Named("circuit", CIRCUIT, "circuit", partial(_circuit, machine))
    reach = cache(partial(reaches, machine))

    def cut(mounted: Mounted, key: str) -> Picture:
        return cutaway(machine, mounted, key=key, reach=reach())

    outer = [m for m in machine.mounted if not any(_inside(m, other) for other in machine.mounted)]
    cuts = [Named(f"cutaway{i}", m.name, "cutaway", partial(cut, m, f"cutaway{i}")) for i, m in enumerate(outer)]
    alone = bool(machine.mounted) and machine.mounted[0].prefix == ""
    return [*cuts, whole] if alone else [whole, *cuts]


_CIRCUITS: Kept[Picture] = Kept()


def _circuit(machine: Machine) -> Picture:
    """The circuit, drawn again only where something has changed that it may show."""
    valves = [
        (m.prefix, m.outside, m.valve.title, m.valve.acts_as, m.valve.ports, m.valve.parts)
        for m in machine.mounted
    ]
    content = content_of(machine.parts.values()) + repr((machine.title, machine.points, valves))
    return _CIRCUITS.get(content, lambda: circuit(machine, key=CIRCUIT))


def _inside(mounted: Mounted, other: Mounted) -> bool:
    return mounted is not other and mounted.prefix.startswith(other.prefix)


def laid_out(named: Sequence[Named]) -> list[Named]:
    """The pictures that can be drawn, drawn: what cannot be laid out is left out."""
    drawn = []
    for one in named:
        try:
            _ = one.picture
        except InputError:
            continue
        drawn.append(one)
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
