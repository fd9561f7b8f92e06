"""Statics: what a cylinder does to pressure."""

from __future__ import annotations

from oilway.laws.values import Value


def intensified_pressure(cap_pressure: Value, cap_area: Value, rod_area: Value, load: Value = 0.0) -> Value:
    """Pressure (Pa) at the rod side of a cylinder whose rod port is blocked: p2 = (p1 A1 - F) / A2.

    ``cap_area`` A1 and ``rod_area`` A2 are the piston's faces (m2), ``load`` F (N) resists extension. No
    friction. Source: statics. At twice the area and without load, 100 bar becomes 200 bar:

    >>> intensified_pressure(100.0, 2.0, 1.0)
    200.0
    """
    return (cap_pressure * cap_area - load) / rod_area
