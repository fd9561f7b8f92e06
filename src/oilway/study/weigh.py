"""Weighing conditions by readings: Gaussian in the tolerances, and any one instrument may be wrong."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from oilway.model.system import Vector
from oilway.study.taken import Taken

WRONG = 0.02  # probability that a gauge or meter is wrong, before any reading (common practice)
TRUSTED = ("stop-watch", "thermometer")
IMPLAUSIBLE = 1e-3  # a misfit this rare, or rarer, explains nothing
OVERLOOKED = -50.0  # log likelihood of a reading taken where a condition has no state at all


@dataclass
class Weighed:
    """Of h conditions: ``log`` likelihood (h,); ``wrong`` (h, i) the share of it in which instrument i is wrong.

    ``best`` (h,) the most likely wrong one, counted from 1, 0 for none; ``misfit`` (h,) the squared distance then.
    """

    log: Vector
    misfit: Vector
    wrong: Vector
    best: NDArray[np.int_]


def weigh(taken: Taken) -> Weighed:
    """Weigh h conditions by the readings taken, each with no instrument wrong and with any one.

    One thing at a time comes first: an instrument wrong *beside* a fault costs :data:`WRONG`; a gauge that is
    wrong by itself is a cause like any other, and is weighed once, as that.
    """
    said, spread, values, owner = taken.said, taken.spread, taken.values, taken.owner
    instruments, barred = taken.instruments, taken.barred
    right = math.log1p(-WRONG) * sum(name not in TRUSTED for name in instruments)
    left = values - said.mean
    slope = said.slope[..., np.abs(said.slope).any(axis=(0, 1))]
    logs, misfits = [], []
    for wrong in range(-1, len(instruments)):
        wide = np.where(owner == wrong, taken.wide, 0.0)
        log, distance = _gaussian(slope, np.hypot(spread, wide), left)
        price = 0.0 if wrong < 0 else -np.inf if instruments[wrong] in TRUSTED else math.log(WRONG / (1 - WRONG))
        logs.append(log + right + price if wrong < 0 else np.where(barred[:, wrong], -np.inf, log + right + price))
        misfits.append(distance)
    every, best = np.array(logs).T, np.argmax(logs, axis=0)
    top = every.max(axis=1, keepdims=True)
    total = top[:, 0] + np.log(np.exp(every - top).sum(axis=1))
    shares = np.exp(every - total[:, None])
    total = np.where(said.possible, total, OVERLOOKED * len(values) + np.minimum(total, 0.0))
    misfit = np.take_along_axis(np.array(misfits), best[None], axis=0)[0]
    wrong_ones = shares[:, 1:] + (taken.claimed[:, None] == np.arange(len(instruments)))
    blamed = np.where((best == 0) & taken.conditions.free, taken.claimed + 1, best)
    return Weighed(np.where(said.known, total, -np.inf), misfit, wrong_ones, blamed)


def _gaussian(slope: Vector, spread: Vector, left: Vector) -> tuple[Vector, Vector]:
    """Log density and squared distance of ``left`` (h, n) under covariance spread^2 + slope slope^T."""
    n = left.shape[1]
    if n == 0:
        return np.zeros(len(left)), np.zeros(len(left))
    # Whitened by the spreads, so that flows and pressures stand side by side; in the smaller of the two spaces.
    scaled, off = slope / spread[..., None], left / spread
    k = scaled.shape[2]
    inner = n > k
    square = scaled.transpose(0, 2, 1) @ scaled if inner else scaled @ scaled.transpose(0, 2, 1)
    lower = np.linalg.cholesky(square + np.eye(min(n, k)))
    right = (scaled.transpose(0, 2, 1) @ off[..., None]) if inner else off[..., None]
    solved = np.linalg.solve(lower, right)[..., 0]
    distance = (solved**2).sum(axis=1)
    if inner:
        distance = np.maximum((off**2).sum(axis=1) - distance, 0.0)
    volume = np.log(np.diagonal(lower, axis1=1, axis2=2)).sum(axis=1) + np.log(spread).sum(axis=1)
    return -0.5 * distance - volume - 0.5 * n * math.log(2 * math.pi), distance


def distances(slope: Vector, spread: Vector, left: Vector) -> Vector:
    """Squared distances (h,) of ``left`` (h, n) under covariance spread^2 + slope slope^T."""
    return _gaussian(slope, spread, left)[1]


def rarity(misfit: float, count: int) -> float:
    """How often a squared distance of ``count`` readings is at least this large by chance.

    Source: E. B. Wilson and M. M. Hilferty, "The distribution of chi-square", Proc. Natl. Acad. Sci. 17 (1931)
    684-688 (from memory).  The upper 5 % point of chi-square at 10 degrees is 18.307 in any table:

    >>> round(rarity(18.307, 10), 3)
    0.05
    """
    if count == 0:
        return 1.0
    share = 2 / (9 * count)
    z = ((misfit / count) ** (1 / 3) - (1 - share)) / math.sqrt(share)
    return 0.5 * math.erfc(z / math.sqrt(2))


def learnt(slope: Vector, spread: Vector, left: Vector) -> tuple[Vector, Vector]:
    """What readings say of the tolerances of one condition: mean (k,) and covariance (k, k), in standard
    deviations.

    ``slope`` (n, k), ``spread`` (n,), ``left`` (n,) the reading less its mean.
    """
    k = slope.shape[1]
    if not len(left):
        return np.zeros(k), np.eye(k)
    scaled = slope / spread[:, None]
    gain = np.linalg.solve(scaled @ scaled.T + np.eye(len(left)), scaled)
    return gain.T @ (left / spread), np.eye(k) - scaled.T @ gain
