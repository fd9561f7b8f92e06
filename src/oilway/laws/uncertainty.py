"""Doubt of a measurement: from the class of a gauge and the scatter of its readings to one figure, value ± U.

GUM is JCGM 100:2008, Guide to the expression of uncertainty in measurement; sections are cited from memory.
An instrument's class is taken as a limit of error: inside it any error is as likely as any other (GUM 4.3.7).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from oilway.laws.values import Value

COVERAGE = 2.0
"""The coverage factor k: about 95 % for a sum of several doubts (GUM 6.3.3)."""


def span_limit(share: Value, span: Value) -> Value:
    """Limit of error of a gauge whose class is a ``share`` of its ``span``: the same everywhere on the dial.

    Source, from memory: EN 837-1, accuracy classes. Class 1.6 on 0 to 250 bar, in bar:

    >>> round(span_limit(0.016, 250.0), 9)
    4.0
    """
    return share * span


def zoned_limit(middle: float, ends: float, low: float, span: float, reading: float) -> float:
    """Limit of error of a gauge graded by zone: share ``middle`` of the span in its middle half, ``ends`` outside.

    Source, from memory: ASME B40.100; grade A is 1 % in the middle half, 2 % in the first and last quarter.
    0 to 250 bar at 125 and at 240 bar, in bar:

    >>> [zoned_limit(0.01, 0.02, 0.0, 250.0, p) for p in (125.0, 240.0)]
    [2.5, 5.0]
    """
    place = (reading - low) / span
    return (middle if 0.25 <= place <= 0.75 else ends) * span


def rectangular(limit: Value) -> Value:
    """Standard uncertainty of an error anywhere inside ± ``limit``: u = a / sqrt(3).

    Source, from memory: GUM 4.3.7, example 1: the expansion coefficient of copper is known
    within 0.40 of its unit.

    >>> round(float(rectangular(0.40)), 2)
    0.23
    """
    return limit / np.sqrt(3.0)


def combined(doubts: Sequence[float]) -> float:
    """Combined standard uncertainty of independent ones: the root of the sum of squares.

    Each is already as large as its effect on the figure.

    Source, from memory: GUM 5.1.2; its example H.1, a gauge block, in nm:

    >>> round(combined([25.0, 9.7, 2.9, 16.6]))
    32
    """
    return float(np.sqrt(np.sum(np.square(doubts))))


def mean_scatter(values: Sequence[float]) -> float:
    """Standard uncertainty of the mean of repeated readings: s / sqrt(n), two readings or more.

    Source, from memory: GUM 4.2.3, a definition. For 1, 2, 3 the deviation s is 1:

    >>> round(mean_scatter([1.0, 2.0, 3.0]), 4)
    0.5774
    """
    return float(np.std(values, ddof=1) / np.sqrt(len(values)))


def expanded(limits: Sequence[float], scatters: Sequence[float]) -> float:
    """Expanded uncertainty U of limits of error and standard uncertainties of scatter, in one unit.

    U = k u with k = 2 (GUM 6.2.1), save that the largest limit of error counts whole and no more, since nothing
    lies outside it: U^2 = a^2 + (k u)^2, a the largest limit, u all the rest combined. Common practice where one
    limit of error dominates; at worst (two equal limits) it covers 94 %, not 95 %.

    So one gauge alone counts with its class. Class 1.6 on 5000 psi, in psi; two such gauges; scatter alone:

    >>> [round(expanded(*doubts), 1) for doubts in (([80.0], []), ([80.0, 80.0], []), ([], [5.0]))]
    [80.0, 122.2, 10.0]
    """
    ordered = sorted(limits, reverse=True)
    rest = [*(float(rectangular(limit)) for limit in ordered[1:]), *scatters]
    return combined([*ordered[:1], COVERAGE * combined(rest)])


def share_bounds(count: int, of: int, deviations: float = 1.959964) -> tuple[float, float]:
    """Between which shares the true one lies where ``count`` were found among ``of`` drawn at random.

    At 95 % unless another number of standard ``deviations`` is given.  Source: E. B. Wilson, "Probable inference,
    the law of succession, and statistical inference", J. Am. Stat. Assoc. 22 (1927).  Published, from memory, in
    R. G. Newcombe, Statistics in Medicine 17 (1998), table I, method 3: 81 of 263, and none of 20:

    >>> [round(x, 4) for x in share_bounds(81, 263)]
    [0.2553, 0.3662]
    >>> [round(x, 4) for x in share_bounds(0, 20)]
    [0.0, 0.1611]
    """
    share, square = count / of, deviations**2
    middle = share + square / (2 * of)
    half = deviations * math.sqrt(share * (1 - share) / of + square / (4 * of**2))
    low, high = ((middle + sign * half) / (1 + square / of) for sign in (-1, 1))
    return max(low, 0.0), min(high, 1.0)
