"""Measured on the bench after stripping: what was found, in the words of the bench, as values of the model."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from oilway import quantity
from oilway.elements.base import Part
from oilway.elements.record import Record
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.catalogue import kinds
from oilway.model.machine import Machine
from oilway.model.parts import legal_range
from oilway.model.tree import Problems, Text, block_of, check_format, check_keys, read_file, text_of

KEYS = ("format", "note", "found", "limits", "source of limits")
# Words of the bench beside the keys of a part, by kind of part: how each is written.
BENCH_WORDS = {
    "spring": {"free length": "'31.5 mm of 32 mm' (found, new)", "force": "'120 N at 24 mm' (at a length)"},
    "orifice": {"gauge wire": "'0.60 mm to 0.65 mm' (goes, does not go), or the wire that just goes"},
    "poppet seat": {"seat width": "'0.4 mm' (the bright ring, along the cone)"},
}
WIRE = ("wire diameter", "mean diameter", "active coils")


@dataclass
class Found:
    """What was found: ``texts`` by 'part.key' with their places, and the values (SI) by part that follow.

    ``notes`` say how a word of the bench was taken.
    """

    texts: dict[str, Text]
    values: dict[str, dict[str, float | str | None]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def put(self, part: str, key: str, value: float | None) -> None:
        """Give a key of a part its value."""
        self.values.setdefault(part, {})[key] = value

    def into(self, machine: Machine) -> Machine:
        """A machine with these values in its parts."""
        for name, values in self.values.items():
            machine = machine.with_part(name, values)
        return machine


def read_findings(path: Path) -> tuple[dict[str, Text], dict[str, Text], str]:
    """What a findings file says: found and limits, each by name, and where the limits are from.

    Errors: :class:`InputError` with every problem of the file's frame.
    """
    tree, problems = read_file(path), Problems()
    check_format(tree, problems)
    check_keys(tree, KEYS, problems, "findings file")
    told = []
    for key in ("found", "limits"):
        block = block_of(tree, key, problems, "findings file")
        texts = {name: text_of(block, name, problems, key) for name in block.items}
        told.append({name: Text(text, block.place(name)) for name, text in texts.items() if text})
    source = text_of(tree, "source of limits", problems, "findings file", "")
    problems.stop_if_any()
    return told[0], told[1], source


def read_found(bench: Machine, texts: Mapping[str, Text]) -> Found:
    """Values of the parts of a valve on its stand, from what was found of them.

    Errors: :class:`InputError` naming every part, key or text that cannot be used.
    """
    found, problems = Found(dict(texts)), []
    # A force needs the free length, so that one comes first.
    for word in sorted(texts, key=lambda w: w.endswith(".force")):
        item = texts[word]
        try:
            part, key = _part_and_key(bench, word)
            _take(bench, found, part, key, item.text)
        except QuantityError as err:
            problems.append(Problem(item.where, f"{word}: {err.what}", err.hint))
    if problems:
        raise InputError(problems)
    return found


def words_of(part: Part) -> dict[str, str]:
    """What can be found of a part and how it is written: its own keys and the words of the bench."""
    own = {r.name: quantity.article(quantity.KINDS[r.kind].noun) for r in _measured(part)}
    return {**own, **BENCH_WORDS.get(part.kind, {})}


def _measured(part: Part) -> list[Record]:
    return [r for r in kinds()[part.kind].records if r.is_quantity and not r.fixed]


def _part_and_key(bench: Machine, word: str) -> tuple[Part, str]:
    name, _, key = word.rpartition(".")
    if not name:
        raise QuantityError("says no part", "write 'part.key', for example 'main orifice.diameter'")
    part = bench.parts.get(name)
    if part is None:
        hint = did_you_mean(name, bench.parts) or "parts: " + ", ".join(bench.parts)
        raise QuantityError(f"there is no part '{name}' in this valve", hint)
    known = words_of(part)
    if key not in known:
        hint = did_you_mean(key, known) or "known of it: " + ", ".join(known)
        raise QuantityError(f"nothing called '{key}' is measured of {quantity.article(part.kind)}", hint)
    return part, key


def _take(bench: Machine, found: Found, part: Part, key: str, text: str) -> None:
    special = {"free length": _free_length, "force": _force, "gauge wire": _wire, "seat width": _seat_width}
    if key in BENCH_WORDS.get(part.kind, {}):
        special[key](bench, found, part, text)
        return
    record = next(r for r in _measured(part) if r.name == key)
    value = quantity.parse(text, record.kind)
    if not record.low <= value <= record.high:
        raise QuantityError(f"{text} is outside its legal range", legal_range(record))
    if part.kind == "spring" and key == "rate":
        _rate(found, part, value)
    elif part.kind == "poppet seat" and key == "diameter":
        _seat(bench, found, part, value)
    else:
        found.put(part.name, key, value)


def _two(text: str, between: str, first: str, second: str, how: str) -> tuple[float, float]:
    """Two quantities with a word between them."""
    one, word, other = re.split(rf"\s({between})\s", f" {text} ", maxsplit=1) if between in text else ("", "", "")
    if not word:
        raise QuantityError(f"'{text}' is not written like this", f"write {how}")
    return quantity.parse(one.strip(), first), quantity.parse(other.strip(), second)


# -- words of the bench ------------------------------------------------------------------------------------
def _free_length(_: Machine, found: Found, part: Part, text: str) -> None:
    measured, new = _two(text, "of", "length", "length", BENCH_WORDS["spring"]["free length"])
    if not (measured > 0 and new > 0):
        raise QuantityError("a free length is above zero")
    found.put(part.name, "compression", float(part.values["compression"] or 0.0) - (new - measured))
    change = quantity.show(abs(new - measured), "length")
    word = "less" if measured < new else "more"
    found.notes.append(f"{part.name}: {change} {word} free length is as much {word} compression at the same turns")


def _force(_: Machine, found: Found, part: Part, text: str) -> None:
    force, length = _two(text, "at", "force", "length", BENCH_WORDS["spring"]["force"])
    given = found.texts.get(f"{part.name}.free length")
    if given is None:
        raise QuantityError("a force at a length gives the rate only with the free length", "find that too")
    free, _new = _two(given.text, "of", "length", "length", BENCH_WORDS["spring"]["free length"])
    if not (0 < length < free and force > 0):
        raise QuantityError("the length under force lies between zero and the free length")
    _rate(found, part, force / (free - length))
    rate = quantity.show(force / (free - length), "rate")
    found.notes.append(f"{part.name}: its force over what it is compressed by is a rate of {rate}")


def _rate(found: Found, part: Part, rate: float) -> None:
    found.put(part.name, "rate", rate)
    for key in WIRE:  # the rate is given now, not computed from the wire
        found.put(part.name, key, None)


def _wire(_: Machine, found: Found, part: Part, text: str) -> None:
    if " to " not in text:
        found.put(part.name, "diameter", quantity.parse(text, "length"))
        found.notes.append(f"{part.name}: taken as wide as the wire that just goes")
        return
    goes, not_any_more = _two(text, "to", "length", "length", BENCH_WORDS["orifice"]["gauge wire"])
    if not 0 < goes < not_any_more:
        raise QuantityError("the wire that goes is thinner than the one that does not")
    found.put(part.name, "diameter", 0.5 * (goes + not_any_more))
    half = quantity.show(0.5 * (not_any_more - goes), "length")
    found.notes.append(f"{part.name}: taken midway between the two wires, give or take {half}")


def _seat_width(bench: Machine, found: Found, part: Part, text: str) -> None:
    width = quantity.parse(text, "length")
    if not width > 0:
        raise QuantityError("a seat width is above zero")
    # Shut, pressure falls about evenly across the ring: it counts to the middle of it (common practice).
    grown = width * math.sin(float(part.values["half angle"] or 0.0))
    _seat(bench, found, part, float(part.values["diameter"] or 0.0) + grown)
    found.notes.append(
        f"{part.name}: pressure counts to the middle of the ring, {quantity.show(grown, 'length')} wider"
    )


def _seat(bench: Machine, found: Found, part: Part, diameter: float) -> None:
    """The seat, and the faces on the same part that end at its edge, with it."""
    old = part.values["diameter"]
    found.put(part.name, "diameter", diameter)
    for face in bench.parts.values():
        if face.kind != "face" or face.nodes["chamber"] != part.nodes["from"]:
            continue
        if face.values["on"] == part.values["on"] and face.values["diameter"] == old:
            found.put(face.name, "diameter", diameter)
            found.notes.append(f"{face.name}: it ends at the seat, so it is as wide as that")


def from_words(pairs: Mapping[str, str], option: str) -> dict[str, Text]:
    """What was said by an option of the command line, with that as its place."""
    return {word: Text(text, Place(option)) for word, text in pairs.items()}
