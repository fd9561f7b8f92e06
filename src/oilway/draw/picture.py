"""A picture that is drawn once and repainted from numbers: an SVG tree and the bindings of its elements.

A binding says which attribute of which element follows which channel of :mod:`oilway.study.frame`.  What each
binding does is written down once, in :data:`WHATS`; :mod:`oilway.draw.paint` does it for print and the page's
``paint.js`` does it on the screen, and a test holds the two together.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any
from xml.etree import ElementTree as ET

from oilway.draw.colours import HATCHES

SVG = "http://www.w3.org/2000/svg"
FONT = "DejaVu Sans, Verdana, sans-serif"
INK, PAPER = "#1a1a1a", "#ffffff"
UNIT = 0.52  # size of a unit beside a number that is read from the back of the room

WHATS = {
    "fill": "the fill is the colour of the pressure in the channel",
    "hatch": "the fill is the printed hatch of the pressure in the channel",
    "stroke": "the line is drawn in the colour of the pressure in the channel",
    "text": "the text is before + the value with its unit + after; where (unsigned) is 1, without a minus; where "
    "(unit size) is given, the unit is that small",
    "move": "the group moves by (dx, dy) px per SI unit of the channel, no further than (most) px",
    "spring": "the path is a spring of (coils), (width) wide, along y at (x) from y = (a), which moves by (anchor "
    "gain) px per SI unit of (anchor channel), to y = (b), which moves by (gain) px per SI unit of the channel, "
    "no further than (most) px",
    "turn": "the group turns once about (cx, cy) per unit of the channel",
    "flow": "the arrow shows when the flow (m3/s) or speed (m/s) in the channel exceeds (least) either way, "
    "turned round when negative, and grows with its logarithm up to (full)",
    "status": "the element shows only while the moving part in the channel, status:PART, is (when)",
}


@dataclass(frozen=True)
class Binding:
    """One element that follows one channel; ``options`` as :data:`WHATS` names them."""

    id: str
    what: str
    channel: str
    options: dict[str, float | str] = field(default_factory=dict)


class Picture:
    """An SVG picture, ``width`` by ``height`` px, that elements are added to.

    Names of the user's files reach the tree as text and attribute values only, which the writer escapes.
    ``key`` keeps the ids of two pictures on one page apart; ``corner`` is the place of the upper left corner.
    """

    def __init__(
        self, title: str, width: float, height: float, key: str = "p", corner: tuple[float, float] = (0.0, 0.0)
    ) -> None:
        self.title, self.width, self.height, self.key, self.corner = title, width, height, key, corner
        self.bindings: list[Binding] = []
        self.notes: list[str] = []  # what a reader has to know of it, such as what is not to scale
        self._ids = 0
        self._touchable: set[str] = set()
        self.root = ET.Element(
            "svg",
            {
                "xmlns": SVG,
                "viewBox": f"{corner[0]:g} {corner[1]:g} {width:g} {height:g}",
                "font-family": FONT,
                "role": "group",
            },
        )
        self.root.set("aria-label", title)
        self._defs = ET.SubElement(self.root, "defs")
        for band in range(HATCHES):
            self._hatch(band)

    def add(self, parent: ET.Element | None, tag: str, /, **attributes: Any) -> ET.Element:
        """Add an element; ``stroke_width=2`` becomes ``stroke-width="2"``, numbers are shortened."""
        named = {name.rstrip("_").replace("_", "-"): _written(value) for name, value in attributes.items()}
        return ET.SubElement(self.root if parent is None else parent, tag, named)

    def text(
        self, parent: ET.Element | None, x: float, y: float, words: str, size: float = 16, /, **attributes: Any
    ) -> ET.Element:
        """Add a text, centred on x unless ``text_anchor`` says otherwise."""
        given = {"text_anchor": "middle", "fill": INK, **attributes}
        element = self.add(parent, "text", x=x, y=y, font_size=size, **given)
        element.text = words
        return element

    def touchable(self, element: ET.Element, part: str, words: str = "") -> ET.Element:
        """Make an element answer to touch for a part of the machine, with its name as title.

        The first element of a part answers to the keyboard too; one stop for each part is enough.
        """
        element.set("data-part", part)
        title = ET.Element("title")
        title.text = words or part
        element.insert(0, title)
        if part not in self._touchable:
            self._touchable.add(part)
            element.set("tabindex", "0")
            element.set("role", "button")
            element.set("aria-label", words or part)
        return element

    def bind(self, element: ET.Element, what: str, channel: str, /, **options: float | str) -> None:
        """Let an element follow a channel; see :data:`WHATS`."""
        if what not in WHATS:
            raise ValueError(f"'{what}' is no binding")
        if "id" not in element.attrib:
            self._ids += 1
            element.set("id", f"{self.key}-{self._ids}")
        named = {name.replace("_", " "): value for name, value in options.items()}
        self.bindings.append(Binding(element.attrib["id"], what, channel, named))

    def number(
        self, parent: ET.Element | None, x: float, y: float, channel: str, /,
        size: float = 20, before: str = "", width: float = 0.0, kind: str = "pressure",
    ) -> ET.Element:  # fmt: skip
        """A number on a white plate with its middle at (x, y), legible on any colour behind it."""
        plate = self.add(parent, "g", class_="number")
        unit = round(UNIT * size)
        wide = width or size * (0.62 * len(before) + 4.7)
        self.add(
            plate, "rect", x=x - wide / 2, y=y - 0.62 * size, width=wide, height=1.24 * size, rx=0.3 * size,
            fill=PAPER, stroke=INK, stroke_width=1,
        )  # fmt: skip
        words = self.text(plate, x, y + 0.36 * size, "", size, font_weight="bold")
        self.bind(words, "text", channel, kind=kind, before=before, unit_size=unit)
        return plate

    def arrow(
        self, parent: ET.Element | None, place: tuple[float, float], way: float, channel: str, /,
        *, least: float, full: float,
    ) -> ET.Element:  # fmt: skip
        """A flow arrow with its middle at a place, pointing ``way`` degrees clockwise from the right."""
        turned = self.add(parent, "g", transform=f"translate({place[0]:g} {place[1]:g}) rotate({way:g})")
        arrow = self.add(
            turned, "path", d="M-16 -5L1 -5L1 -12L17 0L1 12L1 5L-16 5Z", fill=PAPER, stroke=INK, stroke_width=2,
            class_="arrow", pointer_events="none",
        )  # fmt: skip
        self.bind(arrow, "flow", channel, least=least, full=full)
        return turned

    def lined(self, name: str, gap: float, ink: str = INK, width: float = 1.6, paper: str = "") -> str:
        """Add a pattern of slanting lines, ``gap`` px apart, on ``paper`` or nothing; its id."""
        pattern = self.add(
            self._defs, "pattern", id=f"{self.key}-{name}", width=gap, height=gap, patternUnits="userSpaceOnUse",
            patternTransform="rotate(45)",
        )  # fmt: skip
        if paper:
            self.add(pattern, "rect", width=gap, height=gap, fill=paper)
        if width:
            self.add(pattern, "line", x1=0, y1=0, x2=0, y2=gap, stroke=ink, stroke_width=width)
        return f"{self.key}-{name}"

    def _hatch(self, band: int) -> None:
        self.lined(f"hatch-{band}", 26 / (band + 1), width=1.6 if band else 0.0)

    def hatch_id(self, band: int) -> str:
        """Id of the pattern of a band."""
        return f"{self.key}-hatch-{band}"

    def svg(self) -> str:
        """The picture as text, unpainted."""
        return ET.tostring(self.root, encoding="unicode")


def _written(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, int | float) else str(value)


def spring_path(x: float, width: float, coils: float, a: float, b: float) -> str:
    """A coil spring seen from the side, as a path from (x, a) to (x, b)."""
    points = [(x, a)]
    steps = int(2 * coils)
    points += [(x + (width / 2 if i % 2 else -width / 2), a + (b - a) * (i + 0.5) / steps) for i in range(steps)]
    points.append((x, b))
    return "M" + "L".join(f"{px:.2f} {py:.2f}" for px, py in points)
