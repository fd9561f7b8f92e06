"""A hose: a line that holds oil and swells under pressure."""

from __future__ import annotations

from typing import ClassVar

from oilway.elements.line import Line
from oilway.elements.network import IN_WALLS, Network
from oilway.elements.record import Record, amount
from oilway.laws.areas import circle_area


class Hose(Line):
    """A hose: the friction and the oil column of a line, and its own oil and soft wall, half at each end.

    Law of its flow: :func:`oilway.laws.lines.line_drop`.  Wall and oil give way together,
    1 / Be = 1 / B oil + 1 / B wall (:func:`oilway.laws.compress.series_bulk_modulus`).  One length swings in one
    way only; for waves along a long hose write several in a row.
    """

    kind = "hose"
    records: ClassVar[tuple[Record, ...]] = (
        *Line.records,
        amount(
            "wall modulus",
            "modulus",
            "pressure over share of volume by which it swells",
            "400 MPa",
            "20 MPa",
            "200 GPa",
            source="common practice; illustrative, the maker's volumetric expansion decides",
        ),
    )

    def equations(self, net: Network) -> None:
        """Add flow and drop, oil and swelling."""
        super().equations(net)
        volume = circle_area(net.value(self, "diameter")) * net.value(self, "length")
        for port in ("from", "to"):
            swelling = net.node(self, port).p / net.value(self, "wall modulus")
            net.add_volume(self.at(port), volume / 2 * (1 + swelling))
            net.hold(IN_WALLS, volume / 2 * swelling * net.node(self, port).p / 2)
