"""A gauge: shows the pressure of the chamber it is screwed into."""

from __future__ import annotations

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import Port, amount


class Gauge(Element):
    """A pressure gauge; it takes no oil.  A pressure beyond its span is reported."""

    kind = "gauge"
    ports = (Port("at", "chamber it is screwed into"),)
    records = (amount("span", "pressure", "end of its scale", None, "1 psi", "50000 psi", fixed=True),)

    def equations(self, net: Network) -> None:
        """Add the reading."""
        node = net.node(self, "at")
        net.reading(self, "pressure", node.p)
        span = self.number("span")
        if span is not None:
            net.limit(self, "pressure beyond the end of the gauge's scale", node.p, "pressure", high=span)
