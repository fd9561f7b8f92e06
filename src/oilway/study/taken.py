"""Readings taken, beside what every condition of a machine says of them: which instrument gave each, and what the
readings of one instrument share.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from oilway.model.system import Vector
from oilway.study.dictionary import Bench
from oilway.study.find_readings import Reading
from oilway.study.hypotheses import SOUND, Hypotheses, Said

WRONG_SHOWS = 0.5  # of the largest reading of its kind: how far off a wrong instrument may be

Index = NDArray[np.int_]


def columns(readings: list[Reading]) -> tuple[Index, Index, Vector]:
    """Set-ups, offers (indices) and values (SI) of readings, each (n,)."""
    return (
        np.array([r.setup for r in readings], dtype=int),
        np.array([r.offer for r in readings], dtype=int),
        np.array([r.value for r in readings], dtype=float),
    )


def common(ends: Vector, owner: Index, count: int) -> Vector:
    """Directions (n, 2 count) in which the errors of instruments move the readings they gave.

    ``ends`` (..., n, 2) is what each reading owes to either end of the scale, one standard deviation, ``owner``
    (n,) the index of its instrument among ``count``, -1 for none of them.
    """
    before = np.shape(ends)[:-2]
    found = np.zeros((*before, len(owner), count, 2))
    known = np.flatnonzero(owner >= 0)
    found[..., known, owner[known], :] = np.reshape(ends, (*before, -1, 2))[..., known, :]
    return found.reshape(*before, len(owner), 2 * count)


@dataclass
class Taken:
    """Readings (n,) of a bench, by ``instruments`` (i,), beside its conditions (h,)."""

    conditions: Hypotheses
    readings: list[Reading]

    @property
    def bench(self) -> Bench:
        """The bench they were taken at."""
        return self.conditions.bench

    @cached_property
    def values(self) -> Vector:
        """What was read (n,), SI."""
        return columns(self.readings)[2]

    @cached_property
    def _by(self) -> list[str]:
        return [r.by or self.bench.panel.offers[r.offer].instrument for r in self.readings]

    @cached_property
    def instruments(self) -> list[str]:
        """Names of the instruments that gave them."""
        return list(dict.fromkeys(self._by))

    @cached_property
    def owner(self) -> Index:
        """Index of the instrument of each reading (n,)."""
        return np.array([self.instruments.index(name) for name in self._by], dtype=int)

    @cached_property
    def shared(self) -> Vector:
        """Directions (n, 2 i) of what the readings of one instrument share."""
        return common(np.array([r.ends for r in self.readings]), self.owner, len(self.instruments))

    @cached_property
    def wide(self) -> Vector:
        """How far off (n,), SI, a wrong instrument may show."""
        top: dict[str, float] = {}
        kinds = [self.bench.panel.offers[r.offer].kind for r in self.readings]
        for kind, r in zip(kinds, self.readings, strict=True):
            top[kind] = max(top.get(kind, 0.0), abs(r.value), 20 * r.spread)
        return np.array([WRONG_SHOWS * top[kind] for kind in kinds])

    @cached_property
    def claimed(self) -> Index:
        """Index of the instrument that each condition itself says is wrong (h,), -1 for none."""
        names = self.conditions.gauge
        return np.array([self.instruments.index(n) if n in self.instruments else -1 for n in names], dtype=int)

    @cached_property
    def barred(self) -> NDArray[np.bool_]:
        """Where a wrong instrument beside a condition (h, i) is what another condition says already.

        A gauge of the file that is wrong on a sound machine is a cause of its own, and a cause that blames a gauge
        does so once.
        """
        said = self.claimed[:, None] == np.arange(len(self.instruments))
        causes = np.isin(self.instruments, self.conditions.gauge)
        return np.asarray(said | ((self.conditions.fault == SOUND)[:, None] & causes))

    @cached_property
    def said(self) -> Said:
        """What every condition says of the readings; slopes with :attr:`shared` behind those of the machine."""
        said = self._machine
        mean = said.mean + self._off / 2 * self.conditions.sign[:, None]
        every = np.broadcast_to(self.shared, (len(mean), *self.shared.shape))
        return replace(said, mean=mean, slope=np.concatenate([said.slope, every], axis=2))

    @cached_property
    def spread(self) -> Vector:
        """One standard deviation (h, n) of instrument, by itself, and model."""
        own = np.array([r.own for r in self.readings])
        model = self.conditions.spread(columns(self.readings)[1], self._machine)
        return np.sqrt(own**2 + model**2 + (self._off / 2) ** 2)

    @cached_property
    def _off(self) -> Vector:
        """How far off (h, n) a condition lets a reading be whose gauge it says is wrong in no steady way."""
        blamed = self.claimed[:, None] == self.owner
        moved = [r.by not in ("", self.bench.panel.offers[r.offer].instrument) for r in self.readings]
        free = self.conditions.free[:, None] | np.array(moved)[None]
        return np.where(blamed & free, self.wide, 0.0)

    @cached_property
    def _machine(self) -> Said:
        """What every condition says; the place of a gauge of the file, read with another, shows what is there."""
        setups, offers, _ = columns(self.readings)
        said = self.conditions.said(setups, offers)
        mean, slope, bent = said.mean.copy(), said.slope.copy(), said.bent.copy()
        for k, r in enumerate(self.readings):
            place = self.bench.panel.offers[r.offer].instrument
            if r.by not in ("", place):
                rows = np.flatnonzero(np.array(self.conditions.gauge) == place)
                mean[rows, k], slope[rows, k], bent[rows, k] = said.mean[0, k], said.slope[0, k], said.bent[0, k]
        return replace(said, mean=mean, slope=slope, bent=bent)
