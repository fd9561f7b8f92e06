"""An annular gap: the clearance between a round part and its bore, and what leaks through it."""

from __future__ import annotations

from oilway.elements.base import Element, mean_density
from oilway.elements.network import Network
from oilway.elements.record import FROM_TO, amount
from oilway.laws.restrictions import annular_gap_flow


class AnnularGap(Element):
    """Leakage along a round part in its bore: clearance cubed, thinner oil leaks more.

    Law: :func:`oilway.laws.restrictions.annular_gap_flow`.  A zero clearance leaks exactly zero.
    """

    kind = "annular gap"
    ports = FROM_TO
    records = (
        amount("diameter", "length", "diameter of the part", low="0.5 mm", high="500 mm"),
        amount(
            "clearance",
            "length",
            "radial clearance (half the difference of diameters)",
            "0 um",
            "0 um",
            "500 um",
        ),
        amount("length", "length", "length of the fit along the part", low="0.2 mm", high="1 m"),
        amount("eccentricity", "ratio", "0: centred in its bore; 1: lies against the wall", "0", "0", "1"),
    )

    def equations(self, net: Network) -> None:
        """Add the leakage between the two chambers."""
        a, b = net.node(self, "from"), net.node(self, "to")
        q = annular_gap_flow(
            net.value(self, "diameter"),
            net.value(self, "clearance"),
            net.value(self, "length"),
            a.p - b.p,
            net.oil["mu"],
            net.value(self, "eccentricity"),
        )
        net.flow(self, a, b, mean_density(net, a.name, b.name) * q, "annular gap law")
