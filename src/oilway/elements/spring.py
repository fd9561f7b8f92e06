"""A spring, fixed or with an adjuster."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.base import Element
from oilway.elements.network import IN_SPRINGS, SX, Network
from oilway.elements.record import amount, choice, reference
from oilway.laws.springs import spring_force, spring_rate


class Spring(Element):
    """A coil spring on a moving part; its preload comes from how far it is compressed at zero lift.

    Force = rate x compression (:func:`oilway.laws.springs.spring_force`); the rate is given, or follows from
    the wire (:func:`oilway.laws.springs.spring_rate`).  Compressed to its solid height it is refused.
    """

    kind = "spring"
    records = (
        reference("on", "moving part it pushes", "moving part"),
        choice("pushes", "which way the spring pushes the part", ("shut", "open"), "shut"),
        amount(
            "rate",
            "rate",
            "force per length; leave out when the wire is given",
            None,
            "0.001 N/mm",
            "20000 N/mm",
        ),
        amount("wire diameter", "length", "for a rate computed from the wire", None, "0.1 mm", "50 mm"),
        amount("mean diameter", "length", "coil diameter at the middle of the wire", None, "0.5 mm", "500 mm"),
        amount("active coils", "number", "coils that twist (total less the closed ends)", None, "1", "100"),
        amount(
            "shear modulus",
            "modulus",
            "of the wire",
            "79.3 GPa",
            "20 GPa",
            "120 GPa",
            source="from memory: Shigley, Mechanical Engineering Design, ch. 10",
        ),
        amount(
            "compression",
            "length",
            "compressed by this much at zero lift and zero turns",
            "0 mm",
            "0 mm",
            "500 mm",
        ),
        amount(
            "pitch",
            "pitch",
            "adjuster: how far one turn moves the spring seat",
            "0 mm/turn",
            "-10 mm/turn",
            "10 mm/turn",
        ),
        amount("turns", "turns", "adjuster: turns in from fully backed off", "0 turns", "0 turns", "200 turns"),
        amount(
            "most turns",
            "turns",
            "adjuster: turns from fully out to fully in",
            "200 turns",
            "0 turns",
            "200 turns",
            fixed=True,
        ),
        amount(
            "solid compression",
            "length",
            "compression at which the coils touch",
            "500 mm",
            "0.01 mm",
            "500 mm",
            fixed=True,
        ),
    )
    axes: ClassVar[dict[str, str]] = {"turns": "turns"}
    WIRE = ("wire diameter", "mean diameter", "active coils")

    def complaints(self) -> list[tuple[str, str]]:
        """Rate or wire, not both and not neither; coils wider than the wire; no turn past the adjuster's end."""
        wire = [name for name in self.WIRE if self.number(name) is not None]
        out = []
        if self.number("rate") is not None and wire:
            out.append((wire[0], "give the rate or the wire, not both"))
        if self.number("rate") is None and len(wire) < len(self.WIRE):
            missing = [name for name in self.WIRE if name not in wire]
            out.append(("rate", f"missing key 'rate' (or the wire: {', '.join(missing)})"))
        if (self.number("turns") or 0.0) > (self.number("most turns") or 0.0):
            out.append(("turns", "more turns than 'most turns' allows"))
        thick, mean = (self.number(name) for name in self.WIRE[:2])
        if thick is not None and mean is not None and mean <= thick:
            out.append(("mean diameter", "mean diameter is not larger than the wire"))
        return out

    def rate(self, net: Network) -> SX:
        """Rate in N/m, given or from the wire."""
        rate = net.value(self, "rate")
        if rate is not None:
            return rate
        d, mean, coils = (net.value(self, name) for name in self.WIRE)
        return spring_rate(net.value(self, "shear modulus"), d, mean, coils)

    def equations(self, net: Network) -> None:
        """Add preload and rate x lift as two terms, so that a ledger shows both."""
        part, rate = net.mover(self), self.rate(net)
        sign = -1.0 if self.text("pushes") == "shut" else 1.0
        at_rest = net.value(self, "compression") + net.value(self, "pitch") * net.value(self, "turns")
        compression = at_rest - sign * part.x
        preload = spring_force(rate, at_rest)
        net.force(part.name, self, "spring preload", sign * preload, "rate x compression")
        # No more than the preload is lost on the way: a loose spring does not pull.
        lost = preload - spring_force(rate, compression)
        net.force(part.name, self, "spring rate x lift", -sign * lost, "rate x lift")
        # With the give of seat or stop the part goes on moving against the spring, which the law lets stand.
        given = sign * spring_force(rate, compression) * (part.place - part.x)
        net.hold(IN_SPRINGS, 0.5 * rate * np.maximum(compression, 0.0) ** 2 - given)
        net.limit(
            self,
            "spring at solid height",
            compression,
            "length",
            high=self.number("solid compression"),
            impossible=True,
        )
        net.limit(self, "spring hangs loose", compression, "length", low=-1e-12)
