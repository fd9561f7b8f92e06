"""A shuttle: passes on the higher of two pressures."""

from __future__ import annotations

import numpy as np

from oilway.elements.base import Element, mean_density
from oilway.elements.network import SX, Network, Node
from oilway.elements.record import CD, TRANSITION, Port, amount
from oilway.laws.areas import circle_area
from oilway.laws.restrictions import orifice_flow


class Shuttle(Element):
    """A shuttle valve: its ball shuts the side of lower pressure, and the other is open both ways.

    The ball goes over in proportion while the two pressures lie within its shift pressure of each other; there it
    shuts neither side fully.  Beyond, the lower side is exactly shut.  Its mass and its friction are left out.
    Law of the open side: :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "shuttle"
    ports = (
        Port("first", "chamber at one side"),
        Port("second", "chamber at the other side"),
        Port("to", "chamber that gets the higher pressure"),
    )
    records = (
        amount("diameter", "length", "bore of an open side", "3 mm", "0.2 mm", "50 mm"),
        amount(
            "shift pressure",
            "pressure",
            "difference that holds the ball on its seat",
            "2 psi",
            "0.1 psi",
            "100 psi",
        ),
        CD,
        TRANSITION,
    )

    def equations(self, net: Network) -> None:
        """Add the flow of both sides."""
        first, second = net.node(self, "first"), net.node(self, "second")
        over = (first.p - second.p) / net.value(self, "shift pressure")
        for side, way in ((first, over), (second, -over)):
            share = np.minimum(np.maximum(0.5 * (1 + way), 0.0), 1.0)
            net.flow(self, side, net.node(self, "to"), share * self._open(net, side), "shuttle")

    def _open(self, net: Network, side: Node) -> SX:
        """Mass flow (kg/s) of a side that is fully open."""
        to, d = net.node(self, "to"), net.value(self, "diameter")
        rho = mean_density(net, side.name, to.name)
        cd, transition = net.value(self, "discharge coefficient"), net.value(self, "transition Reynolds number")
        return rho * orifice_flow(circle_area(d), d, side.p - to.p, rho, net.oil["mu"], cd, transition)

    @classmethod
    def links(cls) -> list[tuple[str, str]]:
        """From either side to the third port; never from side to side."""
        return [("first", "to"), ("second", "to")]
