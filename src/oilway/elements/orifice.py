"""An orifice: a short hole that drops pressure when oil moves through it."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element, mean_density
from oilway.elements.network import SX, Network, Node
from oilway.elements.record import CD, FROM_TO, TRANSITION, Record, amount
from oilway.laws.areas import circle_area
from oilway.laws.restrictions import orifice_flow


class Orifice(Element):
    """A short round hole: no flow, no drop; turbulent drop grows with the flow squared.

    Law: :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "orifice"
    bore: ClassVar[str] = "diameter"  # the record that says how wide it is
    ports = FROM_TO
    records: ClassVar[tuple[Record, ...]] = (
        amount("diameter", "length", "bore of the hole", low="0.05 mm", high="100 mm"),
        CD,
        TRANSITION,
    )

    def equations(self, net: Network) -> None:
        """Add the flow between the two chambers."""
        net.flow(self, *self.ends(net), self.mass_flow(net), "orifice law")

    def ends(self, net: Network) -> tuple[Node, Node]:
        """The chambers before and behind the hole."""
        return net.node(self, "from"), net.node(self, "to")

    def mass_flow(self, net: Network) -> SX:
        """Mass flow (kg/s) through the open hole."""
        a, b = self.ends(net)
        d = net.value(self, self.bore)
        q = orifice_flow(
            circle_area(d),
            d,
            a.p - b.p,
            mean_density(net, a.name, b.name),
            net.oil["mu"],
            net.value(self, "discharge coefficient"),
            net.value(self, "transition Reynolds number"),
        )
        return mean_density(net, a.name, b.name) * q
