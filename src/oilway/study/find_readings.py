"""Readings as typed: 'pump gauge = 2000 psi +- 40 psi @ lever valve +1, stalled'.

An instrument that is moved about is named, and may be described once:

    gauge A: 0 to 5000 psi, 1.6 % of span
    pump line = 3000 psi by gauge A @ boom valve +1, stalled
    curl A = 2900 psi by gauge A @ curl valve +1, stalled
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.tree import Problems, closest
from oilway.study.dictionary import Bench
from oilway.study.instruments import Instrument, read_accuracy, read_span
from oilway.study.offers import HALF, Offer, shared

SEPARATORS = re.compile(r"[;\n]|,(?=[^,;=\n]*=)")  # a comma parts readings only where another 'word=' follows
INSTRUMENT = re.compile(r"\s*([^=:@]+?)\s*:\s*([^=@]+)")  # 'gauge A: 0 to 5000 psi, 1.6 % of span'
BY = re.compile(r"\s+by\s+")
KINDS = ("pressure", "flow")  # of instruments that are moved about
PLUS_MINUS = re.compile(r"\s*(?:±|\+-|\+/-)\s*")
VACUUM = -101325.0  # Pa gauge: no gauge reads lower


@dataclass(frozen=True)
class Reading:
    """One reading: which offer at which set-up (indices of the bench), ``value`` and one standard deviation,
    SI.

    ``by`` names the instrument where it is not the one of the offer; ``ends`` is the part of the spread that it
    shares with all readings of that instrument, as :func:`oilway.study.offers.shared` gives it.
    """

    offer: int
    setup: int
    value: float
    spread: float
    by: str = ""
    ends: tuple[float, float] = (0.0, 0.0)

    @property
    def own(self) -> float:
        """One standard deviation of this reading by itself."""
        return math.sqrt(max(self.spread**2 - self.ends[0] ** 2 - self.ends[1] ** 2, 0.0))


def read_readings(bench: Bench, text: str, where: str = "readings") -> list[Reading]:
    """Readings from text: one a line, or parted by ';' (or ',' before another 'word=').

    '+- x' is the limit of error of the instrument, as a quantity or in percent of the reading; left out, it is
    that of the instrument, or of an ordinary shop instrument.  'by gauge A' names the instrument where it is not
    the one that stays at that place.  '@ set-up' says how the machine was run; left out, as in its file.
    Errors: :class:`InputError` with every reading that is not understood, did you mean.
    """
    problems, found = Problems(), []
    described: dict[str, Instrument] = {}
    for number, line in enumerate(text.split("\n"), start=1):
        place = Place(where, number) if "\n" in text else Place(where)
        for item in SEPARATORS.split(line.partition("#")[0]):
            if match := INSTRUMENT.fullmatch(item):
                _describe(described, match[1], match[2], place, problems)
            elif item.strip():
                found += _one(bench, item, place, described, problems)
    problems.stop_if_any()
    if not found:
        raise InputError(Problem(Place(where), "there is no reading", "write for example 'pump gauge = 2000 psi'"))
    return found


def readings_from(bench: Bench, source: str) -> list[Reading]:
    """Readings from a file where there is one of that name, else from the text itself."""
    path = Path(source)
    try:
        is_file = path.is_file()
    except (OSError, ValueError):
        is_file = False
    if not is_file:
        if "=" not in source:
            raise InputError(Problem(Place(source), "no such file", "or write readings: 'pump gauge = 2000 psi'"))
        return read_readings(bench, source)
    try:
        return read_readings(bench, path.read_text(encoding="utf-8-sig"), path.name)
    except UnicodeDecodeError:
        raise InputError(Problem(Place(path.name), "not UTF-8 text", "save it as UTF-8")) from None


def _describe(described: dict[str, Instrument], name: str, text: str, place: Place, problems: Problems) -> None:
    """Note one instrument, its range and its class."""
    span, _, accuracy = (part.strip() for part in text.partition(","))
    refused: list[QuantityError] = []
    for kind in KINDS:
        try:
            low, high = read_span(span, kind)
            described[name] = Instrument(name, kind, low, high, span, read_accuracy(accuracy, kind), 0.0, 0.0)
            return
        except QuantityError as err:
            refused.append(err)
    problems.add(place, f"{name}: {refused[0].what}", refused[0].hint)


def _one(
    bench: Bench, item: str, place: Place, described: dict[str, Instrument], problems: Problems
) -> list[Reading]:
    said, _, at = item.partition("@")
    word, equals, value = (part.strip() for part in said.partition("="))
    if not equals or not word or not value:
        problems.add(place, f"'{item.strip()}' is not of the form 'reading = value'")
        return []
    try:
        setup = setup_called(bench, at.strip(), place)
        offer = offer_called(bench, word, place)
    except InputError as err:
        for problem in err.problems:
            problems.add(problem.where, problem.what, problem.hint)
        return []
    wanted = bench.panel.offers[offer]
    if not wanted.valid(bench.setups[setup]):
        stalls = [s.name for s in bench.setups if wanted.valid(s)]
        problems.add(place, f"'{word}' is not there to be read at '{bench.setups[setup].name}'",
                     "with '@ " + "' or '@ ".join(stalls[:2]) + "'" if stalls else "")  # fmt: skip
        return []
    try:
        text, *by = BY.split(value, maxsplit=1)
        instrument = _instrument(wanted, by[0], described) if by else None
        reading = _reading(wanted, offer, setup, text, instrument)
        return [replace(reading, by=by[0] if by else "")]
    except QuantityError as err:
        problems.add(place, f"{word}: {err.what}", err.hint)
        return []


def _instrument(wanted: Offer, name: str, described: dict[str, Instrument]) -> Instrument | None:
    """The instrument of a name; an ordinary one, ``None``, where none at all is described."""
    if not described:
        return None
    if name not in described:
        raise QuantityError(f"no instrument '{name}' is described", did_you_mean(name, described))
    found = described[name]
    if found.kind != wanted.kind:
        raise QuantityError(f"'{name}' reads {found.kind}, not {wanted.kind}")
    return found


def _reading(wanted: Offer, offer: int, setup: int, text: str, by: Instrument | None) -> Reading:
    shown, *rest = PLUS_MINUS.split(text, maxsplit=1)
    value = quantity.parse(shown, wanted.kind)
    if wanted.kind == "pressure" and value < VACUUM:
        raise QuantityError(f"{shown} is below a vacuum", "gauge pressure is not below -14.7 psi")
    if by is not None and not by.reaches(value):
        raise QuantityError(f"{shown} is outside the range of {by.column}, {by.written}")
    if not rest:
        spread = wanted.spread(value) if by is None else HALF * by.limit(value)
        return Reading(offer, setup, value, spread, ends=_ends(wanted, by, value, spread))
    if rest[0].endswith("%"):
        limit = abs(value) * quantity.parse(rest[0], "ratio")
    elif wanted.kind == "temperature":
        raise QuantityError("'+-' of a temperature is not understood", "leave it out: 2 K are taken")
    else:
        limit = quantity.parse(rest[0], wanted.kind)
    if not limit > 0:
        raise QuantityError(f"'{rest[0]}' is no limit of error", "it is above 0")
    return Reading(offer, setup, value, HALF * limit, ends=_ends(wanted, by, value, HALF * limit))


def _ends(wanted: Offer, by: Instrument | None, value: float, spread: float) -> tuple[float, float]:
    """What a reading shares with the others of its instrument."""
    if by is not None:
        return shared(spread, (value - by.low) / by.span, wanted.repeats)
    return shared(spread, value / wanted.span if wanted.span else 0.0, wanted.repeats)


def setup_called(bench: Bench, name: str, place: Place) -> int:
    """Index of a set-up; the one of the file for an empty name.  Errors: :class:`InputError`, did you mean."""
    names = [setup.name for setup in bench.setups]
    return _index(name or bench.default, names, place, "way to run this machine")


def offer_called(bench: Bench, name: str, place: Place) -> int:
    """Index of a reading on offer, also by its chamber.  Errors: :class:`InputError`, did you mean."""
    names = [offer.name for offer in bench.panel.offers]
    return _index(_at_chamber(bench, name), names, place, "reading at this machine")


def _at_chamber(bench: Bench, name: str) -> str:
    """'cap line' or 'pressure at cap line' is the gauge fitted there, or one that is screwed in."""
    chamber = name.removeprefix("pressure at ")
    for gauge, part in bench.machine.parts.items():
        if part.kind == "gauge" and part.nodes["at"] == chamber:
            return gauge
    whole = f"pressure at {chamber}"
    return whole if any(offer.name == whole for offer in bench.panel.offers) else name


def _index(name: str, names: Iterable[str], place: Place, what: str) -> int:
    known = list(names)
    if name in known:
        return known.index(name)
    hint = did_you_mean(name, known) or closest(name, known) or "known: " + "; ".join(known)
    raise InputError(Problem(place, f"there is no {what} called '{name}'", hint))
