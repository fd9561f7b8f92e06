"""A chamber: a volume of oil at one pressure.  Every place where oil meets oil is a chamber."""

from __future__ import annotations

import casadi as ca

from oilway.elements.base import Element, limit_rating
from oilway.elements.network import Network, Unknown
from oilway.elements.record import RATED, amount

PRESSURE_SCALE = 1e7  # Pa; see docs/numerics.md
FLOW_SCALE = 1.0  # kg/s


class Chamber(Element):
    """A volume of oil at one pressure (a line, a gallery, a spring chamber, a valve port).

    Its pressure does not fall below a vacuum; a void opens there instead, by the same normal map as a seat
    (:mod:`oilway.elements.network`): a pressure above vacuum or a void that grows, never both.
    Balance: the mass flows in and out sum to zero; in motion they sum to V (d rho/d p) dp/dt.
    Source: conservation of mass; H. E. Merritt, Hydraulic Control Systems (1967), sec. 3-1 (from memory).
    """

    kind = "chamber"
    records = (
        amount("volume", "volume", "oil it holds; decides how fast the pressure builds", "100 cm3", "1 mm3"),
        RATED,
    )

    def declare(self, net: Network) -> None:
        """Add the pressure as unknown, fixed by the mass balance."""
        name = f"pressure in {self.name}"
        drive = net.unknown(
            Unknown(name, "pressure", f"mass balance of {self.name}", PRESSURE_SCALE, FLOW_SCALE, self.name)
        )
        # Balances are found by the chamber's own name, as ledgers are.
        net.balances[self.name] = net.balances[name]
        lowest = VOID - net.oil["p_ambient"]
        net.add_node(self.name, ca.fmax(drive, lowest), fixed=False)
        net.add_volume(self.name, net.value(self, "volume"))
        # In motion the drive goes on falling while the void grows, and comes back when oil fills it: below vacuum
        # it counts the oil that is missing, so much a Pa, whatever the volume does meanwhile.
        net.voids[self.name] = (drive, lowest, net.value(self, "volume") * net.nodes[self.name].slope)
        self.void = (1 - net.motion) * OPENING * ca.fmax(lowest - drive, 0)

    def equations(self, net: Network) -> None:
        """Let a void open at vacuum; watch the rating, and the pressure at which air comes out of the oil."""
        node = net.nodes[self.name]
        net.fill(self, node, self.void, "void opening")
        limit_rating(self, net, self.name)
        net.limit(self, AIR, node.p, "pressure", low=AIR_RELEASE)
        net.limit(self, DEAD_HEAD, node.p, "pressure", high=BEYOND_REASON, impossible=True)


# Dissolved air leaves mineral oil well above vapour pressure: about 0.3 bar below ambient (common practice).
AIR_RELEASE = -0.3e5  # Pa gauge
AIR = "pressure below the point where air comes out of the oil; at full vacuum a void opens"
# Oil holds no tension: at this absolute pressure a void of vapour and air opens instead (common practice).
VOID = 0.05e5  # Pa absolute
# The drive of the pressure below the void: any slope gives the same pressure and the same void.
OPENING = 1e-6  # kg/(s Pa)
# No mobile or industrial circuit of this kind lives beyond 1000 bar: an equilibrium up there only says that
# nothing relieves the pump but its own slip.
BEYOND_REASON = 100e6  # Pa
DEAD_HEAD = "dead-headed: the pressure would pass 100 MPa (14 500 psi), so nothing relieves it"
