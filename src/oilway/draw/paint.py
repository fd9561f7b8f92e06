"""Paint a picture with the numbers of one state, for print and files; the page does the same in ``paint.js``."""

from __future__ import annotations

import copy
import math
from collections.abc import Mapping
from xml.etree import ElementTree as ET

from oilway import quantity
from oilway.draw.colours import colour, hatch
from oilway.draw.picture import Binding, Picture, spring_path
from oilway.quantity import Units
from oilway.solve.result import State
from oilway.study.frame import channels, frame

SMALLEST = 0.55  # size of the arrow of the least flow that shows; that of the largest is 1


def paint(picture: Picture, state: State, full: float, units: Units = "shop", *, hatched: bool = False) -> str:
    """The picture as SVG text with the numbers of a state; ``full`` (Pa) is the dark end of the pressure scale.

    ``hatched`` shows the printed hatch over the colours.
    """
    shown = frame(state)
    values = dict(zip((c.name for c in channels(state)), shown.values, strict=True))
    painter = Painter(picture, values, shown.statuses, full, units, hatched)
    return ET.tostring(painter.painted(), encoding="unicode")


class Painter:
    """Paints the elements of a picture from values by channel, one method for each binding."""

    def __init__(
        self, picture: Picture, values: Mapping[str, float], statuses: Mapping[str, str],
        full: float, units: Units, hatched: bool,
    ) -> None:  # fmt: skip
        self.picture, self.values, self.statuses = picture, values, statuses
        self.full, self.units, self.hatched = full, units, hatched

    def painted(self) -> ET.Element:
        """A painted copy of the picture."""
        root = copy.deepcopy(self.picture.root)
        by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
        for binding in self.picture.bindings:
            getattr(self, f"_{binding.what}")(by_id[binding.id], binding)
        return root

    def _at(self, binding: Binding, name: str) -> float:
        return float(binding.options.get(name, 0.0))

    def _fill(self, element: ET.Element, binding: Binding) -> None:
        element.set("fill", colour(self.values[binding.channel], self.full))

    def _hatch(self, element: ET.Element, binding: Binding) -> None:
        band = hatch(self.values[binding.channel], self.full)
        element.set("fill", f"url(#{self.picture.hatch_id(band)})" if self.hatched else "none")

    def _stroke(self, element: ET.Element, binding: Binding) -> None:
        element.set("stroke", colour(self.values[binding.channel], self.full))

    def _text(self, element: ET.Element, binding: Binding) -> None:
        before, after = binding.options.get("before", ""), binding.options.get("after", "")
        value = self.values[binding.channel]
        said = quantity.show(
            abs(value) if binding.options.get("unsigned") else value, str(binding.options["kind"]), self.units
        )
        size = self._at(binding, "unit size")
        digits, _, unit = said.partition(" ") if size else (said, "", "")
        element.text = f"{before}{digits}" if unit else f"{before}{said}{after}"
        if unit:
            ET.SubElement(element, "tspan", {"font-size": f"{size:g}"}).text = f" {unit}{after}"

    def _move(self, element: ET.Element, binding: Binding) -> None:
        value, most = self.values[binding.channel], self._at(binding, "most")
        dx, dy = (_clipped(self._at(binding, d) * value, most) for d in ("dx", "dy"))
        element.set("transform", f"translate({dx:.2f} {dy:.2f})")

    def _spring(self, element: ET.Element, binding: Binding) -> None:
        most = self._at(binding, "most")
        anchor = self._at(binding, "anchor gain") * self.values.get(
            str(binding.options.get("anchor channel")), 0.0
        )
        a = self._at(binding, "a") + anchor
        b = self._at(binding, "b") + _clipped(self._at(binding, "gain") * self.values[binding.channel], most)
        x, width, coils = (self._at(binding, name) for name in ("x", "width", "coils"))
        element.set("d", spring_path(x, width, coils, a, b))

    def _turn(self, element: ET.Element, binding: Binding) -> None:
        angle = 360 * self.values[binding.channel]
        element.set("transform", f"rotate({angle:.2f} {self._at(binding, 'cx'):g} {self._at(binding, 'cy'):g})")

    def _flow(self, element: ET.Element, binding: Binding) -> None:
        flow, least, full = self.values[binding.channel], self._at(binding, "least"), self._at(binding, "full")
        if abs(flow) < least:
            element.set("visibility", "hidden")
            return
        grown = math.log(abs(flow) / least) / math.log(full / least) if full > least else 1.0
        size = SMALLEST + (1 - SMALLEST) * min(max(grown, 0.0), 1.0)
        element.set("visibility", "visible")
        element.set("transform", f"scale({math.copysign(size, flow):.3f} {size:.3f})")

    def _status(self, element: ET.Element, binding: Binding) -> None:
        part = binding.channel.removeprefix("status:")
        shows = self.statuses[part] == binding.options["when"]
        element.set("visibility", "visible" if shows else "hidden")


def _clipped(value: float, most: float) -> float:
    return min(max(value, -most), most) if most > 0 else value
