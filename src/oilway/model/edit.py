"""Edit a file as text: one value, key or part at a time, with every comment and every other line kept."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence

from ruamel.yaml import YAML
from ruamel.yaml.nodes import CollectionNode, MappingNode, Node, ScalarNode

from oilway.errors import InputError, Place, Problem
from oilway.model.tree import closest, read_text

INDENT = "  "
# What may stand unquoted anywhere, also between braces.
_PLAIN = re.compile(r"(?:[A-Za-z0-9.+]|-(?=[0-9.]))(?:[^\s:#,\[\]{}&*!|>'\"%@`]|[ %'](?! *$)(?! *#))*\Z")


def with_value(text: str, path: Sequence[str], value: str, name: str = "text") -> str:
    """The text with the value at a path of keys, ``("parts", "pump", "displacement")``, replaced or added.

    Mappings on the way that are missing are added.  Errors: :class:`InputError` for a text that is no YAML
    mapping, or a path that leads through a single value or to a block of keys.
    """
    read_text(text, name)  # the errors of the reader, with their lines
    node, depth = _deepest(_root(text), path, name)
    if depth == len(path):
        if not isinstance(node, ScalarNode):
            raise InputError(
                Problem(_where(node, name), f"'{path[-1]}' takes keys of its own", "change one of them")
            )
        start = node.start_mark.index
        if node.value == "" and node.style not in ('"', "'"):
            start = _behind_colon(text, path)
            return f"{text[:start]} {_scalar(value)}{text[start:]}"
        return text[:start] + _scalar(value) + text[_end(node) :]
    if not isinstance(node, MappingNode):
        raise InputError(Problem(_where(node, name), f"'{path[depth - 1]}' is a single value and has no keys"))
    added: str | Mapping[str, object] = value
    for key in reversed(path[depth + 1 :]):
        added = {key: added}
    return _with_key(text, node, path[depth], added)


def with_part(text: str, name: str, keys: Mapping[str, str], file: str = "text") -> str:
    """The text with a new part at the end of its ``parts``.

    Errors: :class:`InputError`, also for a name that is taken.
    """
    read_text(text, file)
    parts, depth = _deepest(_root(text), ("parts", name), file)
    if depth == 2:
        raise InputError(Problem(_where(parts, file), f"there is a part '{name}' already", "choose another name"))
    if depth == 1 and not isinstance(parts, MappingNode):
        raise InputError(Problem(_where(parts, file), "'parts' is a single value and has no keys"))
    added: dict[str, object] = {name: dict(keys)}
    if depth == 0:
        assert isinstance(parts, MappingNode)
        return _with_key(text, parts, "parts", added)
    assert isinstance(parts, MappingNode)
    return _with_key(text, parts, name, dict(keys))


def without(text: str, path: Sequence[str], name: str = "text") -> str:
    """The text without the key at a path; comments on lines of their own stay.

    Errors: :class:`InputError` where there is no such key.
    """
    read_text(text, name)
    parent, depth = _deepest(_root(text), path[:-1], name)
    if not isinstance(parent, MappingNode) or depth < len(path) - 1:
        raise InputError(Problem(_where(parent, name), f"there is no '{path[depth]}' here to look into"))
    pairs = parent.value
    for number, (key, value) in enumerate(pairs):
        if _word(key) == path[-1]:
            if parent.flow_style:
                return _without_in_braces(text, pairs, number)
            stop = text.find("\n", _end(value))
            start = text.rfind("\n", 0, key.start_mark.index) + 1
            rest = text[stop + 1 :] if stop >= 0 else ""
            # A mapping that loses its only key stays one.
            left = f"{' ' * key.start_mark.column}{{}}\n" if len(pairs) == 1 else ""
            return text[:start] + left + rest
    known = [_word(key) for key, _ in pairs]
    raise InputError(Problem(_where(parent, name), f"there is no key '{path[-1]}' here", closest(path[-1], known)))


# -- lines of their own, "rows: |" -------------------------------------------------------------------------
def lines_of(text: str, path: Sequence[str], name: str = "text") -> list[str]:
    """The lines that stand under a key, ``rows: |``; none where there is no such key.

    Errors: :class:`InputError` for a text that is no YAML mapping.
    """
    read_text(text, name)
    node, depth = _deepest(_root(text), path, name)
    return str(node.value).splitlines() if depth == len(path) and isinstance(node, ScalarNode) else []


def with_lines(text: str, path: Sequence[str], lines: Sequence[str], name: str = "text") -> str:
    """The text with these lines under a key, ``rows: |``, replaced or added; without any, the key goes.

    Errors: :class:`InputError`, also where the key is to stand between braces or has keys of its own.
    """
    there = _deepest(_root(text), path, name)[1] == len(path)
    if not lines:
        return without(text, path, name) if there else text
    if not there:
        text = with_value(text, path, "rows", name)
    parent, _ = _deepest(_root(text), path[:-1], name)
    assert isinstance(parent, MappingNode)  # it has the key
    key, node = next((key, value) for key, value in parent.value if _word(key) == path[-1])
    if parent.flow_style or not isinstance(node, ScalarNode):
        raise InputError(Problem(_where(parent, name), f"'{path[-1]}' needs a line of its own", "no braces there"))
    start, end = node.start_mark.index, _end(node)
    head, _, body = text[start:end].partition("\n") if node.style == "|" else ("|", "", "")
    margin = body[: len(body) - len(body.lstrip(" "))] or " " * key.start_mark.column + INDENT
    return text[:start] + "\n".join([head, *(margin + line if line else "" for line in lines)]) + text[end:]


# -- nodes -------------------------------------------------------------------------------------------------
def _root(text: str) -> MappingNode:
    node = YAML(typ="safe", pure=True).compose(text)
    assert isinstance(node, MappingNode)  # read_text has said so
    return node


def _word(key: Node) -> str:
    return str(key.value).strip()


def _deepest(node: Node, path: Sequence[str], name: str) -> tuple[Node, int]:
    """The last node on a path that is there, and how many keys of the path lead to it."""
    for depth, word in enumerate(path):
        pairs = node.value if isinstance(node, MappingNode) else []
        inner = [value for key, value in pairs if _word(key) == word]
        if not inner:
            return node, depth
        node = inner[0]
    return node, len(path)


def _where(node: Node, name: str) -> Place:
    return Place(name, node.start_mark.line + 1)


def _end(node: Node) -> int:
    """Index just behind a node: for a block of keys its own mark lies behind the comments that follow."""
    if not isinstance(node, CollectionNode) or node.flow_style or not node.value:
        end: int = node.end_mark.index
        if isinstance(node, ScalarNode) and node.style in ("|", ">"):  # these end where the next key begins
            end = node.start_mark.index + len(node.start_mark.buffer[node.start_mark.index : end].rstrip())
        return end
    last = node.value[-1]
    return _end(last[1] if isinstance(node, MappingNode) else last)


# -- splicing ----------------------------------------------------------------------------------------------
def _behind_colon(text: str, path: Sequence[str]) -> int:
    """Where the value of an empty key belongs; its own mark may lie lines below."""
    parent, _ = _deepest(_root(text), path[:-1], "")
    key = next(key for key, _ in parent.value if _word(key) == path[-1])
    return text.index(":", key.end_mark.index) + 1


def _with_key(text: str, node: MappingNode, key: str, value: object) -> str:
    """The text with a key added behind the others of a mapping, in braces or on lines of its own."""
    if node.flow_style:
        close = node.end_mark.index - 1
        before = text[:close].rstrip()
        comma = "" if before.endswith(("{", ",")) else ","
        space = "" if before.endswith("{") else " "
        return f"{before}{comma}{space}{_scalar(key)}: {_in_braces(value)}" + text[close:]
    end = text.find("\n", _end(node))
    head, tail = (text[:end], text[end:]) if end >= 0 else (text, "\n")
    column = node.value[0][0].start_mark.column if node.value else 0
    return head + "\n" + "\n".join(_lines(key, value, " " * column)) + tail


def _lines(key: str, value: object, indent: str) -> list[str]:
    if isinstance(value, Mapping):
        inner = [line for k, v in value.items() for line in _lines(str(k), v, indent + INDENT)]
        return [f"{indent}{_scalar(key)}:", *inner]
    return [f"{indent}{_scalar(key)}: {_scalar(str(value))}"]


def _in_braces(value: object) -> str:
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_scalar(str(k))}: {_in_braces(v)}" for k, v in value.items()) + "}"
    return _scalar(str(value))


def _scalar(text: str) -> str:
    """A text as a YAML scalar: plain where it may be, else in double quotes."""
    return text if _PLAIN.match(text) else json.dumps(text, ensure_ascii=False)


def _without_in_braces(text: str, pairs: list[tuple[Node, Node]], number: int) -> str:
    key, value = pairs[number]
    if number + 1 < len(pairs):
        return text[: key.start_mark.index] + text[pairs[number + 1][0].start_mark.index :]
    start = _end(pairs[number - 1][1]) if number else key.start_mark.index
    return text[:start] + text[_end(value) :]
