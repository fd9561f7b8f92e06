"""A sweep of readings: which rows rise, which fall, and what was read at a given point of a branch."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from oilway.study.rows import Floats

LOW, HIGH = 0.2, 0.8  # shares of the largest value: a sweep turns below the one and above the other
FIT = 8  # rows near the point, from which a line is fitted instead of drawn between two neighbours
NEAR = 0.04  # share of the swept range, and
NEAR_SHARE = 0.5  # of the point itself, within which rows count as near: the lesser of the two ...
LEAST_NEAR = 0.004  # ... but not less than this share of the range
INDEPENDENT = 10  # a logger's rows follow each other; no more than this many are counted as independent
STANDS = 0.02  # of the largest value: a point this close beyond the last row is read at that row


@dataclass(frozen=True)
class Branch:
    """One way of a sweep: indices (n,) of its rows in the order they were taken."""

    rising: bool
    rows: npt.NDArray[np.int64]


@dataclass(frozen=True)
class Point:
    """What a branch reads at one place: value, slope there, standard uncertainty of the value from scatter."""

    value: float
    slope: float
    scatter: float


def branches(swept: Floats) -> list[Branch]:
    """The ways up and down of a swept column (n,), in the order they were taken; a turning row belongs to both.

    >>> [(b.rising, len(b.rows)) for b in branches(np.array([0.0, 5.0, 9.0, 10.0, 5.0, 0.5, 6.0, 10.0]))]
    [(True, 4), (False, 3), (True, 3)]
    """
    top = float(swept.max(initial=0.0))
    if len(swept) < 2 or top <= 0:
        return []
    side = np.where(swept >= HIGH * top, 1, np.where(swept <= LOW * top, -1, 0))
    marked = np.flatnonzero(side)
    ends = np.flatnonzero(np.diff(side[marked])) + 1
    turns = []
    for run in np.split(marked, ends):
        at = np.argmax(swept[run]) if side[run[0]] > 0 else np.argmin(swept[run])
        turns.append(int(run[at]))
    places = sorted({0, *turns, len(swept) - 1})
    found = []
    for a, b in pairwise(places):
        if abs(swept[b] - swept[a]) >= (HIGH - LOW) * top:
            found.append(Branch(bool(swept[b] > swept[a]), np.arange(a, b + 1)))
    return found


def read_at(swept: Floats, values: Floats, place: float) -> Point | None:
    """What ``values`` (n,) read where ``swept`` (n,) is ``place``; ``None`` where no row comes that far.

    Between two rows on the straight line; from ``FIT`` rows near it or more by the least-squares line, with the
    standard uncertainty of the line there (source, from memory: GUM, example H.3).

    >>> point = read_at(np.array([0.0, 10.0]), np.array([100.0, 300.0]), 5.0)
    >>> point.value, point.slope
    (200.0, 20.0)
    """
    low, high = float(swept.min()), float(swept.max())
    slack = STANDS * high
    if not low <= place <= high + slack or len(swept) < 2:
        return None
    place = min(place, high)
    near = max(min(NEAR * (high - low), NEAR_SHARE * place), LEAST_NEAR * (high - low))
    close = np.abs(swept - place) <= near
    if np.count_nonzero(close) >= FIT and float(np.ptp(swept[close])) > 0:
        return _fitted(swept[close] - place, values[close])
    order = np.argsort(swept, kind="stable")
    xs, ys = swept[order], values[order]
    k = int(np.clip(np.searchsorted(xs, place), 1, len(xs) - 1))
    while k < len(xs) - 1 and xs[k] == xs[k - 1]:
        k += 1
    run = xs[k] - xs[k - 1]
    slope = float((ys[k] - ys[k - 1]) / run) if run > 1e-9 * high else 0.0
    return Point(float(ys[k - 1] + slope * (place - xs[k - 1])), slope, 0.0)


def _fitted(x: Floats, y: Floats) -> Point:
    """The least-squares line at x = 0."""
    mean = float(x.mean())
    spread = float(np.sum((x - mean) ** 2))
    slope = float(np.sum((x - mean) * (y - y.mean()))) / spread
    value = float(y.mean()) - slope * mean
    left = float(np.sqrt(np.sum((y - value - slope * x) ** 2) / max(len(x) - 2, 1)))
    counted = min(len(x), INDEPENDENT)
    return Point(value, slope, left * float(np.sqrt(1 / counted + mean**2 / spread * len(x) / counted)))
