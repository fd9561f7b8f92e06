"""Several pictures on one sheet: each whole, none over another, and all ids apart."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

from oilway.draw.panels import Panel, sheet
from oilway.draw.picture import Picture

NS = "{http://www.w3.org/2000/svg}"


def panel(number: int, width: float = 400, height: float = 300) -> Panel:
    picture = Picture(f"<picture> {number}", width, height, key=f"p{number}")
    picture.add(None, "rect", x=0, y=0, width=10, height=10)
    return Panel(f"words & {number}", picture, picture.svg())


def test_panels_stand_side_by_side_without_meeting() -> None:
    whole, painted = sheet("A < B", [panel(n, height=200 + 50 * n) for n in range(5)], 2)
    root = ET.fromstring(painted)
    boxes = [tuple(float(s.get(k, 0)) for k in ("x", "y", "width", "height")) for s in root.iter(f"{NS}svg")][1:]
    assert len(boxes) == 5
    for i, (x, y, w, h) in enumerate(boxes):
        assert x + w <= whole.width
        assert y + h <= whole.height
        for a, b, c, d in boxes[:i]:
            assert x >= a + c or a >= x + w or y >= b + d or b >= y + h
    assert [t.text for t in root.iter(f"{NS}text")] == ["A < B", *(f"words & {n}" for n in range(5))]


def test_every_picture_keeps_ids_of_its_own() -> None:
    _, painted = sheet("two", [panel(0), panel(1)], 2)
    ids = re.findall(r'\bid="([^"]+)"', painted)
    assert len(ids) == len(set(ids)) > 0
