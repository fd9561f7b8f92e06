"""A poppet seat: the ring-shaped opening under a conical poppet."""

from __future__ import annotations

from oilway.elements.base import Element, mean_density
from oilway.elements.network import Network
from oilway.elements.record import FROM_TO, TRANSITION, amount, reference
from oilway.laws.areas import poppet_area, poppet_hydraulic_diameter
from oilway.laws.flow_force import flow_force
from oilway.laws.restrictions import orifice_velocity

CV = amount(
    "velocity coefficient",
    "number",
    "jet speed over ideal speed",
    "0.98",
    "0.8",
    "1",
    source="from memory: Merritt (1967), ch. 5",
)
RECOVERED = amount(
    "recovered jet",
    "ratio",
    "share of the jet's push that the part's own shape (a collar that turns the jet) gives back",
    "0",
    "-0.5",
    "1",
)


class PoppetSeat(Element):
    """A conical poppet on a sharp seat: exactly shut at zero lift, a conical frustum when open.

    Laws: :func:`oilway.laws.areas.poppet_area`, :func:`oilway.laws.restrictions.orifice_velocity`,
    :func:`oilway.laws.flow_force.flow_force` with the jet along the cone.
    """

    kind = "poppet seat"
    ports = FROM_TO
    records = (
        reference("on", "moving part that closes the seat", "moving part"),
        amount("diameter", "length", "diameter of the seat", low="0.5 mm", high="200 mm"),
        amount("half angle", "angle", "between the cone and its axis", "45 deg", "5 deg", "85 deg"),
        amount(
            "worn gap",
            "length",
            "opening left when shut (wear, dirt); 0 leaks exactly zero",
            "0 um",
            "0 um",
            "1 mm",
        ),
        amount(
            "discharge coefficient",
            "number",
            "share of the ideal flow that passes",
            "0.77",
            "0.3",
            "1",
            source="from memory: commonly measured on sharp poppet seats",
        ),
        TRANSITION,
        CV,
        RECOVERED,
    )

    def equations(self, net: Network) -> None:
        """Add the flow under the poppet and the force of its jet."""
        a, b, part = net.node(self, "from"), net.node(self, "to"), net.mover(self)
        d, angle = net.value(self, "diameter"), net.value(self, "half angle")
        lift = part.x + net.value(self, "worn gap")
        area = poppet_area(d, lift, angle)
        cd = net.value(self, "discharge coefficient")
        rho = mean_density(net, a.name, b.name)
        u = orifice_velocity(
            poppet_hydraulic_diameter(d, lift, angle),
            a.p - b.p,
            rho,
            net.oil["mu"],
            cd,
            net.value(self, "transition Reynolds number"),
        )
        net.flow(self, a, b, rho * area * u, "poppet seat law")
        jet = flow_force(
            rho, area, u, angle, cd, net.value(self, "velocity coefficient"), net.value(self, "recovered jet")
        )
        net.force(part.name, self, "flow force", -jet, "momentum of the jet")
        net.lose(self, jet * part.v)  # what the jet gives to the part, or takes, is part of its heat
