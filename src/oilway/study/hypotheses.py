"""What each condition of a machine says of readings: means and spreads along the severities of every fault.

The path of a fault through its severities is cut into short pieces.  A piece is a line of readings, even along its
length: its middle, and its direction as one more thing that is not known, beside the tolerances of the machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from oilway.model.system import Vector
from oilway.study.dictionary import IMPOSSIBLE, SEVERITIES, SOLVED, Bench, Dictionary

PIECES = 2  # between two severities of the dictionary
EVEN = 1 / np.sqrt(12)  # standard deviation of what lies evenly between 0 and 1
SOUND = -1
GAUGE = "gauge"  # what a fault of a gauge is on
# What the model itself may be off by, one standard deviation: a share of the reading and a floor by its kind, SI.
MODEL_SHARE = 0.005
LOOSE = 1e7  # Pa: oil that is shut in on all sides
ALONG = 2  # directions of a piece behind the tolerances: along it, and how deep it sags between two severities
SAGGING, KINKED = 0.6, 0.25  # of the sag: what is not sure of it, for all readings alike and for each by itself
CURVATURE = 0.4  # of slope^2 over the reading: 1/3 for a cube, 1/2 for an exponential
MODEL_LEAST = {"pressure": 1.4e4, "flow": 2e-7, "velocity": 3e-7, "rotation": 1 / 600, "temperature": 0.5}

Index = NDArray[np.int_]


@dataclass
class Said:
    """What h conditions say of n readings: ``mean`` (h, n), ``slope`` (h, n, k), ``possible`` and ``known`` (h,).

    The last ``ALONG`` directions of ``slope`` are those of the piece; ``bent`` (h, n) is what is left, and how far
    oil that is shut in may stand from where the solve left it.
    ``known`` is False where a set-up could not be solved, ``possible`` where the machine could not stand in it.
    """

    mean: Vector
    slope: Vector
    bent: Vector
    possible: NDArray[np.bool_]
    known: NDArray[np.bool_]


@dataclass
class Hypotheses:
    """The conditions a machine may be in: sound, or with one fault at one piece of its severities.

    Last come those with a gauge wrong in no steady way, one for each fault of a gauge: the machine is sound, and
    the gauge shows less, or more, by what it likes.
    """

    bench: Bench
    dictionary: Dictionary

    @cached_property
    def _pieces(self) -> tuple[Index, Index, Vector]:
        """Fault, severity index below and share of the way to the next, of each piece's middle; sound first."""
        faults = len(self.bench.faults)
        below = np.repeat(np.arange(len(SEVERITIES) - 1), PIECES)
        share = np.tile((np.arange(PIECES) + 0.5) / PIECES, len(SEVERITIES) - 1)
        owner = np.repeat(np.arange(faults), len(below))
        wrong = np.array([k for k, fault in enumerate(self.bench.faults) if fault.kind.on == GAUGE], dtype=int)
        return (
            np.concatenate([[SOUND], owner, wrong]),
            np.concatenate([[0], np.tile(below, faults), np.zeros_like(wrong)]),
            np.concatenate([[0.0], np.tile(share, faults), np.zeros(len(wrong))]),
        )

    @cached_property
    def free(self) -> NDArray[np.bool_]:
        """Which conditions have a gauge wrong in no steady way (h,)."""
        steady = 1 + len(self.bench.faults) * PIECES * (len(SEVERITIES) - 1)
        return np.arange(len(self.fault)) >= steady

    @cached_property
    def gauge(self) -> list[str]:
        """The gauge that each condition says is wrong (h,), empty for none."""
        found = [fault.site.owner if fault.kind.on == GAUGE else "" for fault in self.bench.faults]
        return ["" if f == SOUND else found[f] for f in self.fault]

    @cached_property
    def sign(self) -> Vector:
        """Which way a gauge wrong in no steady way is off (h,); 0 elsewhere."""
        d, found = self.dictionary, np.zeros(len(self.fault))
        for row in np.flatnonzero(self.free):
            change = d.mean[self.fault[row], -1] - d.sound_mean
            found[row] = np.sign(np.nansum(change))
        return found

    @property
    def fault(self) -> Index:
        """Index of the fault of each condition (h,), ``SOUND`` for none."""
        return self._pieces[0]

    @property
    def below(self) -> Index:
        """Index of the severity of the dictionary just below each condition (h,)."""
        return self._pieces[1]

    @property
    def severity(self) -> Vector:
        """Severity at the middle of each condition (h,)."""
        _, below, share = self._pieces
        grid = np.array(SEVERITIES)
        return np.asarray(grid[below] + share * (grid[below + 1] - grid[below]))

    @property
    def prior(self) -> Vector:
        """Probability of each condition before any reading (h,): every fault alike, and its severities.

        A gauge is held to be wrong in no steady way as often as in a steady one.
        """
        steady = np.bincount(self.fault[~self.free] + 1)
        both = np.isin(self.fault, self.fault[self.free])
        alone = np.where(self.free, 1.0, 1.0 / steady[self.fault + 1])
        return np.asarray(alone * np.where(both, 0.5, 1.0) / len(steady))

    def said(self, setups: Index, offers: Index, rows: Index | None = None) -> Said:
        """What every condition, or those of ``rows``, says of readings (n,) given by set-up and offer."""
        rows = np.arange(len(self.fault)) if rows is None else rows
        sound = (self.fault[rows] == SOUND) | self.free[rows]  # a machine of which the file is true
        found = self._as_sound(setups, offers, len(rows))
        if not sound.all():
            other = self._with_faults(setups, offers, rows[~sound])
            for name in ("mean", "slope", "bent", "possible", "known"):
                getattr(found, name)[~sound] = getattr(other, name)
        return found

    def _as_sound(self, setups: Index, offers: Index, count: int) -> Said:
        """What so many conditions say in which nothing is wrong with the machine itself."""
        d = self.dictionary
        mean, slope = d.sound_mean[setups, offers], d.sound_slope[setups, offers]
        slope = np.concatenate([slope, np.zeros((len(setups), ALONG))], axis=1)
        bent = np.where(d.sound_loose[setups, offers] > 0, LOOSE, d.sound_bent[setups, offers])
        known = bool(np.isfinite(mean).all())
        mean, slope, bent = (np.repeat(a[None], count, axis=0) for a in (np.nan_to_num(mean), slope, bent))
        return Said(mean, slope, bent, np.full(count, True), np.full(count, known))

    def _with_faults(self, setups: Index, offers: Index, rows: Index) -> Said:
        d = self.dictionary
        fault, below, share = self.fault[rows], self.below[rows], self._pieces[2][rows]
        (m0, g0, s0), (m1, g1, s1) = (self._ends(fault, below + k, setups, offers) for k in (0, 1))
        # Where one end has no state the other speaks for the whole piece.
        lame0, lame1 = s0 != SOLVED, s1 != SOLVED
        for ends in ((m0, m1), (g0, g1)):
            ends[0][lame0], ends[1][lame1] = ends[1][lame0], ends[0][lame1]
        part = share[:, None]
        mean = (1 - part) * m0 + part * m1
        along = np.nan_to_num((m1 - m0) / PIECES * EVEN)
        worse = np.where(part < 0.5, s0, s1)
        sag, kinked = self._sag(fault, below, share, setups, offers)
        mean -= sag
        g0 *= 1 - part[..., None]  # in place: of all that is said this is much the largest
        g1 *= part[..., None]
        g0 += g1
        slope = np.concatenate([g0, along[..., None], SAGGING * sag[..., None]], axis=2)
        loose = np.maximum(*(d.loose[fault[:, None], (below + k)[:, None], setups, offers] for k in (0, 1)))
        bent = np.where(loose > 0, LOOSE, np.hypot(KINKED * kinked, d.sound_bent[setups, offers]))
        dead = (worse == IMPOSSIBLE).any(axis=1)
        blind = ~np.isfinite(mean).all(axis=1)
        return Said(np.nan_to_num(mean), slope, bent, ~dead, ~blind | dead)

    def _sag(
        self, fault: Index, below: Index, share: Vector, setups: Index, offers: Index
    ) -> tuple[Vector, Vector]:
        """How far a parabola through the grid lies below its chord, and the size of that whatever its sign."""
        mean = self.dictionary.mean[:, :, setups, offers]
        second = np.nan_to_num(mean[:, :-2] - 2 * mean[:, 1:-1] + mean[:, 2:])
        last = second.shape[1] - 1
        here = [second[fault, np.clip(below + k, 0, last)] for k in (-1, 0)]
        at = (share * (1 - share) / 2)[:, None]
        return (here[0] + here[1]) / 2 * at, np.maximum(*np.abs(here)) * at

    def _ends(self, fault: Index, at: Index, setups: Index, offers: Index) -> tuple[Vector, Vector, Vector]:
        d = self.dictionary
        rows, columns = fault[:, None], at[:, None]
        return (
            d.mean[rows, columns, setups[None], offers[None]],
            d.slope[rows, columns, setups[None], offers[None]],
            d.status[rows, columns, setups[None]],
        )

    def spread(self, offers: Index, said: Said) -> Vector:
        """One standard deviation (h, n) of the model itself at readings of these offers.

        Its share and floor, and what straight slopes leave out of curved ones (clearance cubed, viscosity).
        """
        least = np.array([MODEL_LEAST[self.bench.panel.offers[r].kind] for r in offers])
        slope = said.slope[..., :-ALONG]
        square = np.einsum("...k,...k->...", slope, slope)
        size = np.maximum(np.abs(said.mean), np.sqrt(square))
        bent = CURVATURE * np.divide(square, size, out=np.zeros_like(square), where=size > 0)
        return np.asarray(np.sqrt(least**2 + (MODEL_SHARE * said.mean) ** 2 + bent**2 + said.bent**2))
