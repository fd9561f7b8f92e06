"""A flow control: keeps a flow whatever the pressure, once there is enough of it."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element, limit_rating, mean_density
from oilway.elements.network import Network
from oilway.elements.record import FROM_TO, RATED, amount
from oilway.laws.restrictions import regulated_flow
from oilway.quantity import PSI

KPSI = 1000 * PSI  # Pa


class FlowControl(Element):
    """A pressure-compensated flow control (two ports, restrictive); a fixed needle is an orifice.

    Below its least drop it is an orifice, above it holds its flow but for a small rise, backwards it is the same
    orifice; a check valve beside it gives free return.  Its compensator follows without delay.
    Law: :func:`oilway.laws.restrictions.regulated_flow`.
    """

    kind = "flow control"
    ports = FROM_TO
    records = (
        amount("flow", "flow", "flow it is set to", low="0.01 gpm", high="500 gpm"),
        amount("least drop", "pressure", "drop it needs to regulate", "100 psi", "5 psi", "1000 psi"),
        amount("rise", "ratio", "growth of the flow per 1000 psi above that drop", "2 %", "0 %", "50 %"),
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"flow control": "flow"}

    def equations(self, net: Network) -> None:
        """Add the regulated flow."""
        a, b = net.node(self, "from"), net.node(self, "to")
        rise = net.value(self, "rise") / KPSI
        q = regulated_flow(a.p - b.p, net.value(self, "flow"), net.value(self, "least drop"), rise)
        net.flow(self, a, b, mean_density(net, a.name, b.name) * q, "regulated flow")
        limit_rating(self, net, a.name)
