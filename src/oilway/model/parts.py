"""One part of a file: its keys read against the records of its element."""

from __future__ import annotations

import math

from oilway import quantity
from oilway.elements.base import Element, Part
from oilway.elements.record import REQUIRED, Record
from oilway.errors import Place, QuantityError
from oilway.model.catalogue import kinds
from oilway.model.tree import Block, Problems, Text, check_keys, text_of

COMMON = ("kind", "note")


def read_part(name: str, block: Block, problems: Problems) -> Part | None:
    """Read one part; what is wrong is noted, and ``None`` returned when no element fits.

    ``nodes`` holds the chamber names as written; the caller resolves them.
    """
    known = kinds()
    kind = text_of(block, "kind", problems, name)
    if not kind:
        return None
    if kind not in known:
        problems.unknown_word(block.place("kind"), name, "kind of part", kind, [*known, "valve"])
        return None
    element = known[kind]
    ports = [p.name for p in element.ports]
    keys = [r.name for r in element.records]
    check_keys(block, (*ports, *keys, *COMMON), problems, name)
    values = {r.name: read_value(name, r, block, problems) for r in element.records}
    nodes = {port: text_of(block, port, problems, name) for port in ports}
    part = Part(
        name,
        kind,
        values,
        nodes,
        block.where,
        frozenset(k for k in block.items if k in keys),
        dict(block.keys),
    )
    _complain(element, part, block, problems)
    return part


def read_value(owner: str, record: Record, block: Block, problems: Problems) -> float | str | None:
    """The value of one record, defaulted, converted to SI and checked against its legal range."""
    item = block.items.get(record.name)
    if item is None:
        if record.default == REQUIRED:
            problems.add(
                block.where, f"{owner}: missing key '{record.name}'", f"{record.meaning}{example(record)}"
            )
            return None
        return record.default
    if not isinstance(item, Text):
        problems.add(block.place(record.name), f"{owner}: '{record.name}' takes one value")
        return None
    return convert(owner, record, item.text, item.where, problems)


def convert(owner: str, record: Record, text: str, where: Place, problems: Problems) -> float | str | None:
    """Text to the SI value (or word) of a record; a problem is noted and ``None`` returned."""
    if record.kind == "choice":
        if text not in record.choices:
            problems.unknown_word(where, owner, f"choice for '{record.name}'", text, record.choices)
            return None
        return text
    if not record.is_quantity:
        if not text:
            problems.add(where, f"{owner}: '{record.name}' is empty", record.meaning)
            return None
        return text
    try:
        value = quantity.parse(text, record.kind)
    except QuantityError as err:
        problems.add(where, f"{owner}: {record.name}: {err.what}", err.hint)
        return None
    if not record.low <= value <= record.high:
        problems.add(where, f"{owner}: {record.name} {text} is outside its legal range", legal_range(record))
        return None
    return value


def legal_range(record: Record) -> str:
    """The legal range in words, in shop units."""
    low, high = (_bound(v, record.kind) for v in (record.low, record.high))
    if low and high:
        return f"from {low} to {high}"
    return f"not below {low}" if low else f"not above {high}" if high else ""


def _bound(value: float, kind: str) -> str:
    """An end of a range; empty where there is none, with more digits where it would read as nothing."""
    if not math.isfinite(value):
        return ""
    shown = quantity.show(value, kind)
    return shown if not value or quantity.parse(shown, kind) else quantity.show(value, kind, digits=6)


def example(record: Record) -> str:
    """An example of what to write, inside the legal range."""
    if record.kind == "choice":
        return ": " + " or ".join(record.choices)
    if not record.is_quantity:
        return ""
    return f"; {quantity.KINDS[record.kind].wanted}"


def _complain(element: type[Element], part: Part, block: Block, problems: Problems) -> None:
    if any(part.values[r.name] is None for r in element.records if r.default is not None):
        return  # a value that could not be read is a problem already
    for key, what in element(part).complaints():
        problems.add(block.place(key), f"{part.name}: {what}")
