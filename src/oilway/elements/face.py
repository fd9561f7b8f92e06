"""A face: an area of a moving part on which the pressure of one chamber acts."""

from __future__ import annotations

from oilway.elements.base import Element
from oilway.elements.network import Network
from oilway.elements.record import Port, amount, choice, reference
from oilway.laws.areas import annulus_area


class Face(Element):
    """A round or ring-shaped area of a moving part that faces one chamber.

    Force = pressure x area; a moving face also displaces oil of its chamber.
    """

    kind = "face"
    ports = (Port("chamber", "chamber whose pressure acts on the face"),)
    records = (
        reference("on", "moving part it belongs to", "moving part"),
        amount("diameter", "length", "outer diameter of the face", low="0.5 mm", high="500 mm"),
        amount("inner diameter", "length", "inner diameter, for a ring-shaped face", "0 mm", "0 mm", "499 mm"),
        choice("pushes", "which way the pressure pushes the part", ("open", "shut")),
    )

    def complaints(self) -> list[tuple[str, str]]:
        """The hole in a ring is smaller than the ring."""
        if (self.number("inner diameter") or 0.0) >= (self.number("diameter") or 0.0):
            return [("inner diameter", "inner diameter is not smaller than diameter")]
        return []

    def equations(self, net: Network) -> None:
        """Add the pressure force, the volume behind the face and the oil it displaces."""
        node, part = net.node(self, "chamber"), net.mover(self)
        area = annulus_area(net.value(self, "diameter"), net.value(self, "inner diameter"))
        sign = 1.0 if self.text("pushes") == "open" else -1.0
        net.force(part.name, self, "pressure", sign * area * node.p, "pressure x area")
        net.add_volume(node.name, sign * area * part.place)
        net.swept(self, node, sign * area * part.v, "displaced by the moving part")
