"""What may be chosen and what is wanted of it, from text: '0.4..1.2 mm in drills', 'override<=60 psi'."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.tree import Block, Problems, Series, Text, block_of, read_file, text_of

SIZES = Path(__file__).with_name("sizes.yaml")
NO_CHATTER = "no chatter"
STEPS = 25  # of a range that no catalogue divides
_RANGE = re.compile(r"(?P<low>.+?)\s*\.\.\s*(?P<high>.+?)(?:\s+in\s+(?P<size>[a-z]+))?$")


@dataclass(frozen=True)
class Free:
    """A parameter that may be chosen: its ``values`` (SI) in rising order, and where such steps come from."""

    parameter: str
    kind: str
    values: tuple[float, ...]
    source: str = ""


@dataclass(frozen=True)
class Target:
    """What a figure must not pass: at most ``bound`` (SI), or at least."""

    figure: str
    kind: str
    bound: float
    at_most: bool

    def inside(self, value: float) -> float:
        """How far a value lies inside, as a share of the bound; negative outside, and where there is no value."""
        room = (self.bound - value if self.at_most else value - self.bound) / (abs(self.bound) or 1.0)
        return room if room == room else -np.inf

    def words(self, units: quantity.Units = "shop") -> str:
        """The target as it is said."""
        bound = quantity.show(self.bound, self.kind, units)
        return f"{self.figure} {'at most' if self.at_most else 'at least'} {bound}"


def read_free(machine: Machine, word: str, text: str) -> Free:
    """A range 'A..B', a range of catalogued steps 'A..B in drills', or a list 'A, B, C'.

    The unit may stand at the last number only.  Errors: :class:`InputError`, :class:`QuantityError`.
    """
    parameter, kind = machine.resolve(word, Place("--free"))
    if parameter == OIL_TEMPERATURE:
        raise InputError(Problem(Place("--free"), "the temperature of the oil is no part to choose"))
    if found := _RANGE.match(text.strip()):
        high = quantity.parse(found["high"], kind)
        low = quantity.parse(_with_unit(found["low"], found["high"]), kind)
        if not low < high:
            raise QuantityError(f"'{text}' does not rise", "write the smaller number first")
        values, source = _steps(low, high, found["size"], kind)
    else:
        words = [w.strip() for w in text.split(",")]
        values = tuple(sorted({quantity.parse(_with_unit(w, words[-1]), kind) for w in words}))
        source = "as listed"
    for value in values:
        machine.point_of({parameter: value})
    return Free(parameter, kind, values, source)


def _with_unit(word: str, last: str) -> str:
    """A number, with the unit of the last one where it has none of its own."""
    unit = re.sub(r"^[-+0-9.,/eE\s]*", "", last)
    return word if re.search(r"[a-zA-Z%\"°]", word) else f"{word} {unit}"


def _steps(low: float, high: float, size: str | None, kind: str) -> tuple[tuple[float, ...], str]:
    if size is None:
        return tuple(map(float, np.linspace(low, high, STEPS))), ""
    if size not in _sizes() or kind != "length":
        hint = did_you_mean(size, _sizes()) or f"known: {', '.join(_sizes())}, all of them lengths"
        raise QuantityError(f"there are no steps called '{size}' for {quantity.article(kind)}", hint)
    steps, source = _sizes()[size]
    within = tuple(s for s in steps if low * (1 - 1e-9) <= s <= high * (1 + 1e-9))
    if not within:
        raise QuantityError(f"no step of '{size}' lies in that range")
    return within, f"{size}, {source}"


@lru_cache(maxsize=1)
def _sizes() -> dict[str, tuple[tuple[float, ...], str]]:
    blocks = read_file(SIZES).items["sizes"]
    assert isinstance(blocks, Block)
    out, problems = {}, Problems()
    for name, block in blocks.items.items():
        assert isinstance(block, Block)
        steps = text_of(block, "mm", problems, name).split()
        out[name] = tuple(1e-3 * float(s) for s in steps), text_of(block, "source", problems, name)
    return out


def declared(machine: Machine) -> tuple[dict[str, str], list[str]]:
    """What the file of a machine or valve lists under ``size``: free parts with their ranges, and targets."""
    if not machine.path.is_file():
        return {}, []
    problems = Problems()
    block = block_of(read_file(machine.path), "size", problems, "file")
    free, targets = block_of(block, "free", problems, "size"), block.items.get("targets")
    if targets is not None and not isinstance(targets, Series):
        problems.add(block.place("targets"), "size: 'targets' is a list", "write '- override<=60 psi', one a line")
    parts = {word: text_of(free, word, problems, "size: free") for word in free.items}
    wanted = targets.items if isinstance(targets, Series) else []
    problems.stop_if_any()
    return parts, [item.text for item in wanted if isinstance(item, Text)]


def read_target(text: str, kinds: dict[str, str]) -> Target:
    """'override<=60 psi' or 'damping ratio>=0.1'; ``kinds`` maps every figure known to its quantity kind.

    'no chatter' is a damping ratio of at least 0: no swing grows.
    """
    if text.strip() == NO_CHATTER:
        text = "damping ratio>=0"
    name, sign, bound = (p.strip() for p in re.split(r"(<=|>=|$)", text, maxsplit=1))
    if not sign:
        hint = "write 'override<=60 psi' or 'damping ratio>=0.1'"
        raise InputError(Problem(Place("--target"), f"'{text}' is no target", hint))
    if name not in kinds:
        hint = did_you_mean(name, kinds) or "known here: " + ", ".join(list(kinds)[:8])
        raise InputError(Problem(Place("--target"), f"there is no figure '{name}'", hint))
    return Target(name, kinds[name], quantity.parse(bound, kinds[name]), sign == "<=")
