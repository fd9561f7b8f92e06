"""A figure of a proof: a value with every doubt it carries, and the verdict on it against an entered limit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from oilway.laws.uncertainty import expanded, mean_scatter
from oilway.study.branches import Point
from oilway.study.instruments import Instrument
from oilway.study.readings import Limit, Readings

# Sources of a doubt that one instrument puts on a difference of its own readings.
DIFFERENCE, TURNED = ", difference", ", rising against falling"


class Verdict(StrEnum):
    """Three states: what is neither accepted nor rejected is not proven."""

    accept = "accept"
    reject = "reject"
    not_proven = "not proven"


@dataclass(frozen=True)
class Term:
    """One doubt of a figure, in its unit: a limit of error, or the standard uncertainty of scatter."""

    source: str
    size: float
    scatter: bool = False


@dataclass
class Figure:
    """A figure (SI of ``kind``). ``missing`` says which doubt could not be counted; ``how`` how it was read."""

    name: str
    kind: str
    value: float
    terms: list[Term]
    how: str
    missing: list[str] = field(default_factory=list)

    @property
    def uncertainty(self) -> float:
        """Expanded uncertainty U of what is known of it, :func:`oilway.laws.uncertainty.expanded`."""
        limits = [term.size for term in self.terms if not term.scatter]
        return expanded(limits, [term.size for term in self.terms if term.scatter])

    def largest(self) -> Term | None:
        """The doubt that weighs most."""
        return max(self.terms, key=lambda t: t.size * (math.sqrt(3) if t.scatter else 1.0), default=None)


@dataclass
class Judged:
    """The verdict on one figure: why, and what would prove it."""

    name: str
    limit: Limit
    figure: Figure | None
    verdict: Verdict
    reason: str
    remedies: list[str] = field(default_factory=list)


def decide(value: float, doubt: float, low: float | None, high: float | None) -> Verdict:
    """Accept only if value ± doubt lies inside, reject only if it lies wholly outside, else not proven.

    Guarded acceptance and guarded rejection; source, from memory: JCGM 106:2012, section 8.3.
    Limits ± 50, doubt 80:

    >>> [decide(v, 80.0, -50.0, 50.0).value for v in (0.0, 130.0, 131.0)]
    ['not proven', 'not proven', 'reject']
    >>> decide(10.0, 30.0, -50.0, 50.0).value
    'accept'
    """
    slack = 1e-9 * max(abs(value), doubt)
    above = -math.inf if low is None else low
    below = math.inf if high is None else high
    if above - slack <= value - doubt and value + doubt <= below + slack:
        return Verdict.accept
    if value - doubt > below + slack or value + doubt < above - slack:
        return Verdict.reject
    return Verdict.not_proven


class Bench:
    """The instruments of one sheet, as the doubts they put on a figure."""

    def __init__(self, readings: Readings) -> None:
        self.instruments: Mapping[str, Instrument] = readings.instruments
        self.show = readings.show

    def reading(self, figure: Figure, column: str, value: float, factor: float = 1.0) -> None:
        """Count the limit of error of one reading, which moves the figure by ``factor``."""
        instrument = self.instruments.get(column)
        if instrument is None:
            self._unknown(figure, column)
            return
        if not instrument.reaches(value):
            figure.missing.append(f"{column} reads outside its instrument's range, where no class holds")
        figure.terms.append(Term(column, abs(factor) * instrument.limit(value)))

    def difference(
        self, figure: Figure, column: str, one: float, other: float, factor: float = 1.0, *, turned: bool = False
    ) -> None:
        """Count a difference of two readings of one instrument; ``turned``: one rising, one falling."""
        instrument = self.instruments.get(column)
        if instrument is None:
            self._unknown(figure, column)
            return
        for size in instrument.limits_of_difference(one, other):
            figure.terms.append(Term(f"{column}{DIFFERENCE}", abs(factor) * size))
        if turned:
            figure.terms.append(Term(f"{column}{TURNED}", abs(factor) * instrument.hysteresis))

    def along(
        self, figure: Figure, column: str, place: float, points: Sequence[Point], factor: float = 1.0
    ) -> None:
        """Count the doubt of the place along a branch (its flow) and the scatter of the points read there."""
        slope = sum(point.slope for point in points) / len(points)
        instrument = self.instruments.get(column)
        if instrument is None:
            self._unknown(figure, column)
        elif not instrument.reaches(place):
            figure.missing.append(f"{column} is read outside its instrument's range there, where no class holds")
        else:
            figure.terms.append(Term(column, abs(factor * slope) * instrument.limit(place)))
        size = scatter_of(points)
        if size > 0:
            figure.terms.append(Term("scatter", abs(factor) * size, scatter=True))

    def _unknown(self, figure: Figure, column: str) -> None:
        note = f"no instrument entered for {column}: its range and class"
        if note not in figure.missing:
            figure.missing.append(note)


def scatter_of(points: Sequence[Point]) -> float:
    """Standard uncertainty of the mean of points: from their own spread, or of one from its fit."""
    if len(points) > 1:
        return mean_scatter([point.value for point in points])
    return points[0].scatter


def mean(points: Sequence[Point]) -> float:
    """Mean value of points."""
    return sum(point.value for point in points) / len(points)
