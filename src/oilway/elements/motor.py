"""A hydraulic motor: pressure difference turns a shaft with its inertia against a load torque."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.base import Element, limit_rating, mean_density, rated_mu
from oilway.elements.network import IN_MASSES, SX, WORK, Network, Node, Unknown
from oilway.elements.record import RATED, Port, amount
from oilway.laws.power import laminar_slip_conductance, pump_torque

ROTATION_SCALE = 10.0  # rev/s
TORQUE_SCALE = 100.0  # N m
# The drive of the speed: K (w - n) is the friction torque at rest, for any K.
K = 1e3  # N m s per rev
CREEP = 2e-3  # rev/s: friction in motion reaches its full value at about this speed


class Motor(Element):
    """A fixed-displacement motor that turns either way; at rest (``steady``) its speed is solved.

    Balance: displacement x (inlet - outlet) / (2 pi) - load torque - friction = 0 (inertia x angular acceleration
    in motion).  A negative load torque overruns it: it then pumps.  Friction is a fixed share of the torque of the
    oil, and what a brake adds, and acts against the motion; inside that band the shaft stands (normal map of
    :mod:`oilway.elements.network`).  Each turn fills it from the side the oil comes from, and what the oil had
    stored by being pressed is lost as heat where it opens to the other side.
    Laws: torque by :func:`oilway.laws.power.pump_torque`; slip, across and into the case, by
    :func:`oilway.laws.power.laminar_slip_conductance`; friction as a fixed share is common practice.
    """

    kind = "motor"
    ports = (
        Port("inlet", "chamber that turns it forwards"),
        Port("outlet", "chamber at its other side"),
        Port("case", "chamber its case drains to"),
    )
    records = (
        amount(
            "displacement", "displacement", "oil per revolution, in theory", low="1 cc/rev", high="20000 cc/rev"
        ),
        amount("inertia", "inertia", "of all that turns, as felt at its shaft", low="0.0001 kg m2"),
        amount("load torque", "torque", "torque against turning; negative drives it", "0 N m"),
        amount(
            "volumetric efficiency", "ratio", "theoretical over taken flow at the test point", "0.94", "0.3", "1"
        ),
        amount("test pressure", "pressure", "difference at which it holds", "2000 psi", "100 psi", "10000 psi"),
        amount("test speed", "rotation", "speed at which it holds", "1000 rpm", "5 rpm", "6000 rpm"),
        amount("test viscosity", "viscosity", "oil viscosity at which it holds", "32 cSt", "2 cSt", "2000 cSt"),
        amount("case share", "ratio", "share of its slip that goes into the case", "50 %", "0 %", "100 %"),
        amount("mechanical efficiency", "ratio", "torque left of that of the oil", "0.92", "0.3", "1"),
        amount("brake torque", "torque", "torque up to which a brake on its shaft holds it", "0 N m", "0 N m"),
        amount("rated speed", "rotation", "highest speed allowed by its maker; enter it", None, "1 rpm"),
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"load torque": "load torque"}

    def declare(self, net: Network) -> None:
        """Add the drive of the speed, and the torque balance that fixes it."""
        own = f"speed of {self.name}"
        self.w = net.unknown(
            Unknown(own, "rotation", f"torque balance of {self.name}", ROTATION_SCALE, TORQUE_SCALE, self.name)
        )
        net.balances[self.name] = net.balances[own]
        net.balances[self.name].storage = 2 * np.pi * net.value(self, "inertia")

    def equations(self, net: Network) -> None:
        """Add torques, speed, displaced oil, slip and power."""
        a, b = net.node(self, "inlet"), net.node(self, "outlet")
        oil = pump_torque(net.value(self, "displacement"), a.p - b.p)
        load = net.value(self, "load torque")
        friction, n = self._friction(net, oil)
        net.torque(self.name, self, "pressure", oil, "displacement x pressure / 2 pi")
        net.torque(self.name, self, "friction", -friction, "Coulomb friction")
        net.torque(self.name, self, "load", -load, "given load")
        turning = 2 * np.pi * n
        net.power(self, "torque loss", friction * turning, "torque x speed")
        net.power(self, WORK, load * turning, "torque x speed")
        net.hold(IN_MASSES, 0.5 * net.value(self, "inertia") * turning**2)
        self._displace(net, n, oil * turning)
        self._slip(net)
        net.reading(self, "rotation", n)
        highest = self.number("rated speed")
        if highest is not None:
            net.limit(self, "turns faster than its rated speed", n, "rotation", low=-highest, high=highest)
        for end in (a, b):
            limit_rating(self, net, end.name)

    def _friction(self, net: Network, oil: SX) -> tuple[SX, SX]:
        """Friction torque (N m) and speed (rev/s) for a torque of the oil."""
        share = (1 - net.value(self, "mechanical efficiency")) * np.abs(oil)
        full = net.friction * (share + net.value(self, "brake torque"))
        band = (1 - net.motion) * full / K
        held = (1 - net.motion) * np.minimum(np.maximum(self.w, -band), band)
        n = self.w - held
        return K * held + net.motion * full * np.tanh(n / CREEP), n

    def _displace(self, net: Network, n: SX, used: SX) -> None:
        """Pass oil through with the shaft; what it gives up beyond the power ``used`` (W) is heat."""
        a, b = net.node(self, "inlet"), net.node(self, "outlet")
        mass = net.value(self, "displacement") * (a.rho * np.maximum(n, 0.0) + b.rho * np.minimum(n, 0.0))
        net.flow(self, a, b, mass, "displacement x speed", heats=False)
        net.power(self, "heat", mass * (a.work - b.work) - used, "oil springs back at the other side")

    def _slip(self, net: Network) -> None:
        a, b, case = net.node(self, "inlet"), net.node(self, "outlet"), net.node(self, "case")
        efficiency, share = net.value(self, "volumetric efficiency"), net.value(self, "case share")
        conductance = laminar_slip_conductance(
            efficiency,
            net.value(self, "displacement") / efficiency,  # a motor takes its slip on top of what turns it
            net.value(self, "test speed"),
            net.value(self, "test pressure"),
            rated_mu(self, net),
        )
        self._leak(net, a, b, (1 - share) * conductance)
        for side in (a, b):
            self._leak(net, side, case, share * conductance)

    def _leak(self, net: Network, a: Node, b: Node, conductance: SX) -> None:
        slip = conductance * (a.p - b.p) / net.oil["mu"]
        net.flow(self, a, b, mean_density(net, a.name, b.name) * slip, "laminar slip")

    @classmethod
    def links(cls) -> list[tuple[str, str]]:
        """Oil passes with the shaft; what slips into the case relieves no pump."""
        return [("inlet", "outlet")]
