"""The two ends of a test stand: a pump that delivers a flow, and a load that takes oil at a pressure."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.base import Element
from oilway.elements.network import PUT_IN, Network
from oilway.elements.record import FROM_TO, Port, amount, choice


class TestPump(Element):
    """A pump that delivers its flow at any pressure (gpm counted at 0 psi gauge): the ideal test pump."""

    __test__ = False  # not a test case, whatever a test collector makes of the name
    kind = "test pump"
    ports = (Port("inlet", "chamber it draws from"), Port("outlet", "chamber it delivers to"))
    records = (amount("flow", "flow", "delivered flow, counted at 0 psi gauge", low="0 gpm", high="2000 gpm"),)
    axes: ClassVar[dict[str, str]] = {"pump flow": "flow"}

    def equations(self, net: Network) -> None:
        """Add the flow and the power it takes."""
        a, b = net.node(self, "inlet"), net.node(self, "outlet")
        mass = net.oil["rho0"] * net.value(self, "flow")
        net.flow(self, a, b, mass, "given flow", heats=False)
        net.power(self, PUT_IN, -mass * (b.work - a.work), "given flow")


class TestLoad(Element):
    """A load that takes whatever oil is left at its pressure (a hoist on the way up, a tester's load valve).

    With its load check it only takes oil; without it the load pushes oil back when the line is lower.  It
    holds its pressure within ``steepness`` x flow, far below what a gauge shows.
    """

    __test__ = False
    kind = "test load"
    ports = FROM_TO
    records = (
        amount("load pressure", "pressure", "pressure at which it takes oil", low="0 psi", high="10000 psi"),
        choice("load check", "a check valve keeps its oil from coming back", ("yes", "no"), "yes"),
        amount("steepness", "number", "pressure rise over flow, Pa s/m3", "1e6", "1000", "1e12"),
    )
    axes: ClassVar[dict[str, str]] = {"load pressure": "load pressure"}

    def equations(self, net: Network) -> None:
        """Add the flow into (or out of) the load."""
        a, b = net.node(self, "from"), net.node(self, "to")
        excess = a.p - net.value(self, "load pressure")
        if self.text("load check") == "yes":
            excess = np.maximum(excess, 0.0)
        net.flow(self, a, b, net.oil["rho0"] * excess / net.value(self, "steepness"), "held pressure")
