"""What every element is: its ports, its records, and the terms it adds to the network."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar

from oilway.elements.network import SX, Network
from oilway.elements.record import Port, Record
from oilway.errors import Place


@dataclass
class Part:
    """One part of a file, read and checked: SI values by record, chambers by port, and where it stands."""

    name: str
    kind: str
    values: dict[str, float | str | None]
    nodes: dict[str, str]
    where: Place = field(default_factory=Place)
    given: frozenset[str] = frozenset()
    places: dict[str, Place] = field(default_factory=dict)

    def place(self, key: str) -> Place:
        """Where a key of this part stands in its file, or the part itself when it was left out."""
        return self.places.get(key, self.where)


class Element:
    """Base of all elements.  A subclass is one module: ports, records, ``declare`` and ``equations``.

    ``declare`` adds nodes, unknowns and movers, so that ``equations`` of any element can refer to them in any
    order of the text.  ``axes`` maps a word of the operating point ("lever", "engine speed") to a record.
    ``exclusive`` lists records of which an operating point replaces all others.
    """

    kind: ClassVar[str] = ""
    ports: ClassVar[tuple[Port, ...]] = ()
    records: ClassVar[tuple[Record, ...]] = ()
    axes: ClassVar[dict[str, str]] = {}
    exclusive: ClassVar[tuple[str, ...]] = ()

    def __init__(self, part: Part) -> None:
        self.part = part
        self.name = part.name
        self.built_in: set[str] = set()  # records read as plain numbers: what a System cannot take as a parameter

    def at(self, port: str) -> str:
        """Name of the chamber at a port."""
        return self.part.nodes[port]

    def text(self, record: str) -> str:
        """Value of a choice, reference or text record."""
        return str(self.part.values[record])

    def number(self, record: str) -> float | None:
        """SI value of a quantity record as read from the file, ``None`` where it was left out."""
        self.built_in.add(record)
        value = self.part.values[record]
        return None if value is None else float(value)

    def declare(self, net: Network) -> None:
        """Add nodes, unknowns and movers."""

    def equations(self, net: Network) -> None:
        """Add terms to the balances."""

    def complaints(self) -> list[tuple[str, str]]:
        """Inconsistencies between records as (record, what); empty when all is well."""
        return []

    @classmethod
    def links(cls) -> list[tuple[str, str]]:
        """Pairs of ports between which oil can pass; all of them unless an element says otherwise."""
        names = [p.name for p in cls.ports]
        return [(a, b) for i, a in enumerate(names) for b in names[i + 1 :]]


def limit_rating(element: Element, net: Network, chamber: str) -> None:
    """Report a chamber pressure above the rating entered for an element, where one was entered."""
    rating = element.number("rated pressure")
    if rating is not None:
        net.limit(element, "pressure above its rated pressure", net.nodes[chamber].p, "pressure", high=rating)


def rated_mu(element: Element, net: Network) -> SX:
    """Dynamic viscosity (Pa s) of the oil at the test viscosity of an element, with the density of today."""
    return net.value(element, "test viscosity") * net.oil["rho0"] / (1 - net.oil["air"])


def mean_density(net: Network, a: str, b: str) -> SX:
    """Density (kg/m3) at the mean of two chambers, used by every restriction between them."""
    return 0.5 * (net.nodes[a].rho + net.nodes[b].rho)
