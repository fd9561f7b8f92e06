"""A load-sensing pump: it holds its outlet a margin above the highest load it is told of."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.base import mean_density
from oilway.elements.compensated_pump import CompensatedPump, kept
from oilway.elements.network import Network
from oilway.elements.record import CD, TRANSITION, Port, Record, amount
from oilway.laws.areas import circle_area
from oilway.laws.restrictions import orifice_flow


class LoadSensingPump(CompensatedPump):
    """A variable pump with two controls: load sensing, and a compensator for the highest pressure.

    Law: on full stroke while outlet less load-sense pressure is at or below the margin, destroked where it reaches
    the standby pressure, in proportion between; the compensator asks likewise (:class:`CompensatedPump`) and the
    control that asks for less stroke wins.  The load-sense port takes no oil but its bleed's, into the case.
    Law of the bleed: :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "load-sensing pump"
    ports: ClassVar[tuple[Port, ...]] = (
        *CompensatedPump.ports,
        Port("load sense", "chamber that tells it the load"),
    )
    records: ClassVar[tuple[Record, ...]] = (
        *CompensatedPump.records,
        amount("margin", "pressure", "outlet above load sense, on full stroke", low="20 psi", high="1000 psi"),
        amount("standby", "pressure", "outlet above load sense, destroked", low="25 psi", high="1500 psi"),
        amount(
            "load sense bleed",
            "length",
            "bore from the load-sense port into the case; 0 has none",
            "0 mm",
            "0 mm",
            "3 mm",
        ),
        CD,
        TRANSITION,
    )

    def complaints(self) -> list[tuple[str, str]]:
        """Standby above margin, both below the compensator."""
        out = super().complaints()
        standby = self.number("standby") or 0.0
        if standby <= (self.number("margin") or 0.0):
            out.append(("standby", "standby is not above the margin"))
        if standby >= (self.number("compensator setting") or 0.0):
            out.append(("standby", "standby is not below the compensator setting"))
        return out

    def equations(self, net: Network) -> None:
        """Add both controls, the delivery and the bleed."""
        outlet, sensed = net.node(self, "outlet"), net.node(self, "load sense")
        margin, standby = net.value(self, "margin"), net.value(self, "standby")
        by_load = kept((standby - (outlet.p - sensed.p)) / (standby - margin))
        self.follow(net, np.minimum(by_load, self.asked(net)))
        self._bleed(net)

    def _bleed(self, net: Network) -> None:
        a, b = net.node(self, "load sense"), net.node(self, "case")
        d, rho = net.value(self, "load sense bleed"), mean_density(net, a.name, b.name)
        cd, transition = net.value(self, "discharge coefficient"), net.value(self, "transition Reynolds number")
        q = orifice_flow(circle_area(d), d, a.p - b.p, rho, net.oil["mu"], cd, transition)
        net.flow(self, a, b, rho * q, "orifice law")
