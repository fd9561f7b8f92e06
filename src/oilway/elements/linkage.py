"""A linkage: a load that a cylinder feels through levers whose ratio changes along the stroke."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import ClassVar

import numpy as np

from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.network import SX, Network
from oilway.elements.record import REQUIRED, Record, amount, reference
from oilway.errors import QuantityError

EXAMPLE = "write 'ratio: 1.2 at 0 mm, 1.0 at 400 mm'"


class Linkage(Element):
    """A load on a boom, bucket or tipping body: what the rod feels is the load times the motion ratio there.

    The motion ratio is travel of the load over travel of the rod, as measured at some strokes, straight lines
    between them and constant beyond.  Force at the rod = load force x ratio, mass felt = mass x ratio squared; in
    motion a changing ratio also speeds the load up or slows it down, mass x ratio x slope x velocity squared.
    Source: principle of virtual work, any text on mechanics.
    """

    kind = "linkage"
    records = (
        reference("on", "cylinder that carries it", "cylinder"),
        Record("ratio", "text", "motion ratio at strokes of the cylinder, '1.2 at 0 mm, 1.0 at 400 mm'", REQUIRED),
        amount("load force", "force", "force of the load, against extending", "0 N"),
        amount("mass", "mass", "mass of the load", "0 kg", "0 kg"),
    )
    axes: ClassVar[dict[str, str]] = {"load force": "load force"}

    def complaints(self) -> list[tuple[str, str]]:
        """The table can be read, and its strokes rise."""
        try:
            strokes = [stroke for stroke, _ in ratio_table(self.text("ratio"))]
        except QuantityError as err:
            return [("ratio", f"ratio: {err.what}; {err.hint or EXAMPLE}")]
        if any(b <= a for a, b in pairwise(strokes)):
            return [("ratio", "ratio: the strokes must rise from one to the next")]
        return []

    def equations(self, net: Network) -> None:
        """Add what the rod feels to the cylinder."""
        cylinder = net.cylinders[self.text("on")]
        ratio, slope = interpolated(ratio_table(self.text("ratio")), cylinder.position)
        mass = net.value(self, "mass")
        swing = net.motion * mass * ratio * slope * cylinder.v**2
        cylinder.load(net, self, net.value(self, "load force") * ratio, mass * ratio**2, swing)
        net.reading(self, "number", ratio)


def ratio_table(text: str) -> list[tuple[float, float]]:
    """Pairs of stroke (m) and ratio from '1.2 at 0 mm, 1.0 at 400 mm'; or :class:`QuantityError`."""
    table = []
    for point in re.split(r",\s+", text.strip()):
        ratio, at, stroke = point.partition(" at ")
        if not at:
            raise QuantityError(f"'{point}' is no ratio at a stroke", EXAMPLE)
        table.append((quantity.parse(stroke, "length"), quantity.parse(ratio, "number")))
    return table


def interpolated(table: list[tuple[float, float]], x: SX) -> tuple[SX, SX]:
    """Value and slope at x of the straight lines through a table, constant beyond its ends."""
    value, slope = table[0][1], 0.0
    for (a, low), (b, high) in pairwise(table):
        rate = (high - low) / (b - a)
        value = value + rate * (np.minimum(np.maximum(x, a), b) - a)
        slope = slope + rate * (x > a) * (x < b)
    return value, slope
