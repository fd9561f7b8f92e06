"""Readings as typed: 'pump gauge = 2000 psi +- 40 psi @ lever valve +1, stalled'."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.tree import Problems, closest
from oilway.study.dictionary import Bench
from oilway.study.offers import Offer

SEPARATORS = re.compile(r"[;\n]|,(?=[^,;=\n]*=)")  # a comma parts readings only where another 'word=' follows
PLUS_MINUS = re.compile(r"\s*(?:±|\+-|\+/-)\s*")
VACUUM = -101325.0  # Pa gauge: no gauge reads lower


@dataclass(frozen=True)
class Reading:
    """One reading: which offer at which set-up (indices of the bench), ``value`` and one standard deviation,
    SI.
    """

    offer: int
    setup: int
    value: float
    spread: float


def read_readings(bench: Bench, text: str, where: str = "readings") -> list[Reading]:
    """Readings from text: one a line, or parted by ';' (or ',' before another 'word=').

    '+- x' is the limit of error of the instrument, as a quantity or in percent of the reading; left out, it is
    that of an ordinary shop instrument.  '@ set-up' says how the machine was run; left out, as in its file.
    Errors: :class:`InputError` with every reading that is not understood, did you mean.
    """
    problems, found = Problems(), []
    for number, line in enumerate(text.split("\n"), start=1):
        place = Place(where, number) if "\n" in text else Place(where)
        for item in SEPARATORS.split(line.partition("#")[0]):
            if item.strip():
                found += _one(bench, item, place, problems)
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


def _one(bench: Bench, item: str, place: Place, problems: Problems) -> list[Reading]:
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
        return [_reading(wanted, offer, setup, value)]
    except QuantityError as err:
        problems.add(place, f"{word}: {err.what}", err.hint)
        return []


def _reading(wanted: Offer, offer: int, setup: int, text: str) -> Reading:
    shown, *rest = PLUS_MINUS.split(text, maxsplit=1)
    value = quantity.parse(shown, wanted.kind)
    if wanted.kind == "pressure" and value < VACUUM:
        raise QuantityError(f"{shown} is below a vacuum", "gauge pressure is not below -14.7 psi")
    if not rest:
        return Reading(offer, setup, value, wanted.spread(value))
    if rest[0].endswith("%"):
        limit = abs(value) * quantity.parse(rest[0], "ratio")
    elif wanted.kind == "temperature":
        raise QuantityError("'+-' of a temperature is not understood", "leave it out: 2 K are taken")
    else:
        limit = quantity.parse(rest[0], wanted.kind)
    if not limit > 0:
        raise QuantityError(f"'{rest[0]}' is no limit of error", "it is above 0")
    return Reading(offer, setup, value, limit / 2)


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
