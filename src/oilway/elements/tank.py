"""The tank: oil at a pressure that does not change."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import amount


class Tank(Element):
    """Oil at a fixed pressure, with room for whatever comes and goes."""

    kind = "tank"
    records = (
        amount("pressure", "pressure", "pressure over the oil (breather 0; sealed tank above)", "0 psi", "-5 psi"),
    )
    axes: ClassVar[dict[str, str]] = {"tank pressure": "pressure"}

    def declare(self, net: Network) -> None:
        """Add the node; its pressure is a parameter."""
        net.add_node(self.name, net.value(self, "pressure"), fixed=True)
