"""Areas: what a seat or a spool edge opens; exactly zero while the seat is shut or the land overlaps."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value

EDGE = 1e-12
"""Share of a hole's diameter next to its rim inside which the slope of a circular segment is taken as zero.

The textbook form has an arc cosine, whose slope is infinite at the rim although that of the area is zero. The
error in area is under 1e-17 of the hole."""


def circle_area(d: Value) -> Value:
    """Area of a circle, pi d^2 / 4 (m2). Source: geometry.

    >>> round(circle_area(2.0), 6)
    3.141593
    """
    return np.pi / 4 * d**2


def annulus_area(outer: Value, inner: Value) -> Value:
    """Area between two concentric circles, pi (outer^2 - inner^2) / 4 (m2). Source: geometry.

    >>> round(annulus_area(2.0, 1.0), 6)
    2.356194
    """
    return np.pi / 4 * (outer**2 - inner**2)


def eased(share: Value) -> Value:
    """A share 0..1 with a level start and end, s^2 (3 - 2 s); held at 0 below and 1 above. Source: geometry.

    >>> [round(float(eased(s)), 6) for s in (-1.0, 0.0, 0.25, 0.5, 1.0, 2.0)]
    [0.0, 0.0, 0.15625, 0.5, 1.0, 1.0]
    """
    s = np.minimum(np.maximum(share, 0.0), 1.0)
    return s**2 * (3 - 2 * s)


def _poppet_gap(seat_diameter: Value, lift: Value, half_angle: Value) -> Value:
    """Gap square to the cone, x sin(a), held where the frustum has reached the area of the bore.

    From pi g (d - g cos a) = pi d^2 / 4; sqrt(1 - cos a) is written sqrt(2) sin(a / 2), smooth for a flat
    disc too.
    """
    full = seat_diameter / (2 * (1 + np.sqrt(2.0) * np.sin(half_angle / 2)))
    return np.minimum(np.maximum(lift, 0.0) * np.sin(half_angle), full)


def poppet_area(seat_diameter: Value, lift: Value, half_angle: Value) -> Value:
    """Opening (m2) between a conical poppet and a sharp seat: A = pi x sin(a) (d - x sin(a) cos(a)).

    The exact conical frustum: its slant height is the gap square to the cone. ``half_angle`` a (rad) is
    between the cone's side and its axis (45 degrees for a 90 degree poppet, 90 degrees for a flat disc).
    Exactly 0 for ``lift`` <= 0; never above the area of the seat's bore, which takes over as the narrowest
    place.

    Source: geometry. The common thin-lift form pi d x sin(a) is 2.564 % high for d = 10, x = 0.5 mm, a = 45
    degrees:

    >>> import math
    >>> exact = poppet_area(10e-3, 0.5e-3, math.radians(45))
    >>> thin = math.pi * 10e-3 * 0.5e-3 * math.sin(math.radians(45))
    >>> round(thin * 1e6, 4), round(100 * (thin / float(exact) - 1), 3)
    (11.1072, 2.564)
    """
    gap = _poppet_gap(seat_diameter, lift, half_angle)
    return np.pi * gap * (seat_diameter - gap * np.cos(half_angle))


def poppet_hydraulic_diameter(seat_diameter: Value, lift: Value, half_angle: Value) -> Value:
    """Hydraulic diameter (m) of a poppet opening: twice the gap, 2 x sin(a), at most the seat diameter.

    4 A / (wetted perimeter) of the frustum is exactly twice the gap. Source: geometry.

    >>> import math
    >>> [round(float(poppet_hydraulic_diameter(10.0, x, math.radians(30))), 6) for x in (-1.0, 1.0, 50.0)]
    [0.0, 1.0, 10.0]
    """
    return np.minimum(2 * np.maximum(lift, 0.0) * np.sin(half_angle), seat_diameter)


def spool_annulus_area(diameter: Value, opening: Value) -> Value:
    """Opening (m2) of a spool edge over a full annular groove: pi D x, 0 for ``opening`` <= 0.

    No upper limit: the travel of the spool and the width of the groove set it, and both are the caller's.
    Source, from memory: Merritt (1967) chapter 5, area gradient w = pi D.

    >>> round(float(spool_annulus_area(10e-3, 0.3e-3)) * 1e6, 4)
    9.4248
    """
    return np.pi * diameter * np.maximum(opening, 0.0)


def spool_annulus_hydraulic_diameter(opening: Value) -> Value:
    """Hydraulic diameter (m) of an annular slit: twice its width, 4 (pi D x) / (2 pi D). Source: geometry.

    >>> float(spool_annulus_hydraulic_diameter(0.5)), float(spool_annulus_hydraulic_diameter(-0.5))
    (1.0, 0.0)
    """
    return 2 * np.maximum(opening, 0.0)


def _segment_half_angle(hole_diameter: Value, opening: Value) -> Value:
    """Half the angle (rad) that the uncovered segment spans at the centre of the hole, 0..pi but for EDGE."""
    share = np.minimum(np.maximum(opening / hole_diameter, EDGE), 1 - EDGE)
    return 2 * np.arcsin(np.sqrt(share))


def spool_holes_area(hole_diameter: Value, number: Value, opening: Value) -> Value:
    """Opening (m2) of a spool edge over ``number`` round holes, uncovered to the depth ``opening``.

    A circular segment per hole: A = r^2 (t - sin(t) cos(t)), t = 2 asin(sqrt(x / d)), which is acos(1 - x /
    r). 0 for ``opening`` <= 0, the whole holes for ``opening`` >= d. The holes are taken as flat (small
    beside the bore). Source: geometry. Half uncovered is half a circle, for two holes a whole one:

    >>> round(float(spool_holes_area(2.0, 2, 1.0)), 6)
    3.141593
    """
    t = _segment_half_angle(hole_diameter, opening)
    return (opening > 0) * number * (hole_diameter / 2) ** 2 * (t - np.sin(t) * np.cos(t))


def spool_holes_hydraulic_diameter(hole_diameter: Value, opening: Value) -> Value:
    """Hydraulic diameter (m) of one partly covered hole: 4 A / (arc + edge).

    It starts as 4 x / 3 and ends as the diameter of the hole. Source: geometry.

    >>> [round(float(spool_holes_hydraulic_diameter(2.0, x)), 5) for x in (0.0, 0.003, 9.0)]
    [0.0, 0.004, 2.0]
    """
    t = _segment_half_angle(hole_diameter, opening)
    return (opening > 0) * hole_diameter * (t - np.sin(t) * np.cos(t)) / (t + np.sin(t))


def spool_notch_area(width: Value, number: Value, opening: Value) -> Value:
    """Opening (m2) of ``number`` rectangular notches of ``width`` (m): n w x, 0 for ``opening`` <= 0.

    Source: geometry.

    >>> float(spool_notch_area(3.0, 4, 0.5)), float(spool_notch_area(3.0, 4, -0.5))
    (6.0, 0.0)
    """
    return number * width * np.maximum(opening, 0.0)


def spool_notch_hydraulic_diameter(width: Value, opening: Value) -> Value:
    """Hydraulic diameter (m) of one rectangular notch: 4 w x / (2 (w + x)). Source: geometry.

    >>> float(spool_notch_hydraulic_diameter(3.0, 3.0)), float(spool_notch_hydraulic_diameter(3.0, -1.0))
    (3.0, 0.0)
    """
    x = np.maximum(opening, 0.0)
    return 2 * width * x / (width + x)
