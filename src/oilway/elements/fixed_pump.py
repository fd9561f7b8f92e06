"""A fixed pump: so much oil per revolution, less what slips back."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.base import Element, limit_rating, mean_density, rated_mu
from oilway.elements.chamber import VOID
from oilway.elements.network import PUT_IN, SX, Network, Node
from oilway.elements.record import RATED, Port, Record, amount
from oilway.laws.power import laminar_slip_conductance, suction

STARVES = "inlet pressure below the least allowed: the pump will cavitate"


class FixedPump(Element):
    """A fixed-displacement pump with laminar slip; the slip follows from one volumetric efficiency.

    Laws: theoretical flow = displacement x speed (:func:`oilway.laws.power.pump_flow`); slip = G dp /
    viscosity (:func:`oilway.laws.power.laminar_slip_conductance`; W. E. Wilson's pump model, from memory);
    torque loss as a fixed share.  A restricted inlet (:func:`oilway.laws.power.suction`) lowers the pressure at
    the pump with the square of its speed, and where that would pass below a vacuum the pump fills only in part.
    """

    kind = "fixed pump"
    ports: ClassVar[tuple[Port, ...]] = (
        Port("inlet", "chamber it draws from"),
        Port("outlet", "chamber it delivers to"),
    )
    records: ClassVar[tuple[Record, ...]] = (
        amount(
            "displacement",
            "displacement",
            "oil per revolution, in theory",
            low="0.1 cc/rev",
            high="2000 cc/rev",
        ),
        amount("engine speed", "rotation", "speed of the engine", low="0 rpm", high="6000 rpm"),
        amount("drive ratio", "number", "pump revolutions per engine revolution", "1", "0.05", "10"),
        amount(
            "volumetric efficiency",
            "ratio",
            "delivered over theoretical flow at the test point",
            "0.94",
            "0.3",
            "1",
        ),
        amount(
            "test pressure",
            "pressure",
            "pressure at which that efficiency holds",
            "2000 psi",
            "100 psi",
            "10000 psi",
        ),
        amount("test speed", "rotation", "pump speed at which it holds", "1800 rpm", "100 rpm", "6000 rpm"),
        amount("test viscosity", "viscosity", "oil viscosity at which it holds", "32 cSt", "2 cSt", "2000 cSt"),
        amount("mechanical efficiency", "ratio", "torque turned into pressure", "0.92", "0.3", "1"),
        amount(
            "least inlet pressure",
            "pressure",
            "lowest inlet pressure allowed (gauge)",
            "-3 psi",
            "-14 psi",
            "100 psi",
            fixed=True,
        ),
        amount(
            "inlet loss",
            "pressure",
            "lost on the way from the tank (strainer, hose) at the test speed",
            "0 psi",
            "0 psi",
            "1000 psi",
        ),
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"engine speed": "engine speed"}

    def equations(self, net: Network) -> None:
        """Add theoretical flow, slip back to the inlet, shaft power and losses."""
        self.deliver(net, net.value(self, "displacement"), net.node(self, "inlet"))

    def deliver(self, net: Network, per_rev: SX, slips_to: Node) -> None:
        """Add all terms of a pump that displaces ``per_rev`` (m3/rev) now and slips into a chamber."""
        a, b = net.node(self, "inlet"), net.node(self, "outlet")
        speed = net.value(self, "engine speed") * net.value(self, "drive ratio")
        lowest = VOID - net.oil["p_ambient"]
        stroked = per_rev / net.value(self, "displacement") * speed / net.value(self, "test speed")
        filled, lost = suction(net.value(self, "inlet loss"), stroked, a.p - lowest)
        mass = a.rho * per_rev * speed * filled
        net.flow(self, a, b, mass, "displacement x speed", heats=False)
        slip = self.slip_conductance(net) * (b.p - slips_to.p) / net.oil["mu"]
        net.flow(self, b, slips_to, mean_density(net, slips_to.name, b.name) * slip, "laminar slip")
        given = mass * (b.work - a.work)
        loss = np.abs(given) * (1 / net.value(self, "mechanical efficiency") - 1)
        drawn = mass / a.rho * lost
        net.power(self, PUT_IN, -(given + loss + drawn), "torque x speed")
        net.power(self, "torque loss", loss, "torque x speed")
        net.power(self, "inlet loss", drawn, "square law")
        self._watch(net, a.p - lost, b)

    def slip_conductance(self, net: Network) -> SX:
        """Conductance of the slip (m3), from its full displacement and its test point."""
        return laminar_slip_conductance(
            net.value(self, "volumetric efficiency"),
            net.value(self, "displacement"),
            net.value(self, "test speed"),
            net.value(self, "test pressure"),
            rated_mu(self, net),
        )

    def _watch(self, net: Network, inlet: SX, outlet: Node) -> None:
        net.limit(
            self,
            STARVES,
            inlet,
            "pressure",
            low=self.number("least inlet pressure"),
        )
        limit_rating(self, net, outlet.name)
