"""A filter: a resistance that grows as it clogs, with a bypass round it."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.base import limit_rating, mean_density, rated_mu
from oilway.elements.network import Network
from oilway.elements.orifice import Orifice
from oilway.elements.record import CD, RATED, TRANSITION, Record, amount
from oilway.laws.restrictions import check_opening, rated_laminar_flow


class Filter(Orifice):
    """A filter element with its bypass valve; a clogged or cold one opens the bypass, and oil passes unfiltered.

    Law of the element: :func:`oilway.laws.restrictions.rated_laminar_flow` of the share of it that is not clogged.
    Laws of the bypass: :func:`oilway.laws.restrictions.check_opening`,
    :func:`oilway.laws.restrictions.orifice_flow`.
    """

    kind = "filter"
    bore = "bypass diameter"
    records: ClassVar[tuple[Record, ...]] = (
        amount("rated flow", "flow", "flow at which its clean drop is given", low="0.1 gpm", high="1000 gpm"),
        amount("clean drop", "pressure", "drop of the new element at rated flow", "5 psi", "0.1 psi", "200 psi"),
        amount("test viscosity", "viscosity", "oil viscosity at which it holds", "32 cSt", "2 cSt", "2000 cSt"),
        amount("clogged", "ratio", "share of the element that is clogged", "0 %", "0 %", "100 %"),
        amount("bypass diameter", "length", "bore of the open bypass", low="1 mm", high="100 mm"),
        amount(
            "bypass cracking", "pressure", "drop at which the bypass begins to open", "25 psi", "1 psi", "500 psi"
        ),
        amount("bypass full open", "pressure", "drop at which it is fully open", "40 psi", "2 psi", "1000 psi"),
        amount("indicator", "pressure", "drop at which its indicator shows", None, "1 psi", "500 psi"),
        CD,
        TRANSITION,
        RATED,
    )
    axes: ClassVar[dict[str, str]] = {"clogged": "clogged"}

    def complaints(self) -> list[tuple[str, str]]:
        """The bypass is fully open above where it cracks, and the indicator shows before."""
        cracking, out = self.number("bypass cracking") or 0.0, []
        if (self.number("bypass full open") or 0.0) <= cracking:
            out.append(("bypass full open", "bypass full open is not above bypass cracking"))
        if (self.number("indicator") or 0.0) >= cracking:
            out.append(("indicator", "indicator shows only after the bypass has opened"))
        return out

    def equations(self, net: Network) -> None:
        """Add the flow through the element and round it, and what its indicator says."""
        a, b = self.ends(net)
        drop = a.p - b.p
        cracking = net.value(self, "bypass cracking")
        rated, clean = net.value(self, "rated flow"), net.value(self, "clean drop")
        clear = 1 - net.value(self, "clogged")
        q = clear * rated_laminar_flow(drop, rated, clean, rated_mu(self, net), net.oil["mu"])
        net.flow(self, a, b, mean_density(net, a.name, b.name) * q, "laminar filter element")
        open_share = check_opening(drop, cracking, net.value(self, "bypass full open"))
        net.flow(self, a, b, open_share * self.mass_flow(net), "bypass")
        net.reading(self, "pressure", drop)
        bypassed = "its bypass is open: oil passes unfiltered"
        net.limit(self, bypassed, drop, "pressure", high=self.number("bypass cracking"))
        if self.number("indicator") is not None:
            net.limit(self, "its indicator shows", drop, "pressure", high=self.number("indicator"))
        limit_rating(self, net, a.name)
