"""Viscosity against temperature, from two measured points or from an ISO grade and a viscosity index.

Kinematic viscosities are in m2/s, temperatures in degrees Celsius; the empirical formulas work in mm2/s
inside. What is solved from a table or by iteration takes numbers only, and is typed ``float``.
"""

from __future__ import annotations

import math

import numpy as np

from oilway.laws.values import Value

CENTISTOKE = 1e-6  # m2/s, = 1 mm2/s
KELVIN = 273.15  # 0 degrees Celsius

_ROUND_GRADES = (10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)
ISO_VG: dict[int, float] = {2: 2.2, 3: 3.2, 5: 4.6, 7: 6.8} | {g: float(g) for g in _ROUND_GRADES}
"""Grade and its midpoint at 40 degrees in mm2/s. Source, from memory: ISO 3448."""

# From memory: ASTM D2270, L = a Y^2 + b Y + c and H = d Y^2 + e Y + f over ranges of Y, the viscosity at 100
# degrees in mm2/s. A row holds the lower end of its range, then a to f. Rows agree at their seams to 0.2 %.
_D2270 = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.475, -72.870, 0.79762, -0.7321, 14.610),
    (7.7, 0.41858, 16.1558, -56.040, 0.05794, 10.5156, -28.240),
    (9.0, 0.88779, 7.5527, -16.600, 0.26665, 6.7015, -10.810),
    (12.0, 0.7672, 10.7972, -38.180, 0.20073, 8.4658, -22.490),
    (15.0, 0.97305, 5.3135, -2.200, 0.28889, 5.9741, -4.930),
    (18.0, 0.97256, 5.25, -0.980, 0.24504, 7.4160, -16.730),
    (22.0, 0.91413, 7.4759, -21.820, 0.20323, 9.1267, -34.230),
    (28.0, 0.87031, 9.7157, -50.770, 0.18411, 10.1015, -46.750),
    (40.0, 0.84703, 12.6752, -133.310, 0.17029, 11.4866, -80.620),
    (55.0, 0.85921, 11.1009, -83.190, 0.1713, 11.3680, -76.940),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)


def walther_constants(nu1: Value, t1_C: Value, nu2: Value, t2_C: Value) -> tuple[Value, Value]:
    """Constants (A, B) through two points of log10 log10(nu + 0.7) = A - B log10(T), in mm2/s and kelvin.

    ``nu1`` and ``nu2`` in m2/s at two different temperatures. For mineral oils, liquid and free of wax. Above
    2 mm2/s; the standard's further terms change the result by under 2 % down to 1 mm2/s. Far beyond the two
    points the straight line is a guess.

    Source, from memory: ASTM D341. The worked example of ASTM D2270 (from memory) has 73.30 mm2/s at 40 and
    8.86 at 100 degrees; the line returns both:

    >>> line = walther_constants(73.30e-6, 40.0, 8.86e-6, 100.0)
    >>> [round(float(viscosity_at(t, *line)) * 1e6, 2) for t in (40.0, 100.0)]
    [73.3, 8.86]
    """
    w1, w2 = (np.log10(np.log10(nu / CENTISTOKE + 0.7)) for nu in (nu1, nu2))
    x1, x2 = np.log10(t1_C + KELVIN), np.log10(t2_C + KELVIN)
    slope = (w1 - w2) / (x2 - x1)
    return w1 + slope * x1, slope


def viscosity_at(t_C: Value, a: Value, b: Value) -> Value:
    """Kinematic viscosity (m2/s) at ``t_C`` from the constants of ``walther_constants``; source there.

    With B = 0 it does not depend on temperature: A = log10 log10(100) makes 100 - 0.7 mm2/s.

    >>> round(float(viscosity_at(25.0, math.log10(2.0), 0.0)) * 1e6, 3)
    99.3
    """
    return (10 ** (10 ** (a - b * np.log10(t_C + KELVIN))) - 0.7) * CENTISTOKE


def reference_oils(nu100: float) -> tuple[float, float]:
    """Viscosities (L, H) at 40 degrees (m2/s) of the oils of index 0 and 100 with ``nu100`` at 100 degrees.

    Quadratic fits of the standard's table; ``nu100`` from 2 mm2/s, else ``ValueError``. Source, from memory:
    ASTM D2270, whose worked example reads L = 119.94 and H = 69.48 mm2/s from the table at 8.86 mm2/s:

    >>> [round(nu * 1e6, 1) for nu in reference_oils(8.86e-6)], round(reference_oils(8.86e-6)[1] * 1e6, 2)
    ([120.0, 69.5], 69.48)
    """
    y = nu100 / CENTISTOKE
    if not y >= _D2270[0][0]:
        raise ValueError(f"no viscosity index below 2 mm2/s at 100 °C (here {y:.3g})")
    _, a, b, c, d, e, f = [row for row in _D2270 if row[0] <= y][-1]
    return (a * y * y + b * y + c) * CENTISTOKE, (d * y * y + e * y + f) * CENTISTOKE


def viscosity_index(nu40: Value, low: Value, high: Value) -> Value:
    """Viscosity index up to 100, procedure A: VI = 100 (L - U) / (L - H), all three in one unit.

    ``nu40`` U at 40 degrees, ``low`` L and ``high`` H of ``reference_oils``.
    Source, from memory: ASTM D2270, worked example:

    >>> round(viscosity_index(73.30, 119.94, 69.48), 2)
    92.43
    """
    return 100 * (low - nu40) / (low - high)


def viscosity_index_above_100(nu40: Value, nu100: Value, high: Value) -> Value:
    """Viscosity index from 100 up, procedure B: VI = 100 + (10^N - 1) / 0.00715, N = log(H / U) / log(Y).

    ``nu40`` U and ``high`` H at 40 degrees, ``nu100`` Y at 100 degrees, all m2/s; Y enters as a number of
    mm2/s. Source, from memory: ASTM D2270, worked example U = 22.83, Y = 5.05, H = 28.97 mm2/s:

    >>> round(float(viscosity_index_above_100(22.83e-6, 5.05e-6, 28.97e-6)))
    156
    """
    n = np.log(high / nu40) / np.log(nu100 / CENTISTOKE)
    return 100 + (10**n - 1) / 0.00715


def viscosity_index_of(nu40: float, nu100: float) -> float:
    """Viscosity index of an oil from its viscosities (m2/s) at 40 and 100 degrees, by either procedure.

    Source: as ``viscosity_index`` and ``viscosity_index_above_100``, and their worked examples:

    >>> round(viscosity_index_of(73.30e-6, 8.86e-6)), round(viscosity_index_of(22.83e-6, 5.05e-6))
    (92, 156)
    """
    low, high = reference_oils(nu100)
    if nu40 >= high:
        return float(viscosity_index(nu40, low, high))
    return float(viscosity_index_above_100(nu40, nu100, high))


def nu100_from_index(nu40: float, index: float) -> float:
    """Viscosity (m2/s) at 100 degrees of an oil of ``nu40`` (m2/s at 40) and viscosity index ``index``.

    The inverse of ``viscosity_index_of``, by bisection from 2 mm2/s to ``nu40``; ``ValueError`` if none there
    has that index. Source, from memory: the worked example of ASTM D2270, backwards:

    >>> round(nu100_from_index(73.30e-6, 92.43) * 1e6, 2)
    8.86
    """
    lo, hi = 2.0 * CENTISTOKE, nu40
    if not (lo < hi and viscosity_index_of(nu40, lo) <= index <= viscosity_index_of(nu40, hi)):
        raise ValueError(
            f"an oil of {nu40 / CENTISTOKE:.4g} mm2/s at 40 °C and viscosity index {index:g} "
            "would lie outside the range of the index at 100 °C (2 mm2/s or more)"
        )
    while hi / lo > 1 + 1e-13:
        middle = math.sqrt(lo * hi)
        if viscosity_index_of(nu40, middle) < index:
            lo = middle
        else:
            hi = middle
    return math.sqrt(lo * hi)


def iso_vg_limits(grade: int) -> tuple[float, float]:
    """Lowest and highest viscosity (m2/s) at 40 degrees of an ISO VG grade: its midpoint less and plus 10 %.

    ``KeyError`` for a number that is no grade. Source, from memory: ISO 3448.

    >>> [tuple(round(nu * 1e6, 1) for nu in iso_vg_limits(grade)) for grade in (32, 46, 68)]
    [(28.8, 35.2), (41.4, 50.6), (61.2, 74.8)]
    """
    middle = ISO_VG[grade] * CENTISTOKE
    return 0.9 * middle, 1.1 * middle
