"""A flow meter: shows the flow through it, at the pressure it stands at."""

from __future__ import annotations

from oilway.elements.base import mean_density
from oilway.elements.network import Network
from oilway.elements.orifice import Orifice
from oilway.elements.record import CD, TRANSITION, amount


class FlowMeter(Orifice):
    """A flow meter in a line; it drops a little pressure and shows gpm at its own pressure.

    A meter counts volume: oil under pressure is denser, so it shows slightly less than the same oil in the
    tank.  Law of its drop: :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "flow meter"
    records = (
        amount("diameter", "length", "bore of the meter, sets its drop", "25 mm", "1 mm", "200 mm"),
        CD,
        TRANSITION,
    )

    def equations(self, net: Network) -> None:
        """Add the flow, its drop, and the reading."""
        a, b = self.ends(net)
        mass = self.mass_flow(net)
        net.flow(self, a, b, mass, "orifice law")
        net.reading(self, "flow", mass / mean_density(net, a.name, b.name))
