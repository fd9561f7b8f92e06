"""A moving part: poppet, piston or spool, with its seat, its stop and its friction."""

from __future__ import annotations

import casadi as ca

from oilway.elements.base import Element
from oilway.elements.network import IN_CONTACT, SX, Mover, Network, Unknown
from oilway.elements.record import amount

LIFT_SCALE = 1e-3  # m
FORCE_SCALE = 1e3  # N
CREEP = 1e-3  # m/s: dry friction in motion reaches its full value at about this speed
VISCOUS = amount(
    "viscous friction", "damping", "force per speed of oil film and damping passages", "20 N s/m", "0 N s/m"
)
DRY = amount("dry friction", "force", "force that must be overcome before it moves", "0 N", "0 N")


class MovingPart(Element):
    """A part that slides: lift 0 on its seat, positive towards open, up to its travel.

    Balance: forces sum to zero; in motion to mass times acceleration.  Rest form of seat, stop and dry
    friction: :mod:`oilway.elements.network`.  Motion form: a stiff one-sided contact whose damping grows with
    indentation (K. H. Hunt and F. R. E. Crossley, "Coefficient of restitution interpreted as damping in
    vibroimpact", J. Appl. Mech. 42 (1975) 440-445, from memory) and dry friction that turns over within
    1 mm/s.  Both forms give the same rest: same lift, same contact force.

    A seized part (``stuck`` 1) stands at ``stuck at`` whatever pushes it: at rest the same normal map with a band
    without end, in motion a stiff, well damped clamp (common practice).
    """

    kind = "moving part"
    records = (
        amount("mass", "mass", "mass of the part with what it carries (a third of its spring)", low="0.01 g"),
        amount("travel", "length", "lift at which it meets its stop", "5 mm", "0.01 mm", "500 mm"),
        VISCOUS,
        DRY,
        amount("contact stiffness", "rate", "stiffness of seat and stop in motion", "100000 N/mm", "1000 N/mm"),
        amount("contact damping", "number", "damping per indentation in motion, s/m", "1", "0"),
        amount("stuck", "number", "0: free; 1: seized at the lift 'stuck at' (dirt, a bent stem)", "0", "0", "1"),
        amount("stuck at", "length", "lift at which it is seized, while 'stuck' is 1", "0 mm", "0 mm", "500 mm"),
    )

    def declare(self, net: Network) -> None:
        """Add drive and speed; others see lift and speed through the mover."""
        s = net.unknown(
            Unknown(
                f"lift of {self.name}",
                "drive",
                f"force balance of {self.name}",
                LIFT_SCALE,
                FORCE_SCALE,
                self.name,
            )
        )
        net.balances[self.name] = net.balances[f"lift of {self.name}"]
        v = net.speeds[self.name] = net.symbol()
        self.s = s
        self.y = self._after_friction(net, s)
        travel = net.value(self, "travel")
        x = ca.fmin(ca.fmax(self.y, 0), travel)
        net.status[self.name] = (self.y, travel)
        net.movers[self.name] = Mover(self.name, x, v, x + net.motion * (self.y - x), body=True)
        net.balances[self.name].storage = net.value(self, "mass")

    def _after_friction(self, net: Network, s: SX) -> SX:
        reference = net.parameter(f"{self.name}.march reference", 0.0)
        acts = net.friction * (1 - net.motion)
        self.band = acts * net.value(self, "dry friction") / net.value(self, "contact stiffness")
        # By its factor too: where the band is empty the slope of the clip is one half, not zero.
        sticks = ca.fmin(ca.fmax(s - reference, -self.band), self.band)
        self.stuck, self.off = net.value(self, "stuck"), s - net.value(self, "stuck at")
        self.held = (1 - net.motion) * ((1 - self.stuck) * sticks + self.stuck * self.off)
        return s - self.held

    def equations(self, net: Network) -> None:
        """Add seat, stop and friction forces."""
        k, v = net.value(self, "contact stiffness"), net.speeds[self.name]
        travel, damping = net.value(self, "travel"), net.value(self, "contact damping")
        seat_depth = ca.fmax(-self.y, 0)
        stop_depth = ca.fmax(self.y - travel, 0)
        seat = k * seat_depth * ca.fmax(1 - damping * v, 0)
        stop = k * stop_depth * ca.fmax(1 + damping * v, 0)
        net.force(self.name, self, "seat", seat, "unilateral contact")
        net.force(self.name, self, "stop", -stop, "unilateral contact")
        dry = net.motion * net.friction * net.value(self, "dry friction")
        sliding = dry * ca.tanh(v / CREEP)
        net.force(self.name, self, "dry friction", -k * self.held - sliding, "Coulomb friction")
        stiff, damped = k * self.off, 2 * ca.sqrt(k * net.value(self, "mass")) * v
        seized = net.motion * self.stuck
        net.force(self.name, self, "seized", -seized * (stiff + damped), "stiff clamp")
        viscous = net.value(self, "viscous friction") * v
        net.force(self.name, self, "viscous friction", -viscous, "viscous friction")
        net.hold(IN_CONTACT, 0.5 * k * (seat_depth**2 + stop_depth**2 + self.stuck * self.off**2))
        # Of the force of the contact, what no spring would give.
        beyond = k * (seat_depth - stop_depth) - (seat - stop)
        net.lose(self, (sliding + viscous + beyond + seized * damped) * v)
