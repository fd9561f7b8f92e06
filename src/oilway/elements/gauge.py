"""A gauge: shows the pressure of the chamber it is screwed into."""

from __future__ import annotations

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import Port, amount


class Gauge(Element):
    """A pressure gauge; it takes no oil.  A pressure beyond its span is reported.

    A wrong one shows pressure x (1 + span error) + zero error; a snubber blocked shut shows -100 % of it: nothing.
    """

    kind = "gauge"
    ports = (Port("at", "chamber it is screwed into"),)
    records = (
        amount("span", "pressure", "end of its scale", None, "1 psi", "50000 psi", fixed=True),
        amount("zero error", "pressure", "what it shows at no pressure", "0 psi", "-10000 psi", "10000 psi"),
        amount("span error", "ratio", "share by which it shows too much", "0 %", "-100 %", "100 %"),
    )

    def equations(self, net: Network) -> None:
        """Add the reading."""
        node = net.node(self, "at")
        shown = node.p * (1 + net.value(self, "span error")) + net.value(self, "zero error")
        net.reading(self, "pressure", shown)
        span = self.number("span")
        if span is not None:
            net.limit(self, "pressure beyond the end of the gauge's scale", node.p, "pressure", high=span)
