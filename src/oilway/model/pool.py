"""Systems shared by machines that differ in numbers only: assembled once, told apart by their parameters.

A class of students asks one machine at many settings.  A System takes the numbers of a machine as parameters;
built in are only the texts, which records are given at all, and the few numbers that an element read while it
was assembled (a limit to hold against, say).  Machines that agree in these have the same System.

Of a valve that machines mount at the same numbers, what was solved on its stand is kept, too: its setting, and
what it opens at.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from typing import TypeVar

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.model.system import System, Vector

Numbers = dict[tuple[str, str], float | None]
Solved = TypeVar("Solved")


def assembled(elements: Mapping[str, Element]) -> System:
    """The System of elements, assembled anew."""
    net = Network()
    for element in elements.values():
        for record, value in numbers_of(element).items():
            if value is not None:
                net.parameter(f"{element.name}.{record}", value)
    for element in elements.values():
        element.declare(net)
    for element in elements.values():
        element.equations(net)
    net.close()
    return System(net)


def numbers_of(element: Element) -> dict[str, float | None]:
    """The quantity records of an element (SI) by name, ``None`` where the file leaves one out."""
    given = ((r.name, element.part.values[r.name]) for r in element.records if r.is_quantity)
    return {name: None if value is None else float(value) for name, value in given}


class Pool:
    """Systems assembled so far.  For one thread: a compiled System serves no more than one."""

    def __init__(self) -> None:
        self._known: dict[Hashable, list[tuple[Numbers, System]]] = {}
        self._solved: dict[Hashable, object] = {}

    def system(self, elements: Mapping[str, Element]) -> System:
        """The System of elements: one assembled before where it is the same, or a new one."""
        alike = self._known.setdefault(_build(elements), [])
        for built_in, system in alike:
            if all(elements[owner].part.values[record] == value for (owner, record), value in built_in.items()):
                return system
        system = assembled(elements)
        built_in = {(name, r): e.number(r) for name, e in elements.items() for r in sorted(e.built_in)}
        alike.append((built_in, system))
        return system

    def solved(self, system: System, th: Vector, asked: Hashable, solve: Callable[[], Solved]) -> Solved:
        """What is ``asked`` of a System at parameters th (m,), solved the first time only.

        ``solve`` depends on nothing else, and its answer is changed by nobody.
        """
        key = system, th.tobytes(), asked
        if key not in self._solved:
            self._solved[key] = solve()
        found: Solved = self._solved[key]  # type: ignore[assignment]
        return found


def _build(elements: Mapping[str, Element]) -> Hashable:
    """What elements are but for their numbers: kinds, joints, texts, and which numbers are given."""
    found: list[Hashable] = []
    for name, element in elements.items():
        numbers = numbers_of(element)
        texts = {k: v for k, v in element.part.values.items() if k not in numbers}
        given = tuple(record for record, value in numbers.items() if value is not None)
        found.append((name, element.kind, *sorted(element.part.nodes.items()), *sorted(texts.items()), given))
    return tuple(found)
