"""Two faults at once, looked for where no single one explains the readings.

Pairs are sifted by adding the changes that each fault makes by itself; the best of them are then solved as they
are, and again where sums that begin at this state come closer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from oilway.model.system import Vector
from oilway.study.dictionary import SEVERITIES, SOLVED, Bench, Dictionary, empty_entry, solve_into
from oilway.study.faults import Fault
from oilway.study.find_readings import Reading
from oilway.study.hypotheses import Hypotheses
from oilway.study.taken import Taken, columns
from oilway.study.weigh import distances, rarity

SIFTED = 5  # pairs that are solved
SHOWN = 3
SOLVES = 4  # of one pair
NEAR = (-0.5, 0.0, 0.5)  # of a step of the severities: where a pair is looked at round its best place
STEP = 1 / (len(SEVERITIES) - 1)
ROUGH, BETWEEN = 0.05, 0.02  # of a reading: how far sums, and steps of the severities, are trusted


@dataclass(frozen=True)
class Pair:
    """Two faults at their likeliest severities; ``rarity`` of a misfit as large by chance, ``weight`` among
    pairs.
    """

    faults: tuple[Fault, Fault]
    severities: tuple[float, float]
    rarity: float
    weight: float

    @property
    def name(self) -> str:
        """Both, as a technician says it."""
        return " and ".join(fault.name for fault in self.faults)


def pairs(bench: Bench, dictionary: Dictionary, readings: list[Reading]) -> list[Pair]:
    """The likeliest pairs of faults, best first; takes a few solves a pair and set-up."""
    sums, found = _Sums(bench, dictionary, readings), []
    for f, g, a, b in sums.sifted():
        if (best := _closest(sums, (f, g), (a, b))) is not None:
            misfit, log, at = best
            found.append((log, Pair((bench.faults[f], bench.faults[g]), at, rarity(misfit, len(readings)), 0.0)))
    if not found:
        return []
    weights = np.exp(np.array([log for log, _ in found]) - max(log for log, _ in found))
    weights /= weights.sum()
    weighed = [replace(p, weight=float(w)) for (_, p), w in zip(found, weights, strict=True)]
    return sorted(weighed, key=lambda p: -p.weight)[:SHOWN]


class _Sums:
    """The readings (n,) as sums of what two faults change by themselves."""

    def __init__(self, bench: Bench, dictionary: Dictionary, readings: list[Reading]) -> None:
        self.bench, self.readings = bench, readings
        self.setups, self.offers, self.values = columns(readings)
        at = (slice(None), slice(None), self.setups, self.offers)
        self.sound, self.sound_slope = (
            d[self.setups, self.offers] for d in (dictionary.sound_mean, dictionary.sound_slope)
        )
        self.change = dictionary.mean[at] - self.sound
        self.slope = dictionary.slope[at] - self.sound_slope
        self.solved = (dictionary.status[:, :, self.setups] == SOLVED).all(axis=2)
        self.own = np.array([r.own for r in readings])
        self.shared = Taken(Hypotheses(bench, dictionary), readings).shared
        self.last: dict[int, Vector] = {}  # state of the pair before, by set-up: where the next solve begins

    def sifted(self) -> list[tuple[int, int, float, float]]:
        """Pairs (f, g) and severities whose summed changes come closest, with the tolerances of the sound
        machine.
        """
        spread = np.hypot(self.own, ROUGH * np.abs(self.values))
        slope = np.concatenate([self.sound_slope, self.shared], axis=1)
        covariance = slope @ slope.T + np.diag(spread**2)
        size = np.sqrt(np.diagonal(covariance))
        lower = np.linalg.cholesky(covariance / np.outer(size, size))
        left = np.linalg.solve(lower, (self.values - self.sound) / size)
        change = np.linalg.solve(lower, (np.nan_to_num(self.change) / size)[..., None])[..., 0]
        best = []
        for f, g in combinations(range(len(self.bench.faults)), 2):
            off = left - change[f][:, None] - change[g][None]
            misfit = np.where(self.solved[f][:, None] & self.solved[g][None], (off**2).sum(axis=2), np.inf)
            a, b = np.unravel_index(int(np.argmin(misfit)), misfit.shape)
            best.append((float(misfit[a, b]), f, g, SEVERITIES[a], SEVERITIES[b]))
        return [(f, g, a, b) for misfit, f, g, a, b in sorted(best)[:SIFTED] if np.isfinite(misfit)]

    def moved(self, faults: tuple[int, int], start: tuple[float, float], at: tuple[float, float]) -> Vector:
        """What the readings (n,) change by between two places, each fault by itself; NaN without a state there."""
        change = np.zeros(len(self.values))
        for fault, a, b in zip(faults, start, at, strict=True):
            for severity, sign in ((a, -1), (b, 1)):
                below = min(int(severity / STEP), len(SEVERITIES) - 2)
                ends = self.change[fault, below], self.change[fault, below + 1]
                change += sign * (ends[0] + (severity / STEP - below) * (ends[1] - ends[0]))
        return change

    def slopes_at(self, faults: tuple[int, int], at: tuple[float, float]) -> Vector:
        """Slopes (n, k) of a pair, as the sum of what each fault does to those of the sound machine, and what the
        readings of one instrument share.
        """
        nearest = [round(s * (len(SEVERITIES) - 1)) for s in at]
        both = [self.slope[f, k] for f, k in zip(faults, nearest, strict=True)]
        return np.concatenate([self.sound_slope + both[0] + both[1], self.shared], axis=1)


_Fit = tuple[float, float, tuple[float, float]]  # misfit, log weight and severities


def _closest(sums: _Sums, faults: tuple[int, int], at: tuple[float, float]) -> _Fit | None:
    """How well a pair fits at its best place near two severities; ``None`` without a state at any of them.

    Solved where sums, begun at the solved place that fits best, come closest, as long as that gets better.
    """
    near = [(at[0] + x * STEP, at[1] + y * STEP) for x in NEAR for y in NEAR]
    near = [place for place in near if place != at and all(0.0 <= s <= 1.0 for s in place)]
    best: _Fit | None = None
    anchor, solves = np.zeros(0), 0
    while solves < SOLVES or best is None:
        mean = _solved(sums, faults, at)
        solves += 1
        if mean is not None and (best is None or _fit(sums, faults, at, mean) < best):
            best, anchor = _fit(sums, faults, at, mean), mean
        if not near:
            break
        if best is None:
            at = near.pop(0)
            continue
        guessed = [(_fit(sums, faults, p, anchor + sums.moved(faults, best[2], p))[0], p) for p in near]
        misfit, at = min(guessed)
        near.remove(at)
        if not misfit < best[0]:
            break
    return best


def _solved(sums: _Sums, faults: tuple[int, int], at: tuple[float, float]) -> Vector | None:
    """The readings (n,) of a pair solved at two severities; ``None`` without a state."""
    bench = sums.bench
    changes: dict[str, float] = {}
    for fault, severity in zip(faults, at, strict=True):
        changes |= bench.faults[fault].changes(severity)
    entry = empty_entry(bench)
    for u in sorted({r.setup for r in sums.readings}):
        found = solve_into(bench, entry, u, bench.setups[u], changes, [sums.last.get(u)], sloped=False)
        if found is None:
            return None
        sums.last[u] = found
    return np.asarray(entry.mean[sums.setups, sums.offers])


def _fit(sums: _Sums, faults: tuple[int, int], at: tuple[float, float], mean: Vector) -> _Fit:
    # What is left of a step of the severities counts as the model's own spread.
    spread = np.hypot(sums.own, BETWEEN * np.abs(mean))
    misfit = float(distances(sums.slopes_at(faults, at)[None], spread[None], (sums.values - mean)[None])[0])
    return misfit, -0.5 * misfit - float(np.log(spread).sum()), at
