"""The tank: oil at a pressure that does not change."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import amount


class Tank(Element):
    """Oil at a fixed pressure, with room for whatever comes and goes.

    What it holds and what its wall gives off decide how warm the oil gets, and nothing else
    (:func:`oilway.laws.heat.steady_temperature`).
    """

    kind = "tank"
    records = (
        amount("pressure", "pressure", "pressure over the oil (breather 0; sealed tank above)", "0 psi", "-5 psi"),
        amount("oil volume", "volume", "oil in the tank; says how fast it warms", None, "0.1 L", fixed=True),
        amount("cooling area", "area", "outer wall that gives off heat to the air", None, "1 cm2", fixed=True),
        amount(
            "heat transfer",
            "heat_transfer",
            "of that wall to the air",
            "12 W/m2K",
            "1 W/m2K",
            "1000 W/m2K",
            fixed=True,
        ),
    )
    axes: ClassVar[dict[str, str]] = {"tank pressure": "pressure"}

    def declare(self, net: Network) -> None:
        """Add the node; its pressure is a parameter."""
        net.add_node(self.name, net.value(self, "pressure"), fixed=True)
