"""Every valve that the cutaway tests look at, solved where its passages carry oil, and the boxes of its words."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath
from tests.draw.drawn import text_width

import oilway
from oilway.draw.cutaway import cutaway
from oilway.draw.cutaway_layout import lay_out
from oilway.draw.cutaway_plan import Plan
from oilway.draw.cutaway_valve import Shown, shown
from oilway.draw.paint import paint
from oilway.draw.picture import Picture
from oilway.model.catalogue import shipped_valves
from oilway.model.machine import Machine
from oilway.quantity import Units
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.explain import default_points
from oilway.study.reach import reaches

STEPPED = "stepped plunger"  # described in text, shipped as an example only
VALVES = [*shipped_valves(), STEPPED]
FILES = {STEPPED: Path(__file__).parents[2] / "examples" / "damped_step_relief.yaml"}
FULL = 25e6  # Pa, dark end of the scale
Rect = tuple[float, float, float, float]  # left, top, right, bottom


@cache
def machine(name: str) -> Machine:
    return oilway.load(FILES.get(name, name))


@cache
def valve(name: str) -> Shown:
    return shown(machine(name), machine(name).mounted[0])


@cache
def plan(name: str) -> Plan:
    return lay_out(valve(name))


@cache
def picture(name: str) -> Picture:
    on_stand = machine(name)
    return cutaway(on_stand, on_stand.mounted[0], key="v", reach=reaches(on_stand))


@cache
def states(name: str) -> list[State]:
    return [solve_point(machine(name), point) for point in default_points(machine(name))]


@cache
def painted(name: str, point: int = -1, units: Units = "shop") -> ET.Element:
    return ET.fromstring(paint(picture(name), states(name)[point], FULL, units))


def local(element: ET.Element) -> str:
    return element.tag.rsplit("}", 1)[-1]


def texts(root: ET.Element) -> list[tuple[ET.Element, Rect]]:
    """Every visible text with its box, measured with the very letters; none stands in a turned group."""
    found = []
    for element in root.iter():
        if local(element) != "text" or element.get("visibility") == "hidden" or not element.text:
            continue
        size = float(element.get("font-size", "16"))
        font = FontProperties(family="DejaVu Sans", weight=element.get("font-weight", "normal"))
        box = TextPath((0, 0), element.text, size=size, prop=font, usetex=False).get_extents()
        wide = text_width(element) if len(element) else box.width  # with its small unit
        x, y = float(element.get("x", "0")), float(element.get("y", "0"))
        left = x - (wide / 2 if element.get("text-anchor") == "middle" else 0.0)
        found.append((element, (left, y - box.y1, left + wide, y - box.y0)))
    return found


def overlap(a: Rect, b: Rect, slack: float = 0.5) -> bool:
    across = min(a[2], b[2]) - max(a[0], b[0]) > slack
    return across and min(a[3], b[3]) - max(a[1], b[1]) > slack
