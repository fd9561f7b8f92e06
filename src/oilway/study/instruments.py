"""Instruments of a test: range and class as entered, and the limit of error that follows at a reading."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from oilway import quantity
from oilway.errors import Place, QuantityError
from oilway.laws.uncertainty import span_limit, zoned_limit
from oilway.model.tree import Block, Problems, Text, check_keys, text_of

# Grades by zone, share of span (middle half, ends). Source, from memory: ASME B40.100.
GRADES = {"A": (0.01, 0.02), "B": (0.02, 0.03), "1A": (0.01, 0.01), "2A": (0.005, 0.005), "3A": (0.0025, 0.0025)}
# Permissible systematic error of measurement classes A, B, C: share of the reading (pressure above 2 bar gauge,
# and flow), and kelvin. Source, from memory: the class table of ISO 6403, 4411 and 9110; where the standard of a
# test says otherwise, its class is typed as '+-' or as a share.
MEASUREMENT = {"A": (0.005, 0.5), "B": (0.015, 1.0), "C": (0.025, 2.0)}
CLASSES = (0.1, 0.25, 0.6, 1.0, 1.6, 2.5)  # % of span, preferred. Source, from memory: EN 837-1
KEYS = ("id", "range", "class", "reads to", "hysteresis", "calibrated", "at")
SAME = "same as "  # the instrument of another column
BEYOND = 1e12  # Pa, m3/s ...: no range of anything
T = TypeVar("T")
ASSUMED = {"reads to": 0.5, "hysteresis": 1.0}  # of the limit of error, where it is not entered
WORDS = "write '1.6 % of span', '0.5 % of reading', '+-2 K', 'grade A' or 'measurement class B'"


@dataclass(frozen=True)
class Accuracy:
    """A class as entered: ``form`` is span, reading, fixed or zones; ``sizes`` its shares, SI when fixed."""

    text: str
    form: str
    sizes: tuple[float, ...]


@dataclass(frozen=True)
class Instrument:
    """One instrument: range (SI), class, and what it is called.

    ``written`` is the range as entered; ``reads_to`` the smallest step read, ``hysteresis`` the most that it reads
    apart rising and falling, both in SI.
    """

    column: str
    kind: str
    low: float
    high: float
    written: str
    accuracy: Accuracy
    reads_to: float
    hysteresis: float
    ident: str = ""
    calibrated: str = ""
    at: str = ""
    assumed: tuple[str, ...] = ()

    @property
    def span(self) -> float:
        """Width of the range."""
        return self.high - self.low

    def limit(self, reading: float) -> float:
        """Limit of error (SI) at a reading; the class holds for what is read, so the eye is in it."""
        sizes = self.accuracy.sizes
        if self.accuracy.form == "span":
            return float(span_limit(sizes[0], self.span))
        if self.accuracy.form == "reading":
            return sizes[0] * abs(reading)
        if self.accuracy.form == "zones":
            return zoned_limit(sizes[0], sizes[1], self.low, self.span, reading)
        return sizes[0]

    def limits_of_difference(self, one: float, other: float) -> list[float]:
        """Limits of error of a difference of two readings of this same instrument.

        Its error is taken as a straight line inside its class over the span (common practice): the zero drops out
        and twice the class of the *difference* stays.  Each reading adds half of what the instrument is read to.
        """
        share = max(self.limit(one), self.limit(other)) / self.span
        return [2 * share * abs(one - other), self.reads_to / 2, self.reads_to / 2]

    def repeats(self, reading: float) -> float:
        """Share of the spread at a reading that is new each time: what the eye adds, and which way it was reached.

        The rest is the instrument's own error, the same in all of its readings (common practice).
        """
        limit = self.limit(reading)
        return min(1.0, math.hypot(self.reads_to / 2, self.hysteresis / 2) / limit) if limit > 0 else 1.0

    def reaches(self, reading: float) -> bool:
        """Whether a reading lies inside the range."""
        slack = 1e-9 * self.span
        return self.low - slack <= reading <= self.high + slack

    @property
    def words(self) -> str:
        """Range and class as entered."""
        return f"{self.written}, {self.accuracy.text}"


def read_accuracy(text: str, kind: str) -> Accuracy:
    """A class as typed.  Errors: :class:`QuantityError`.

    >>> read_accuracy("1.6 % of span", "pressure").sizes, read_accuracy("measurement class B", "flow").form
    ((0.016,), 'reading')
    """
    plain = " ".join(text.replace("±", "+-").split())
    if match := re.fullmatch(r"([0-9.]+) ?% of (span|full scale|range|reading)", plain, re.I):
        form = "reading" if match[2].lower() == "reading" else "span"
        return Accuracy(plain, form, (float(match[1]) / 100,))
    if match := re.fullmatch(r"grade (\w+)", plain, re.I):
        if match[1].upper() in GRADES:
            return Accuracy(plain, "zones", GRADES[match[1].upper()])
        raise QuantityError(f"'{text}': grades known are {', '.join(GRADES)}", WORDS)
    if match := re.fullmatch(r"measurement class ([ABC])", plain, re.I):
        share, kelvin = MEASUREMENT[match[1].upper()]
        fixed = kind == "temperature"
        return Accuracy(plain, "fixed" if fixed else "reading", (kelvin if fixed else share,))
    if plain.startswith("+-"):
        return Accuracy(plain.replace("+-", "±"), "fixed", (abs(difference(plain[2:].strip(), kind)),))
    hint = f"of span or of reading? {WORDS}" if re.fullmatch(r"[0-9.]+ ?%?", plain) else WORDS
    raise QuantityError(f"'{text}' is no accuracy class", hint)


def difference(text: str, kind: str) -> float:
    """Size of a step such as "5 K" or "9 F", in the inner unit of its kind, without the zero of the scale.

    >>> round(difference("9 F", "temperature"), 9), round(difference("5 K", "temperature"), 9)
    (5.0, 5.0)
    """
    unit_text = re.sub(r"^[-+0-9., /]+", "", text)
    zero = quantity.parse(f"0 {unit_text}", kind) if unit_text else 0.0
    return quantity.parse(text, kind) - zero


def read_span(text: str, kind: str) -> tuple[float, float]:
    """Both ends of "0 to 5000 psi" or "1 gpm to 60 gpm" (SI).  Errors: :class:`QuantityError`.

    >>> [round(p / 1e5, 6) for p in read_span("0 to 250 bar", "pressure")]
    [0.0, 250.0]
    """
    low, found, high = text.partition(" to ")
    if not found:
        raise QuantityError(f"'{text}' is no range", f"write '0 to {quantity.KINDS[kind].example}'")
    if re.fullmatch(r"[-+0-9., /]+", low.strip()):
        low += " " + re.sub(r"^[-+0-9., /]+", "", high.strip())
    ends = quantity.parse(low, kind), quantity.parse(high, kind)
    if ends[0] >= ends[1]:
        raise QuantityError(f"'{text}' does not run from low to high")
    return ends


def read_instrument(column: str, kind: str, block: Block, problems: Problems) -> Instrument | None:
    """One entry of ``instruments``; what is wrong is noted and ``None`` returned."""
    owner, before = f"instrument {column}", len(problems.found)
    check_keys(block, KEYS, problems, owner)

    def taken(key: str, read: Callable[[str], T]) -> T | None:
        text = text_of(block, key, problems, owner)
        return noted(block.place(key), text, read, problems, owner) if text else None

    span = taken("range", lambda text: read_span(text, kind))
    accuracy = taken("class", lambda text: read_accuracy(text, kind))
    if span is None or accuracy is None:
        return None
    written = text_of(block, "range", problems, owner)
    bare = Instrument(column, kind, *span, written, accuracy, 0.0, 0.0)
    limit = bare.limit((bare.low + bare.high) / 2)
    if max(limit, bare.span) > BEYOND:
        problems.add(block.where, f"{owner}: no instrument has such a range or class")
    reads_to, hysteresis = (
        (taken(key, lambda text: abs(difference(text, kind))) or 0.0) if key in block.items else share * limit
        for key, share in ASSUMED.items()
    )
    ident, calibrated, at = (text_of(block, key, problems, owner, "") for key in ("id", "calibrated", "at"))
    if len(problems.found) > before:
        return None
    assumed = tuple(key for key in ASSUMED if key not in block.items)
    return Instrument(
        column, kind, *span, written, accuracy, reads_to, hysteresis, ident, calibrated, at, assumed
    )  # fmt: skip


def read_instruments(
    block: Block, known: Mapping[str, tuple[str, str]], problems: Problems
) -> dict[str, Instrument]:
    """All entries of ``instruments`` by column; ``known`` has the kind of quantity and the meaning of each.

    What is wrong is noted and left out.
    """
    found: dict[str, Instrument] = {}
    same: dict[str, str] = {}
    for column, entry in block.items.items():
        place = block.place(column)
        if column not in known:
            problems.unknown_key(place, "instruments", column, known)
        elif isinstance(entry, Text) and entry.text.startswith(SAME):
            same[column] = entry.text.removeprefix(SAME).strip()
        elif isinstance(entry, Block):
            instrument = read_instrument(column, known[column][0], entry, problems)
            if instrument is not None:
                found[column] = instrument
        else:
            problems.add(place, f"instrument {column}: give its range and class", "or 'same as P'")
    for column, other in same.items():
        if other in found and known[other][0] == known[column][0]:
            found[column] = found[other]
        elif not problems.found:
            problems.add(block.place(column), f"instrument {column}: there is no {other} of its kind here")
    return found


def noted(where: Place, text: str, read: Callable[[str], T], problems: Problems, owner: str) -> T | None:
    """What ``read`` makes of a text, or ``None`` with the refusal noted at its place."""
    try:
        return read(text)
    except QuantityError as err:
        problems.add(where, f"{owner}: {err.what}", err.hint)
        return None
