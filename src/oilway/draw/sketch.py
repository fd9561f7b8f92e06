"""Axes to sketch a pressure-flow curve on, and the same axes with the curve for the key."""

from __future__ import annotations

import math

from oilway import quantity
from oilway.draw.picture import INK, PAPER, Picture
from oilway.quantity import Units
from oilway.study.curve import Curve
from oilway.study.worksheet_ranges import rounded

WIDE, HIGH = 560.0, 320.0
LEFT, TOP, FOOT = 74.0, 14.0, 48.0
LINES = 8  # about so many lines each way
HEADROOM = 1.2  # the axis of pressures ends so far above full flow
THIN = "#9a9a9a"


def axes(curve: Curve, units: Units = "shop", *, drawn: bool = False) -> str:
    """SVG text of the axes for a curve; ``drawn`` with the curve itself: whole line rising, broken falling."""
    picture = Picture(f"{curve.name}: pressure over flow", WIDE, HIGH, "sketch")
    ends = curve.full_flow, HEADROOM * curve.full
    kinds = ("flow", "pressure")
    most = [quantity.number(end, kind, units) for end, kind in zip(ends, kinds, strict=True)]
    steps = [rounded(size / LINES) for size in most]
    tops = [step * math.ceil(size / step - 1e-9) for size, step in zip(most, steps, strict=True)]
    wide, high = WIDE - LEFT - 16, HIGH - TOP - FOOT

    def place(flow: float, pressure: float) -> tuple[float, float]:
        """Px of a flow and a pressure in display units."""
        return LEFT + wide * flow / tops[0], TOP + high * (1 - pressure / tops[1])

    picture.add(None, "rect", x=0, y=0, width=WIDE, height=HIGH, fill=PAPER)
    for k in range(round(tops[0] / steps[0]) + 1):
        (x, foot), (_, top) = place(k * steps[0], 0), place(k * steps[0], tops[1])
        picture.add(None, "line", x1=x, y1=foot, x2=x, y2=top, stroke=THIN, stroke_width=0.6)
        picture.text(None, x, foot + 17, f"{k * steps[0]:g}", 13)
    for k in range(round(tops[1] / steps[1]) + 1):
        (left, y), (right, _) = place(0, k * steps[1]), place(tops[0], k * steps[1])
        picture.add(None, "line", x1=left, y1=y, x2=right, y2=y, stroke=THIN, stroke_width=0.6)
        picture.text(None, left - 8, y + 5, f"{k * steps[1]:g}", 13, text_anchor="end")
    picture.text(None, LEFT + wide / 2, HIGH - 8, f"flow over the valve, {quantity.unit('flow', units)}", 14)
    middle = TOP + high / 2
    picture.text(None, 16, middle, f"inlet pressure, {quantity.unit('pressure', units)}", 14,
                 transform=f"rotate(-90 16 {middle:g})")  # fmt: skip
    corner = place(0, 0)
    frame = f"M{LEFT} {TOP}L{corner[0]} {corner[1]}L{LEFT + wide} {corner[1]}"
    picture.add(None, "path", d=frame, fill="none", stroke=INK, stroke_width=1.6)
    for dashes, branch in (("none", curve.rising), ("7 5", curve.falling)) if drawn else ():
        points = " ".join(
            "{:.1f},{:.1f}".format(
                *place(quantity.number(float(q), "flow", units), quantity.number(float(p), "pressure", units))
            )
            for q, p in zip(curve.flows, branch, strict=True)
        )
        picture.add(
            None, "polyline", points=points, fill="none", stroke=INK, stroke_width=2.4, stroke_dasharray=dashes
        )
    return picture.svg()
