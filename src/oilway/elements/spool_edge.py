"""A spool edge: the opening between a land and the edge of its port."""

from __future__ import annotations

import numpy as np

from oilway.elements.base import Element, Part, mean_density
from oilway.elements.network import SX, Mover, Network
from oilway.elements.poppet_seat import CV, RECOVERED
from oilway.elements.record import CD, FROM_TO, TRANSITION, amount, choice, reference
from oilway.laws import areas
from oilway.laws.flow_force import flow_force
from oilway.laws.restrictions import annular_gap_flow, orifice_velocity

LIFTS, DROPS, MIDDLE = "as the part lifts", "as the part drops", "near the middle"
SHORTEST_SEAL = 0.2e-3  # m: the sealing length left when an edge is about to open


class SpoolEdge(Element):
    """A metering edge of a spool: a full annulus, round holes or notches, shut while the land overlaps.

    Laws: :mod:`oilway.laws.areas`, :func:`oilway.laws.restrictions.orifice_velocity`, flow force with the
    jet at about 69 degrees; while it overlaps it leaks by the annular gap law over the overlap.
    """

    kind = "spool edge"
    ports = FROM_TO
    records = (
        reference("on", "moving part or lever that carries the land", "moving part or lever"),
        choice("opens", "how the opening follows the part", (LIFTS, DROPS, MIDDLE), LIFTS),
        choice("shape", "shape of the port", ("annulus", "holes", "notches"), "annulus"),
        amount("diameter", "length", "diameter of the spool", low="1 mm", high="200 mm"),
        amount("width", "length", "hole diameter or notch width", None, "0.2 mm", "100 mm"),
        amount("number", "number", "how many holes or notches", "1", "1", "100"),
        amount("overlap", "length", "closed by this much at zero lift; negative: open", "0 mm", "-50 mm", "50 mm"),
        amount("clearance", "length", "radial clearance that leaks while overlapped", "0 um", "0 um", "200 um"),
        CD,
        TRANSITION,
        amount(
            "jet angle",
            "angle",
            "of the jet to the spool's axis",
            "69 deg",
            "10 deg",
            "90 deg",
            source="from memory: Merritt (1967), ch. 5, sharp edge without clearance",
        ),
        CV,
        RECOVERED,
    )

    def complaints(self) -> list[tuple[str, str]]:
        """Holes and notches need their width."""
        if self.text("shape") != "annulus" and self.number("width") is None:
            return [("width", f"missing key 'width' (the size of the {self.text('shape')})")]
        return []

    def opening(self, net: Network, part: Mover) -> SX:
        """How far the edge is open (m); negative while it overlaps."""
        return _follows(self.text("opens"), part.x) - net.value(self, "overlap")

    def area(self, net: Network, opening: SX) -> tuple[SX, SX]:
        """Open area (m2) and hydraulic diameter (m)."""
        width, number = net.value(self, "width"), net.value(self, "number")
        if self.text("shape") == "holes":
            return (
                areas.spool_holes_area(width, number, opening),
                areas.spool_holes_hydraulic_diameter(width, opening),
            )
        if self.text("shape") == "notches":
            return (
                areas.spool_notch_area(width, number, opening),
                areas.spool_notch_hydraulic_diameter(width, opening),
            )
        return (
            areas.spool_annulus_area(net.value(self, "diameter"), opening),
            areas.spool_annulus_hydraulic_diameter(opening),
        )

    def equations(self, net: Network) -> None:
        """Add the metered flow, the leakage over the land, and the force of the jet on a free part."""
        a, b, part = net.node(self, "from"), net.node(self, "to"), net.mover(self)
        opening = self.opening(net, part)
        area, dh = self.area(net, opening)
        cd = net.value(self, "discharge coefficient")
        rho, dp = mean_density(net, a.name, b.name), a.p - b.p
        u = orifice_velocity(dh, dp, rho, net.oil["mu"], cd, net.value(self, "transition Reynolds number"))
        net.flow(self, a, b, rho * area * u, "spool edge law")
        seal = np.maximum(-opening, SHORTEST_SEAL)
        leak = annular_gap_flow(net.value(self, "diameter"), net.value(self, "clearance"), seal, dp, net.oil["mu"])
        net.flow(self, a, b, rho * leak, "annular gap law")
        if part.body:
            jet = flow_force(
                rho,
                area,
                u,
                net.value(self, "jet angle"),
                cd,
                net.value(self, "velocity coefficient"),
                net.value(self, "recovered jet"),
            )
            sign = {LIFTS: -1.0, DROPS: 1.0, MIDDLE: 1.0}[self.text("opens")]
            net.force(part.name, self, "flow force", sign * jet, "momentum of the jet")
            net.lose(self, -sign * jet * part.v)  # what the jet gives to the part, or takes, is part of its heat


def open_by(part: Part, travel: float) -> float:
    """How far the edge of a part is open (m) with what carries it at ``travel`` (m); below 0 it overlaps."""
    return float(_follows(str(part.values["opens"]), travel)) - float(part.values["overlap"] or 0.0)


def _follows(opens: str, x: SX | float) -> SX:
    return {LIFTS: x, DROPS: -x, MIDDLE: -np.abs(x)}[opens]
