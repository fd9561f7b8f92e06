"""A cylinder: bore, rod, and the velocity at which its load moves."""

from __future__ import annotations

from typing import ClassVar

import casadi as ca

from oilway.elements.base import Element, limit_rating
from oilway.elements.cushion import CUSHIONS, cushion, cushion_complaints
from oilway.elements.moving_part import CREEP, FORCE_SCALE
from oilway.elements.network import IN_CONTACT, SX, WORK, Network, Node, Unknown
from oilway.elements.record import RATED, Port, amount
from oilway.laws.areas import annulus_area, circle_area
from oilway.laws.restrictions import annular_gap_flow

SPEED_SCALE = 0.1  # m/s
# The drive of the velocity: K (v - w) is the force of end stop and seal friction at rest, for any K.
K = 1e6  # N s/m
STOP, STOP_DAMPING = 1e8, 1.0  # N/m and s/m: end stops in motion
FREE = 1e12  # m/s: beyond what a solve could reach, so no end stop; a load that nothing holds finds no rest


class Cylinder(Element):
    """A cylinder at a given stroke; at rest (``steady``) its velocity is solved, not its position.

    Balance: cap pressure x cap area - rod pressure x rod-side area - load - friction = 0 (mass x acceleration
    in motion).  End stops and seal friction at rest by the normal map of :mod:`oilway.elements.network`,
    applied to the velocity.  In the cushion of an end, oil driven out of it leaves by a needle, and its drop
    (:func:`oilway.laws.restrictions.orifice_drop`) adds to the pressure on the face; oil comes in freely.  Over
    the taper the passage narrows smoothly from the open port to the needle.
    """

    kind = "cylinder"
    ports = (Port("cap", "chamber at the cap (blind) end"), Port("rod", "chamber at the rod end"))
    records = (
        amount("bore", "length", "bore of the barrel", low="5 mm", high="1 m"),
        amount("rod diameter", "length", "diameter of the rod", low="2 mm", high="990 mm"),
        amount("stroke", "length", "full stroke", low="1 mm", high="20 m"),
        amount("position", "length", "stroke at which it stands, 0 fully in", "0.1 m", "0 mm", "20 m"),
        amount("seal friction", "force", "force to drag its seals", "0 N", "0 N"),
        amount("seal clearance", "length", "radial gap past the piston seal; 0 seals", "0 um", "0 um", "1 mm"),
        amount("piston length", "length", "length of the piston", "50 mm", "1 mm", "1 m"),
        amount("dead volume", "volume", "oil left in each end at its stop", "50 cm3", "1 mm3"),
        amount("mass", "mass", "mass of piston and rod", "20 kg", "1 g"),
        *CUSHIONS,
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"stroke": "position"}

    def complaints(self) -> list[tuple[str, str]]:
        """Rod thinner than bore, position within the stroke."""
        out = []
        if (self.number("rod diameter") or 0.0) >= (self.number("bore") or 0.0):
            out.append(("rod diameter", "rod diameter is not smaller than the bore"))
        if (self.number("position") or 0.0) > (self.number("stroke") or 0.0):
            out.append(("position", "position lies beyond the stroke"))
        return out + cushion_complaints(self)

    def declare(self, net: Network) -> None:
        """Add the drive of the velocity."""
        name = f"velocity of {self.name}"
        self.w = net.unknown(
            Unknown(name, "velocity", f"force balance of {self.name}", SPEED_SCALE, FORCE_SCALE, self.name)
        )
        net.balances[self.name] = net.balances[name]
        net.balances[self.name].storage = net.value(self, "mass")
        self.band = net.friction * (1 - net.motion) * net.value(self, "seal friction") / K
        # In motion the band is left out by its factor too: where it is empty its slope is one half, not zero.
        self.held = (1 - net.motion) * ca.fmin(ca.fmax(self.w, -self.band), self.band)
        self.position = net.symbol()
        net.positions[self.name] = (self.position, net.value(self, "position"))
        position, stroke = self.position, net.value(self, "stroke")
        low = ca.if_else(position <= 0, 0.0, -FREE) - net.motion * FREE
        high = ca.if_else(position >= stroke, 0.0, FREE) + net.motion * FREE
        self.slid = self.w - self.held
        self.v = ca.fmin(ca.fmax(self.slid, low), high)
        self.cap_area = circle_area(net.value(self, "bore"))
        self.rod_area = annulus_area(net.value(self, "bore"), net.value(self, "rod diameter"))
        net.velocities[self.name] = self.v
        net.cylinders[self.name] = self

    def equations(self, net: Network) -> None:
        """Add pressure forces, friction, end stops, displaced oil and bypass."""
        cap, rod = net.node(self, "cap"), net.node(self, "rod")
        net.force(self.name, self, "cap pressure", self.cap_area * cap.p, "pressure x area")
        net.force(self.name, self, "rod pressure", -self.rod_area * rod.p, "pressure x area")
        net.force(self.name, self, "end stop", K * (self.v - self.slid) + self._stops(net), "unilateral contact")
        sliding = net.motion * net.friction * net.value(self, "seal friction") * ca.tanh(self.v / CREEP)
        drag = K * self.held + sliding
        net.force(self.name, self, "seal friction", -drag, "Coulomb friction")
        net.power(self, "seal friction", drag * self.v, "Coulomb friction")
        self._oil(net)
        to_outer = net.value(self, "stroke") - self.position
        self._cushion(net, "cap", cap, self.position, -self.v, self.cap_area)
        self._cushion(net, "rod", rod, to_outer, self.v, self.rod_area)
        for end in (cap, rod):
            limit_rating(self, net, end.name)

    def _cushion(self, net: Network, end: str, node: Node, left: SX, speed: SX, face: SX) -> None:
        """Force and heat of the cushion at an end ``left`` (m) away and neared at ``speed`` (m/s)."""
        if self.number(f"{end} cushion length") is None:
            return
        plunger = net.value(self, f"{end} cushion plunger")
        area = face if plunger is None else circle_area(net.value(self, "bore")) - circle_area(plunger)
        drop = cushion(net, self, end, left, area * ca.fmax(speed, 0), node.rho)
        towards_extend = 1.0 if end == "cap" else -1.0
        net.force(self.name, self, f"{end} cushion", towards_extend * area * drop, "orifice law")
        net.power(self, "heat", area * drop * speed, "orifice law")
        net.reading(self, "pressure", node.p + drop, place=f"{end} cushion")
        rating = self.number("rated pressure")
        if rating is not None:
            net.limit(
                self, f"{end} cushion pressure above its rated pressure", node.p + drop, "pressure", high=rating
            )

    def _stops(self, net: Network) -> SX:
        """Force of the end stops in motion: stiff, one-sided, damped with indentation like a seat."""
        inside, beyond = ca.fmax(-self.position, 0), ca.fmax(self.position - net.value(self, "stroke"), 0)
        push = inside * ca.fmax(1 - STOP_DAMPING * self.v, 0) - beyond * ca.fmax(1 + STOP_DAMPING * self.v, 0)
        net.hold(IN_CONTACT, 0.5 * STOP * (inside**2 + beyond**2))
        net.lose(self, STOP * (inside - beyond - push) * self.v)  # of the push, what no spring would give
        return net.motion * STOP * push

    def _oil(self, net: Network) -> None:
        cap, rod = net.node(self, "cap"), net.node(self, "rod")
        net.swept(self, cap, self.cap_area * self.v, "area x velocity")
        net.swept(self, rod, -self.rod_area * self.v, "area x velocity")
        position, stroke = self.position, net.value(self, "stroke")
        dead = net.value(self, "dead volume")
        net.add_volume(cap.name, dead + self.cap_area * position)
        net.add_volume(rod.name, dead + self.rod_area * (stroke - position))
        bypass = annular_gap_flow(
            net.value(self, "bore"),
            net.value(self, "seal clearance"),
            net.value(self, "piston length"),
            cap.p - rod.p,
            net.oil["mu"],
        )
        net.flow(self, cap, rod, 0.5 * (cap.rho + rod.rho) * bypass, "annular gap law")

    @classmethod
    def links(cls) -> list[tuple[str, str]]:
        """No oil passes a piston on its way to the tank; what leaks by its seal relieves no pump."""
        return []

    def load(self, net: Network, element: Element, force: SX, mass: SX, swing: SX = 0.0) -> None:
        """Put a load on the rod: a force against extending, and a mass to accelerate.

        ``swing`` is the force that speeds up a mass whose share felt at the rod changes; it works on the mass.
        """
        net.force(self.name, element, "load", -force - swing, "given load")
        net.power(element, WORK, force * self.v, "force x velocity")
        net.balances[self.name].storage = net.balances[self.name].storage + mass
