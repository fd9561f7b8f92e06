"""Where a problem stands in a file, as a path of keys, so that a form can show it at the field it is about."""

from __future__ import annotations

import re
from collections.abc import Iterator

from oilway.errors import Problem
from oilway.model.tree import Block, Text

KEY = re.compile(r"(?:missing|unknown) key '([^']+)'|port (\S+) \(")


def located(tree: Block, problem: Problem) -> list[str]:
    """The path of keys that a problem is about; as far as it leads, and empty where it is about the whole file.

    A part in braces has all its keys on one line; there the words of the problem decide.
    """
    line, said = problem.where.line, problem.what
    there = [(path, value) for path, value, at in _keys(tree, ()) if line in (0, at)]
    named = [(path, value) for path, value in there if said.startswith((f"{path[-1]}: ", f"port {path[-1]}: "))]
    path, value = (named or (there[:1] if line else []) or [((), tree)])[0]
    if not isinstance(value, Block):
        return list(path)
    rest = said.partition(": ")[2] or said
    inside = sorted(value.items, key=lambda key: -len(key))
    alone = [key for key in inside if value.keys[key].line == line]
    found = (
        next((key for key in inside if rest.startswith((f"{key}:", f"{key} ")) or f"'{key}'" in rest), "")
        or _missing(rest)
        or next((key for key in inside if _told(value, key, rest)), "")
        or (alone[0] if len(alone) == 1 and line != value.where.line else "")
    )
    return [*path, found] if found else list(path)


def _missing(said: str) -> str:
    """A key that is named because it is not there."""
    match = KEY.search(said)
    return next(filter(None, match.groups()), "") if match else ""


def _told(block: Block, key: str, said: str) -> bool:
    """Whether the value of a key is quoted in what is said."""
    value = block.items[key]
    return isinstance(value, Text) and bool(value.text) and f"'{value.text}'" in said


def _keys(block: Block, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], object, int]]:
    """Every key with its value and its line, the outer ones first."""
    for key, value in block.items.items():
        yield (*path, key), value, block.place(key).line
    for key, value in block.items.items():
        if isinstance(value, Block):
            yield from _keys(value, (*path, key))
