"""A cooler: a passage that drops a little pressure and gives heat to air or water."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element, limit_rating, mean_density, rated_mu
from oilway.elements.network import Network
from oilway.elements.record import FROM_TO, RATED, Record, amount
from oilway.laws.heat import CARRIED
from oilway.laws.restrictions import rated_laminar_flow


class Cooler(Element):
    """An oil cooler in a line: its drop is heat into the oil like any other, and it gives heat off.

    Law of its flow: :func:`oilway.laws.restrictions.rated_laminar_flow`.  Heat given off per degree, at the flow
    that goes through it: :func:`oilway.laws.heat.cooler_conductance`.  It decides, with the tank, where the oil
    temperature settles; the operating point says the temperature of the oil now, everywhere the same.  A bypass is
    a check valve beside it.
    """

    kind = "cooler"
    ports = FROM_TO
    records: ClassVar[tuple[Record, ...]] = (
        amount("rated flow", "flow", "flow at which drop and heat given off hold", low="0.1 gpm", high="1000 gpm"),
        amount("rated drop", "pressure", "drop at rated flow", "10 psi", "0.1 psi", "200 psi"),
        amount("test viscosity", "viscosity", "oil viscosity at which it holds", "32 cSt", "2 cSt", "2000 cSt"),
        amount(
            "heat given off",
            "heat_conductance",
            "at rated flow, per degree between oil in and its medium",
            low="1 W/K",
            high="100 kW/K",
            fixed=True,
        ),
        amount(
            "medium temperature",
            "temperature",
            "of the air or water that cools it; left out: the air temperature of the oil block",
            None,
            "-40 C",
            "90 C",
            fixed=True,
        ),
        RATED,
    )

    def complaints(self) -> list[tuple[str, str]]:
        """It gives off no more than its oil carries."""
        if (self.number("heat given off") or 0.0) >= CARRIED * (self.number("rated flow") or 0.0):
            return [("heat given off", "heat given off is more than the oil of the rated flow carries")]
        return []

    def equations(self, net: Network) -> None:
        """Add the flow through it."""
        a, b = net.node(self, "from"), net.node(self, "to")
        rated, drop = net.value(self, "rated flow"), net.value(self, "rated drop")
        q = rated_laminar_flow(a.p - b.p, rated, drop, rated_mu(self, net), net.oil["mu"])
        net.flow(self, a, b, mean_density(net, a.name, b.name) * q, "laminar cooler")
        for end in (a, b):
            limit_rating(self, net, end.name)
