"""A load on a cylinder: its force and its mass are two things."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import amount, reference


class Load(Element):
    """A force that resists extending (negative: pulls the rod out) and a mass that resists speeding up.

    The force may be given as the pressure it makes in the cap end, the way a gauge shows it.
    """

    kind = "load"
    records = (
        reference("on", "cylinder that carries it", "cylinder"),
        amount("mass", "mass", "mass felt at the rod", "0 kg", "0 kg"),
        amount("load force", "force", "force against extending", "0 N"),
        amount("load pressure", "pressure", "the same as pressure in the cap end", "0 psi"),
    )
    axes: ClassVar[dict[str, str]] = {"load pressure": "load pressure", "load force": "load force"}
    exclusive = ("load force", "load pressure")

    def complaints(self) -> list[tuple[str, str]]:
        """Force or pressure, not both."""
        if self.number("load force") and self.number("load pressure"):
            return [("load pressure", "give the load force or the load pressure, not both")]
        return []

    def equations(self, net: Network) -> None:
        """Add the load to its cylinder."""
        cylinder = net.cylinders[self.text("on")]
        force = net.value(self, "load force") + net.value(self, "load pressure") * cylinder.cap_area
        cylinder.load(net, self, force, net.value(self, "mass"))
