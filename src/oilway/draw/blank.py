"""A picture as line art to be filled in: no colours, no numbers, no flows, every part at rest."""

from __future__ import annotations

from collections.abc import Mapping
from xml.etree import ElementTree as ET

from oilway import quantity
from oilway.draw.cutaway import BODY, LINES
from oilway.draw.paint import Painter
from oilway.draw.picture import INK, PAPER, Binding, Picture
from oilway.quantity import Units
from oilway.solve.result import State
from oilway.study.frame import channels, frame

LINE = "________"
HIDDEN = ("lift", "share", "flow", "speed", "reading")  # what a state would give away
GIVEN = ("size", "turns", "rotation", "position")  # what is built in, or part of the question


def blank(picture: Picture, state: State, labels: Mapping[str, str], units: Units = "shop") -> str:
    """The picture as SVG text with blanks where ``labels`` names a channel, each with its label.

    Other plates of numbers are left out; bores, turns and positions stay, for they are given.
    """
    values = {
        c.name: 0.0 if c.name.partition(":")[0] in HIDDEN else v
        for c, v in zip(channels(state), frame(state).values, strict=True)
    }
    return ET.tostring(_Blank(picture, values, labels, units).painted(), encoding="unicode")


class _Blank(Painter):
    """Paints what a learner may see."""

    def __init__(
        self, picture: Picture, values: Mapping[str, float], labels: Mapping[str, str], units: Units
    ) -> None:
        super().__init__(picture, values, {}, 0.0, units, False)
        self.labels = labels

    def painted(self) -> ET.Element:
        """A copy of the picture without the plates of numbers that are not asked for, and without grey."""
        root = super().painted()
        asked = {b.id for b in self.picture.bindings if b.what == "text" and b.channel in self.labels}
        for plate in root.iter("g"):
            if plate.get("class") == "number" and not any(e.get("id") in asked for e in plate.iter()):
                plate.set("visibility", "hidden")
        for element in root.iter():
            if element.get("class") == "note":  # how much larger a lift is drawn, that is not drawn here
                element.text = ""
            if element.get("fill") == BODY:
                element.set("fill", PAPER)
            if element.get("stroke") == LINES:
                element.set("stroke", "#d8d8d8")
        return root

    def _fill(self, element: ET.Element, binding: Binding) -> None:
        element.set("fill", PAPER)

    def _hatch(self, element: ET.Element, binding: Binding) -> None:
        element.set("fill", "none")

    def _stroke(self, element: ET.Element, binding: Binding) -> None:
        element.set("stroke", INK)

    def _text(self, element: ET.Element, binding: Binding) -> None:
        if binding.channel in self.labels:
            unit = quantity.unit(str(binding.options["kind"]), self.units)
            element.text = f"{self.labels[binding.channel]} {LINE} {unit}"
            element.set("font-size", "17")
        elif binding.channel.partition(":")[0] in GIVEN:
            super()._text(element, binding)
        else:
            element.text = ""

    def _status(self, element: ET.Element, binding: Binding) -> None:
        element.text = ""
