"""What stands behind a number: what a part is, what its file says of it, and the law of each ledger line."""

from __future__ import annotations

import inspect
import re
from dataclasses import dataclass, field

from oilway.model.machine import Machine
from oilway.study.frame import Channel


@dataclass(frozen=True)
class Said:
    """One key of a part as its file has it: ``value`` an SI number of quantity ``kind``, or a text without one."""

    name: str
    value: float | str
    kind: str
    meaning: str
    source: str


@dataclass(frozen=True)
class About:
    """A part: its kind, what that is in plain text, its keys, and the channels that speak of it.

    ``laws`` are the words of :data:`oilway.study.law_words.LAWS` behind what it adds to the ledgers.
    """

    kind: str
    about: str
    records: list[Said] = field(default_factory=list)
    channels: list[str] = field(default_factory=list)
    laws: list[str] = field(default_factory=list)


def about(machine: Machine, columns: list[Channel]) -> dict[str, About]:
    """Every part of a machine by name; ``columns`` are the channels of its frames."""
    laws: dict[str, dict[str, None]] = {}
    for term in machine.system.terms:
        if term.sort in ("flow", "force", "torque"):
            laws.setdefault(term.part, {})[term.law] = None
    return {
        name: About(
            element.kind,
            plain(type(element).__doc__),
            _records(machine, name),
            _channels(name, columns),
            list(laws.get(name, ())),
        )
        for name, element in machine.elements.items()
    }


def plain(docstring: str | None) -> str:
    """A docstring without its markup and its examples: paragraphs divided by an empty line."""
    text = inspect.cleandoc(docstring or "")
    blocks = [" ".join(b.split()) for b in re.split(r"\n\s*\n", text) if not b.lstrip().startswith(">>>")]
    words = re.sub(r":\w+:`~?([^`]+)`", lambda m: m[1].rpartition(".")[2].replace("_", " "), "\n\n".join(blocks))
    return words.replace("``", "'").replace("`", "'")


def _records(machine: Machine, part: str) -> list[Said]:
    said, values = [], machine.parts[part].values
    th = machine.theta()
    for record in machine.elements[part].records:
        value = values[record.name]
        if value is None:
            continue
        if record.is_quantity:
            value = float(th[machine.system.parameters[f"{part}.{record.name}"]])
        kind = record.kind if record.is_quantity else ""
        said.append(Said(record.name, value, kind, record.meaning, record.source))
    return said


def _channels(part: str, columns: list[Channel]) -> list[str]:
    """The channels that carry a part's own name after the colon."""
    found = []
    for column in columns:
        place = column.name.partition(":")[2].partition("#")[0]
        if place == part or place.startswith(f"{part}@"):
            found.append(column.name)
    return found
