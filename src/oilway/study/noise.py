"""How far readings of a table may be off: by their instruments where these are described, else by a share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from oilway import quantity
from oilway.model.system import Vector
from oilway.study.instruments import Instrument
from oilway.study.offers import HALF, shared

ORDINARY = 0.01  # of a reading, one standard deviation, where nothing is said
LEAST = 0.02  # of the largest reading: no gauge reads closer, however little it shows


@dataclass(frozen=True)
class Noise:
    """``share`` of a reading, one standard deviation; ``instruments``, by what they read, go before it."""

    share: float = ORDINARY
    instruments: Mapping[str, Instrument] = field(default_factory=dict)

    def spread(self, name: str, value: float, top: float) -> float:
        """One standard deviation (SI) of a reading; ``top`` is the largest of its table."""
        if (by := self.instruments.get(name)) is not None:
            return HALF * by.limit(value)
        return self.share * max(abs(value), LEAST * top)

    def covariance(self, names: list[str], values: Vector) -> Vector:
        """Covariance (n, n) of readings: those of one instrument share its own error."""
        top = float(np.abs(values).max(initial=0.0))
        total = np.array([self.spread(n, float(v), top) for n, v in zip(names, values, strict=True)])
        found = np.diag(total**2)
        ends = np.zeros((len(names), 2))
        for k, (name, value) in enumerate(zip(names, values, strict=True)):
            if (by := self.instruments.get(name)) is not None:
                ends[k] = shared(total[k], (value - by.low) / by.span, by.repeats(float(value)))
        owner = np.array([id(self.instruments.get(name, name)) for name in names])
        same = owner[:, None] == owner[None]
        off = np.where(same, ends @ ends.T, 0.0)
        np.fill_diagonal(off, 0.0)
        return np.asarray(found + off)

    @property
    def words(self) -> str:
        """Where the spread of a reading comes from."""
        told = [f"{by.column} {by.words}" for by in dict.fromkeys(self.instruments.values())]
        rest = f"{quantity.show(self.share, 'ratio')} of each reading, one standard deviation"
        return "; ".join(told) if told else rest
