"""What the tests of the circuit share: every machine drawn, and where the elements of a picture really stand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.ft2font import FT2Font
from numpy.typing import NDArray

import oilway
from oilway.draw.circuit import Drawing, draw
from oilway.draw.paint import paint
from oilway.model.catalogue import shipped_valves
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.story import examples

FILES: dict[str, Path] = {
    **{path.stem: path for path in sorted(examples().glob("*.yaml"))},
    **{f"stand of {name}": path for name, path in shipped_valves().items()},
}
# One of each kind that no example has, names that look like markup, a blind end, a suction line, a vent.
EVERYTHING = """\
format: 1
machine: Brackwater <everything> & "more"
oil: {grade: ISO VG 46, viscosity index: 100, temperature: 120 F}
parts:
  tank: {kind: tank}
  pump <1> & co: {kind: pressure-compensated pump, inlet: suction, outlet: pump line, case: tank,
                  displacement: 30 cc/rev, engine speed: 1500 rpm, compensator setting: 2000 psi}
  suction: {kind: chamber}
  strainer: {kind: filter, from: tank, to: suction, rated flow: 30 gpm, clean drop: 0.5 psi, bypass diameter: 4 cm}
  pump line: {kind: chamber}
  behind: {kind: chamber}
  far: {kind: chamber}
  further: {kind: chamber}
  "last <b>bold</b>": {kind: chamber}
  dead end: {kind: chamber}
  stub: {kind: orifice, from: far, to: dead end, diameter: 1 mm}
  meter: {kind: flow meter, from: behind, to: far, diameter: 12 mm}
  hose: {kind: hose, from: far, to: further, length: 2 m, diameter: 16 mm}
  throttle: {kind: orifice, from: further, to: "last <b>bold</b>", diameter: 3 mm}
  leak: {kind: annular gap, from: far, to: tank, diameter: 10 mm, clearance: 20 um, length: 10 mm}
  accumulator: {kind: accumulator, at: behind, size: 2 L, precharge: 900 psi}
  pressure filter: {kind: filter, from: pump line, to: behind, rated flow: 30 gpm, clean drop: 10 psi,
                    bypass diameter: 20 mm}
  main relief: {kind: valve, valve: pilot relief, P: pump line, T: tank, X: vent line, drain: external, Y: tank,
                setting: 2500 psi at 8 gpm}
  vent line: {kind: chamber}
  vent orifice: {kind: orifice, from: vent line, to: tank, diameter: 0.2 mm}
  load: {kind: test load, from: "last <b>bold</b>", to: tank, load pressure: 500 psi}
  seat part: {kind: moving part, mass: 50 g, travel: 3 mm, viscous friction: 50 N s/m}
  seat spring: {kind: spring, on: seat part, rate: 20 N/mm, compression: 10 mm}
  seat face: {kind: face, on: seat part, chamber: further, diameter: 8 mm, pushes: open}
  open seat: {kind: poppet seat, on: seat part, from: further, to: tank, diameter: 8 mm, half angle: 30 deg}
  gauge: {kind: gauge, at: "last <b>bold</b>"}
"""
NAMES = (*FILES, "everything")
FULL = 2.5e7  # Pa: the dark end of the scale
Box = tuple[float, float, float, float]  # left, top, right, bottom
Affine = NDArray[np.float64]


@cache
def machine(name: str) -> Machine:
    """A machine of :data:`NAMES`."""
    return oilway.loads(EVERYTHING, "everything.yaml") if name == "everything" else oilway.load(FILES[name])


@cache
def drawing(name: str) -> Drawing:
    """Its circuit with everything placed."""
    return draw(machine(name), key="c")


@cache
def state(name: str) -> State:
    """It at the operating point of its file."""
    return solve_point(machine(name), {})


@cache
def painted(name: str) -> ET.Element:
    """Its circuit with the numbers of that point."""
    return ET.fromstring(paint(drawing(name).picture, state(name), FULL))


def tag(element: ET.Element) -> str:
    """The tag without its namespace."""
    return element.tag.rpartition("}")[2]


def of_class(root: ET.Element, name: str) -> list[ET.Element]:
    """All elements of a class."""
    return [e for e in root.iter() if e.get("class") == name]


def walk(element: ET.Element, at: Affine | None = None) -> Iterator[tuple[ET.Element, Affine]]:
    """Every visible element with the transform that stands over it; what is cut off by a clip path is left out."""
    at = (np.eye(3) if at is None else at) @ _transform(element.get("transform", ""))
    yield element, at
    for child in element:
        if tag(child) not in ("defs", "clipPath") and not child.get("clip-path"):
            yield from walk(child, at)


def _transform(text: str) -> Affine:
    out = np.eye(3)
    for name, numbers in re.findall(r"(\w+)\(([^)]*)\)", text):
        v = [float(n) for n in numbers.split()]
        step = np.eye(3)
        if name == "translate":
            step[:2, 2] = v
        elif name == "scale":
            step[0, 0], step[1, 1] = v[0], v[-1]
        elif name == "rotate":
            c, s = np.cos(np.radians(v[0])), np.sin(np.radians(v[0]))
            step[:2, :2] = [[c, -s], [s, c]]
        out = out @ step
    return out


def box(element: ET.Element, at: Affine) -> Box | None:
    """Where a shape or a text stands in the picture, strokes left out; None for a group."""
    corners = _corners(element)
    if corners is None:
        return None
    placed = (at @ np.column_stack([corners, np.ones(len(corners))]).T)[:2]
    (x0, y0), (x1, y1) = placed.min(axis=1), placed.max(axis=1)
    return float(x0), float(y0), float(x1), float(y1)


def _corners(element: ET.Element) -> NDArray[np.float64] | None:
    def value(name: str) -> float:
        return float(element.get(name, 0))

    if tag(element) == "rect":
        x, y, w, h = (value(n) for n in ("x", "y", "width", "height"))
        return np.array([[x, y], [x + w, y + h]])
    if tag(element) == "circle":
        x, y, r = (value(n) for n in ("cx", "cy", "r"))
        return np.array([[x - r, y - r], [x + r, y + r]])
    if tag(element) == "path":
        return points(element.get("d", ""))
    if tag(element) == "text":
        width, size = text_width(element), value("font-size")
        left = value("x") - (width / 2 if element.get("text-anchor") == "middle" else 0.0)
        return np.array([[left, value("y") - 0.76 * size], [left + width, value("y") + 0.2 * size]])
    return None


def points(d: str) -> NDArray[np.float64]:
    """All points of a path, those that bend it too."""
    return np.array([float(n) for n in re.findall(r"-?[\d.]+(?:e-?\d+)?", d)]).reshape(-1, 2)


def text_width(element: ET.Element) -> float:
    """Width of a text in px, as the font draws it."""
    font, size = _font(element.get("font-weight", "normal")), element.get("font-size", "16")
    wide = 0.0
    for piece in (element, *(child for child in element if tag(child) == "tspan")):
        font.set_size(float(piece.get("font-size", size)), 72)
        font.set_text(piece.text or "")
        wide += float(font.get_width_height()[0]) / 64
    return wide


def words_of(element: ET.Element) -> str:
    """What a text says, its small unit too."""
    pieces = (element, *(child for child in element if tag(child) == "tspan"))
    return "".join(piece.text or "" for piece in pieces)


@cache
def _font(weight: str) -> FT2Font:
    return FT2Font(findfont(FontProperties(family="DejaVu Sans", weight=weight)))


def overlap(a: Box, b: Box, slack: float = 0.5) -> bool:
    """Whether two boxes share more than a touch."""
    across = a[0] < b[2] - slack and b[0] < a[2] - slack
    return across and a[1] < b[3] - slack and b[1] < a[3] - slack
