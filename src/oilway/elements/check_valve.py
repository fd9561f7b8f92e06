"""A check valve: lets oil through one way."""

from __future__ import annotations

from oilway.elements.network import Network
from oilway.elements.orifice import Orifice
from oilway.elements.record import CD, TRANSITION, amount
from oilway.laws.restrictions import check_opening


class CheckValve(Orifice):
    """A check valve (load check, anti-cavitation check) whose light part follows its spring without delay.

    It opens in proportion from its cracking pressure to its full-open pressure and is exactly shut below, unless
    dirt or a scored seat leaves it a ``leak``.
    Laws: :func:`oilway.laws.restrictions.check_opening`, :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "check valve"
    records = (
        amount("diameter", "length", "bore when fully open", low="0.5 mm", high="100 mm"),
        amount("cracking pressure", "pressure", "drop at which it begins to open", "5 psi", "0 psi", "500 psi"),
        amount(
            "full open pressure",
            "pressure",
            "drop at which it is fully open",
            "10 psi",
            "0.1 psi",
            "1000 psi",
        ),
        amount("leak", "ratio", "share of its opening left when shut (dirt, a scored seat)", "0", "0", "1"),
        CD,
        TRANSITION,
    )

    def complaints(self) -> list[tuple[str, str]]:
        """It is fully open above where it cracks."""
        if (self.number("full open pressure") or 0.0) <= (self.number("cracking pressure") or 0.0):
            return [("full open pressure", "full open pressure is not above cracking pressure")]
        return []

    def equations(self, net: Network) -> None:
        """Add the one-way flow."""
        a, b = self.ends(net)
        share = check_opening(
            a.p - b.p, net.value(self, "cracking pressure"), net.value(self, "full open pressure")
        )
        leak = net.value(self, "leak")
        net.flow(self, a, b, (leak + (1 - leak) * share) * self.mass_flow(net), "check valve law")
