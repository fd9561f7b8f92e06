"""The numbers of a worksheet: ranges in whole steps, and the seed that draws from them."""

from __future__ import annotations

import hashlib
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

from oilway import quantity
from oilway.errors import Place, QuantityError
from oilway.model.tree import Problems
from oilway.quantity import Units

ROUND = (1.0, 2.0, 2.5, 5.0, 10.0)  # steps that make round numbers, times a power of ten
RANGE = re.compile(r"(?P<low>.+?) to (?P<high>.+?), *step (?P<step>.+)")
Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Range:
    """A range in whole steps: ``low``, ``high`` and ``step`` in ``unit``, of a quantity ``kind``."""

    word: str
    kind: str
    unit: str
    low: float
    high: float
    step: float

    def within(self, units: Units) -> Range:
        """The range in round numbers of the units of a sheet; as typed where its unit belongs to neither."""
        display = quantity.unit(self.kind, units)
        if self.unit == display or self.unit not in (quantity.unit(self.kind, u) for u in ("shop", "metric")):
            return self

        def moved(value: float) -> float:
            return quantity.convert(quantity.parse(f"{value!r} {self.unit}", self.kind), self.kind, display)

        zero = moved(0.0)  # of a temperature
        step = rounded(moved(self.step) - zero)
        low, high = (moved(end) / step for end in (self.low, self.high))
        low, high = step * math.ceil(low - 1e-9), step * math.floor(high + 1e-9)
        return Range(self.word, self.kind, display, low, max(high, low), step)

    @property
    def count(self) -> int:
        """How many numbers there are to draw."""
        return int((self.high - self.low) / self.step + 1e-9) + 1

    def text(self, k: int) -> str:
        """The k-th number with its unit, as a sheet says it."""
        return f"{self.low + k * self.step:.10g} {self.unit}".strip()


def read_range(word: str, text: str, where: Place, problems: Problems) -> Range | None:
    """A range from '1200 psi to 1600 psi, step 50 psi'; what is wrong with it is noted."""
    found = RANGE.fullmatch(text)
    if found is None:
        problems.add(where, f"'{word}' has no range in steps", "write '1200 psi to 1600 psi, step 50 psi'")
        return None
    kind = kind_of(found["step"])
    if kind is None:
        problems.add(where, f"{word}: '{found['step']}' is not one number with its unit")
        return None
    unit = re.sub(r"^[-+0-9.,/ ]*", "", found["step"]).strip()
    try:
        zero = quantity.parse(f"0 {unit}".strip(), kind)
        ends = [quantity.convert(quantity.parse(found[end], kind), kind, unit) for end in ("low", "high")]
        step = quantity.convert(quantity.parse(found["step"], kind), kind, unit)
    except QuantityError as err:
        problems.add(where, f"{word}: {err.what}", err.hint)
        return None
    low, high, step = (float(f"{value:.10g}") for value in (*ends, step))
    if not (step > 0 and high > low and math.isfinite(zero)):
        problems.add(where, f"'{word}' ends where it begins, or its step is not above zero", "smaller value first")
        return None
    return Range(word, kind, unit, low, high, step)


def kind_of(text: str) -> str | None:
    """The first kind of quantity that a text can be."""
    for kind in quantity.KINDS:
        try:
            quantity.parse(text, kind)
        except QuantityError:
            continue
        return kind
    return None


def rounded(step: float) -> float:
    """The round step nearest to another.

    50 psi is 3.45 bar:

    >>> rounded(3.45), rounded(0.37), rounded(1.0)
    (2.5, 0.5, 1.0)
    """
    power = 10.0 ** math.floor(math.log10(step))
    return float(f"{power * min(ROUND, key=lambda r: abs(math.log(r * power / step))):.10g}")


def seed(*words: object) -> int:
    """A whole number of 256 bits that is the same for the same words, on any computer."""
    return int.from_bytes(hashlib.sha256("\x1f".join(str(word) for word in words).encode()).digest(), "big")


def shuffled(things: Sequence[Thing], *words: object) -> list[Thing]:
    """The things in an order that the words decide."""
    left, out, number = list(things), [], seed(*words, "order")
    while left:
        number, k = divmod(number, len(left))
        out.append(left.pop(k))
    return out
