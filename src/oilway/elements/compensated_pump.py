"""A pressure-compensated pump: it destrokes itself where its outlet reaches the compensator setting."""

from __future__ import annotations

from typing import ClassVar

import numpy as np

from oilway.elements.fixed_pump import FixedPump
from oilway.elements.network import SX, Network, Unknown
from oilway.elements.record import Port, Record, amount

STROKE = amount(
    "minimum displacement", "ratio", "share of displacement left when fully destroked", "0 %", "0 %", "90 %"
)
RESPONSE = amount(
    "response time", "time", "time in which its swash follows (63 % of a step)", "60 ms", "1 ms", "5 s"
)


class CompensatedPump(FixedPump):
    """A variable pump on full stroke up to its setting less its band, and destroked at its setting.

    Law: share of stroke = (setting - outlet + case pressure) / band, kept between 0 and 1; the setting is the
    dead-head pressure of the pump without slip.  The compensator spring stands in the case, so case pressure adds
    to it.  What slips goes into the case, and lets a dead-headed line down to the setting.  In motion the swash
    follows with one time constant (common practice).
    """

    kind = "pressure-compensated pump"
    ports: ClassVar[tuple[Port, ...]] = (*FixedPump.ports, Port("case", "chamber its case drains to"))
    records: ClassVar[tuple[Record, ...]] = (
        *FixedPump.records,
        amount(
            "compensator setting", "pressure", "pressure at which it is destroked", low="100 psi", high="10000 psi"
        ),
        amount(
            "band", "pressure", "rise over which it goes from full stroke to none", "100 psi", "5 psi", "1500 psi"
        ),
        STROKE,
        RESPONSE,
    )
    axes: ClassVar[dict[str, str]] = {"engine speed": "engine speed", "compensator setting": "compensator setting"}

    def complaints(self) -> list[tuple[str, str]]:
        """The band lies below the setting."""
        if (self.number("band") or 0.0) >= (self.number("compensator setting") or 0.0):
            return [("band", "band is as wide as the compensator setting: it would never be on full stroke")]
        return []

    def declare(self, net: Network) -> None:
        """Add the share of stroke as unknown; it follows the compensator."""
        own = f"stroke of {self.name}"
        self.share = net.unknown(Unknown(own, "share", f"compensator of {self.name}", 1.0, 1.0, self.name))
        net.balances[own].storage = net.value(self, "response time")

    def equations(self, net: Network) -> None:
        """Add the compensator and what the pump delivers at its stroke."""
        self.follow(net, self.asked(net))

    def asked(self, net: Network) -> SX:
        """Share of stroke (0 to 1) that the pressure compensator asks for."""
        felt = net.node(self, "outlet").p - net.node(self, "case").p
        return kept((net.value(self, "compensator setting") - felt) / net.value(self, "band"))

    def follow(self, net: Network, asked: SX) -> None:
        """Let the swash follow what is asked, and deliver."""
        net.drop(f"stroke of {self.name}", asked - self.share)
        least = net.value(self, "minimum displacement")
        stroke = least + (1 - least) * self.share
        self.deliver(net, net.value(self, "displacement") * stroke, net.node(self, "case"))
        net.reading(self, "ratio", stroke)

    @classmethod
    def links(cls) -> list[tuple[str, str]]:
        """Oil passes from inlet to outlet; slip and control oil into the case relieve no pump."""
        return [("inlet", "outlet")]


def kept(share: SX) -> SX:
    """A share kept between 0 and 1."""
    return np.minimum(np.maximum(share, 0.0), 1.0)
