"""A lever: a spool that a hand (or a pilot) holds at a position."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element
from oilway.elements.network import Mover, Network
from oilway.elements.record import amount


class Lever(Element):
    """A spool whose position is imposed; neutral is 0, full stroke one way 1, the other way -1.

    The hand (or its pilot) holds it against every force, so it has no force balance.
    """

    kind = "lever"
    records = (
        amount("position", "number", "-1 full one way, 0 neutral, 1 full the other way", "0", "-1", "1"),
        amount("stroke", "length", "spool travel from neutral to full", low="0.2 mm", high="100 mm"),
    )
    axes: ClassVar[dict[str, str]] = {"lever": "position"}

    def declare(self, net: Network) -> None:
        """Add the mover; its speed is zero because the position is imposed."""
        travel = net.value(self, "position") * net.value(self, "stroke")
        net.movers[self.name] = Mover(self.name, travel, 0.0, travel, body=False)
