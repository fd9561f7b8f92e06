"""Broken files for the fuzz test: an example or a shipped valve with a few things changed at random."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path

from oilway import quantity

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ROOT / "examples"
FILES = sorted([*EXAMPLES.glob("*.yaml"), *(ROOT / "src" / "oilway" / "valves").glob("*.yaml")])
TEXTS = {path.name: path.read_text(encoding="utf-8") for path in FILES}

PAIR = re.compile(r"(?P<key>[A-Za-z][\w ]*): *(?P<value>[^,{}\n#]+)")
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w.])")
UNITS = sorted({u for kind in quantity.KINDS.values() for u in kind.units if u})
ODD = [
    "",
    "~",
    "-",
    "''",
    "yes",
    "no",
    "null",
    "poppets",
    "left out",
    "nan",
    "inf",
    "1e999",
    "-0",
    "0x10",
    "!!int 3",
    "&a b",
]
ODD += [
    "*a",
    "[1, 2]",
    "{a: b}",
    "|",
    ">",
    "%",
    "@",
    "`",
    "\t",
    "é",
    "½",
    "１２ mm",
    "\u202e",
    "\u0000",
    "\ufeff",
    "😀",
    "² mm",
    "1/0 in",
]

Change = Callable[[random.Random, str], str]


def _pick(rng: random.Random, found: list[re.Match[str]]) -> re.Match[str]:
    return found[rng.randrange(len(found))]


def _replace(text: str, match: re.Match[str], new: str, group: str | int = 0) -> str:
    return text[: match.start(group)] + new + text[match.end(group) :]


def number_scaled(rng: random.Random, text: str) -> str:
    """One number by a factor: mostly mild, at times up to a million either way, negative, nothing or huge."""
    found = list(NUMBER.finditer(text))
    if not found:
        return text
    match = _pick(rng, found)
    roll = rng.random()
    if roll < 0.6:
        factor = 10.0 ** rng.uniform(-0.7, 0.7)
    elif roll < 0.9:
        factor = 10.0 ** rng.uniform(-6, 6)
    else:
        factor = rng.choice([0.0, -1.0, -1e6, 1e300, 1e-300])
    return _replace(text, match, f"{float(match.group()) * factor:.6g}")


def values_swapped(rng: random.Random, text: str) -> str:
    """The values of two keys change places."""
    found = list(PAIR.finditer(text))
    if len(found) < 2:
        return text
    a, b = sorted((_pick(rng, found), _pick(rng, found)), key=lambda m: m.start())
    if a.start() == b.start():
        return text
    first, second = a["value"], b["value"]
    return _replace(_replace(text, b, first, "value"), a, second, "value")


def value_replaced(rng: random.Random, text: str) -> str:
    """A value becomes that of another key, or something odd."""
    found = list(PAIR.finditer(text))
    if not found:
        return text
    new = rng.choice(ODD) if rng.random() < 0.4 else _pick(rng, found)["value"].strip()
    return _replace(text, _pick(rng, found), new, "value")


def unit_changed(rng: random.Random, text: str) -> str:
    """A number gets another unit, of any kind."""
    found = [m for m in PAIR.finditer(text) if re.match(r"-?\d", m["value"])]
    if not found:
        return text
    match = _pick(rng, found)
    size = match["value"].split()[0]
    return _replace(text, match, f"{size} {rng.choice(UNITS)}", "value")


def key_renamed(rng: random.Random, text: str) -> str:
    """A key loses a letter, or becomes another key of the file."""
    found = list(PAIR.finditer(text))
    if not found:
        return text
    match = _pick(rng, found)
    key = match["key"]
    cut = rng.randrange(len(key))
    new = _pick(rng, found)["key"] if rng.random() < 0.5 else key[:cut] + key[cut + 1 :]
    return _replace(text, match, new, "key")


def pair_deleted(rng: random.Random, text: str) -> str:
    """A key goes with its value."""
    found = list(PAIR.finditer(text))
    if not found:
        return text
    match = _pick(rng, found)
    return text[: match.start()] + text[match.end() :].removeprefix(",")


def _of_lines(change: Callable[[random.Random, list[str], int], None]) -> Change:
    def apply(rng: random.Random, text: str) -> str:
        lines = text.split("\n")
        change(rng, lines, rng.randrange(len(lines)))
        return "\n".join(lines)

    return apply


def _delete(rng: random.Random, lines: list[str], k: int) -> None:
    del lines[k : k + rng.choice([1, 1, 1, 2, 6])]


def _double(rng: random.Random, lines: list[str], k: int) -> None:
    lines.insert(rng.randrange(len(lines) + 1), lines[k])


def _indent(rng: random.Random, lines: list[str], k: int) -> None:
    lines[k] = rng.choice(["  ", " ", "\t", "    "]) + lines[k] if rng.random() < 0.5 else lines[k].lstrip()


def characters(rng: random.Random, text: str) -> str:
    """Odd characters somewhere in the text."""
    k = rng.randrange(len(text) + 1)
    odd = rng.choice(ODD) if rng.random() < 0.5 else "".join(chr(rng.randrange(1, 0x3000)) for _ in range(3))
    return text[:k] + odd + text[k + rng.choice([0, 0, 1, 5]) :]


def truncated(rng: random.Random, text: str) -> str:
    """The file ends early."""
    return text[: rng.randrange(len(text) + 1)]


CHANGES: dict[Change, int] = {
    number_scaled: 14,
    values_swapped: 4,
    value_replaced: 3,
    unit_changed: 2,
    key_renamed: 1,
    pair_deleted: 3,
    _of_lines(_delete): 2,
    _of_lines(_double): 1,
    _of_lines(_indent): 1,
    characters: 1,
    truncated: 1,
}


def mutated(rng: random.Random) -> tuple[str, str]:
    """Name and text of a file after one to four changes."""
    name = rng.choice(sorted(TEXTS))
    text = TEXTS[name]
    for change in rng.choices(list(CHANGES), list(CHANGES.values()), k=rng.choice([1, 1, 2, 2, 3, 4])):
        text = change(rng, text)
    return name, text
