"""A line: hose or pipe that drops pressure along its length."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element, limit_rating, mean_density
from oilway.elements.chamber import FLOW_SCALE, PRESSURE_SCALE
from oilway.elements.network import IN_MASSES, Network, Unknown
from oilway.elements.record import FROM_TO, RATED, Record, amount
from oilway.laws.areas import circle_area
from oilway.laws.lines import line_drop


class Line(Element):
    """A hose or pipe with wall friction in all regimes, bends and fittings.

    Law: :func:`oilway.laws.lines.line_drop`.  The flow is an unknown of its own, so that the inertia of the
    oil column has its place in motion.
    """

    kind = "line"
    ports = FROM_TO
    records: ClassVar[tuple[Record, ...]] = (
        amount("length", "length", "length of the line", low="1 mm", high="200 m"),
        amount("diameter", "length", "bore of the line", low="1 mm", high="300 mm"),
        amount("roughness", "length", "height of the wall's roughness", "2 um", "0 um", "1 mm"),
        amount("minor losses", "number", "sum of the K of bends and fittings", "0", "0", "1000"),
        RATED,
    )

    def declare(self, net: Network) -> None:
        """Add the mass flow as unknown, fixed by the pressure drop."""
        self.q = net.unknown(
            Unknown(
                f"flow in {self.name}",
                "flow",
                f"pressure drop along {self.name}",
                FLOW_SCALE,
                PRESSURE_SCALE,
                self.name,
            )
        )

    def equations(self, net: Network) -> None:
        """Add the flow between its ends and the drop it costs."""
        a, b = net.node(self, "from"), net.node(self, "to")
        d, length = net.value(self, "diameter"), net.value(self, "length")
        area, rho = circle_area(d), mean_density(net, a.name, b.name)
        drop = line_drop(
            self.q / (rho * area),
            d,
            length,
            net.value(self, "roughness"),
            rho,
            net.oil["mu"],
            net.value(self, "minor losses"),
        )
        own = f"flow in {self.name}"
        push = a.p - b.p - drop
        net.drop(own, push)
        net.balances[own].storage = length / area
        # What speeds the column up is no heat.  Its mass counts at 0 gauge, as the law gives all of it one speed.
        net.hold(IN_MASSES, 0.5 * length / area * self.q**2 / net.oil["rho0"])
        net.lose(self, -push * self.q / net.oil["rho0"])
        net.flow(self, a, b, self.q, "line friction")
        for end in (a, b):
            limit_rating(self, net, end.name)
