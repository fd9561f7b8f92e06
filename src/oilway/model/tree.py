"""Text to tree: YAML 1.2 read as plain text with line numbers; nothing is guessed about types."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from oilway.errors import InputError, Place, Problem, did_you_mean

FORMAT = "1"
LARGEST_FILE = 1_000_000  # bytes; a machine file is a few kB, so anything larger is the wrong file
DEEPEST = 12
# What YAML 1.2, section 5.1, calls unprintable; neither XML nor JSON takes all of it.
UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True)
class Text:
    """A scalar as written, and where it stands."""

    text: str
    where: Place


@dataclass
class Block:
    """A mapping; ``keys`` says where each key stands."""

    where: Place
    items: dict[str, Text | Block | Series] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)

    def place(self, key: str) -> Place:
        """Where a key stands, or where the block begins when it lacks the key."""
        return self.keys.get(key, self.where)


@dataclass
class Series:
    """A list."""

    where: Place
    items: list[Text | Block | Series] = field(default_factory=list)


class Problems:
    """Collects what is wrong with an input, so that all of it is told at once."""

    def __init__(self) -> None:
        self.found: list[Problem] = []

    def add(self, where: Place, what: str, hint: str = "") -> None:
        """Note one problem, once."""
        problem = Problem(where, what, hint)
        if problem not in self.found:
            self.found.append(problem)

    def unknown_key(self, where: Place, owner: str, key: str, known: Iterable[str]) -> None:
        """Note a key that is not known here, with the closest known one."""
        self.add(where, f"{owner}: unknown key '{key}'", closest(key, known))

    def unknown_word(self, where: Place, owner: str, what: str, word: str, known: Iterable[str]) -> None:
        """Note a word that is none of the few allowed, with the closest one."""
        self.add(where, f"{owner}: there is no {what} '{word}'", closest(word, known))

    def stop_if_any(self) -> None:
        """Raise all problems found so far, if any, in the order of their lines."""
        if self.found:
            raise InputError(sorted(self.found, key=lambda p: (p.where.file, p.where.line)))


def closest(word: str, known: Iterable[str]) -> str:
    """The closest known word as a question, or the few known ones."""
    known = list(known)
    return did_you_mean(word, known) or ("known here: " + ", ".join(known) if len(known) <= 14 else "")


def read_file(path: Path, shown_as: str | None = None) -> Block:
    """Read a file into a tree.

    Errors: :class:`InputError` with file and line, for a file that cannot be read or is no YAML mapping.
    """
    name = shown_as or path.name
    try:
        raw = path.read_bytes()
    except OSError as err:
        nearby = [p.name for p in path.parent.glob("*.yaml")] if path.parent.is_dir() else []
        hint = did_you_mean(path.name, nearby)
        reason = "no such file" if isinstance(err, FileNotFoundError) else str(err.strerror).lower()
        raise InputError(Problem(Place(str(path)), reason, hint)) from None
    if len(raw) > LARGEST_FILE:
        raise InputError(Problem(Place(name), "larger than 1 MB; an Oilway file is a few kB of text"))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        line = raw[: err.start].count(b"\n") + 1
        raise InputError(Problem(Place(name, line), "not UTF-8 text", "save it as UTF-8")) from None
    return read_text(text, name)


def read_text(text: str, name: str = "text") -> Block:
    """Read YAML text into a tree; ``name`` stands for the file in messages."""
    try:
        node = _composed(text)
    except YAMLError as err:
        mark = getattr(err, "problem_mark", None) or getattr(err, "context_mark", None)
        line = mark.line + 1 if mark is not None else 1
        what = getattr(err, "problem", None) or str(err).splitlines()[0]
        hint = "indent with spaces, write 'key: value', one key a line"
        raise InputError(Problem(Place(name, line), f"not readable as YAML: {what}", hint)) from None
    except (
        ValueError,
        RecursionError,
        IndexError,
        AttributeError,
    ) as err:  # the parser's own slips on odd text
        raise InputError(Problem(Place(name, 1), f"not readable as YAML: {err}")) from None
    if node is None:
        raise InputError(Problem(Place(name, 1), "the file is empty"))
    problems = Problems()
    tree = _convert(node, name, problems, 0)
    if not isinstance(tree, Block):
        problems.add(tree.where, "a file starts with keys such as 'format: 1'", "see the file reference")
        tree = Block(tree.where)
    problems.stop_if_any()
    return tree


@lru_cache(maxsize=64)
def _composed(text: str) -> Node | None:
    """The nodes of a text, which nobody changes: a valve is read many times, and this takes nearly all of it."""
    node: Node | None = YAML(typ="safe", pure=True).compose(text)
    return node


def _convert(node: Node, name: str, problems: Problems, depth: int) -> Text | Block | Series:
    where = Place(name, node.start_mark.line + 1)
    if getattr(node, "anchor", None) or depth > DEEPEST:
        what = "nested too deep" if depth > DEEPEST else "anchors and aliases are not used in Oilway files"
        problems.add(where, what)
        return Text("", where)
    if isinstance(node, ScalarNode):
        return Text(_plain(node, where, problems), where)
    if isinstance(node, SequenceNode):
        return Series(where, [_convert(item, name, problems, depth + 1) for item in node.value])
    assert isinstance(node, MappingNode)
    block = Block(where)
    for key_node, value_node in node.value:
        place = Place(name, key_node.start_mark.line + 1)
        if not isinstance(key_node, ScalarNode):
            problems.add(place, "a key is a plain name")
            continue
        key = _plain(key_node, place, problems)
        if key in block.items:
            problems.add(place, f"'{key}' stands here twice", f"first on line {block.keys[key].line}")
        block.items[key] = _convert(value_node, name, problems, depth + 1)
        block.keys[key] = place
    return block


def _plain(node: ScalarNode, where: Place, problems: Problems) -> str:
    """The text of a scalar; an escape such as "\\x07" may have put in what no picture or print can show."""
    text = str(node.value).strip()
    if (odd := UNPRINTABLE.search(text)) is not None:
        problems.add(where, f"the character U+{ord(odd[0]):04X} cannot be printed", "leave it out")
    return UNPRINTABLE.sub("", text)


def text_of(block: Block, key: str, problems: Problems, owner: str, default: str | None = None) -> str:
    """The text under a key; a missing or nested value is noted as a problem."""
    value = block.items.get(key)
    if value is None:
        if default is None:
            problems.add(block.where, f"{owner}: missing key '{key}'")
        return default or ""
    if not isinstance(value, Text):
        problems.add(block.place(key), f"{owner}: '{key}' takes one value")
        return default or ""
    if not value.text and default is None:
        problems.add(block.place(key), f"{owner}: '{key}' is empty")
    return value.text


def block_of(block: Block, key: str, problems: Problems, owner: str) -> Block:
    """The mapping under a key; empty when missing, noted when it is something else."""
    value = block.items.get(key)
    if isinstance(value, Block):
        return value
    if value is not None and not (isinstance(value, Text) and value.text == ""):
        problems.add(block.place(key), f"{owner}: '{key}' takes keys of its own, one a line")
    return Block(block.place(key))


def check_keys(block: Block, known: Iterable[str], problems: Problems, owner: str) -> None:
    """Note every key of a block that is not known there."""
    known = list(known)
    for key in block.items:
        if key not in known:
            problems.unknown_key(block.place(key), owner, key, known)


def check_format(block: Block, problems: Problems) -> None:
    """The file says which version of the format it is written in."""
    said = text_of(block, "format", problems, "file")
    if said and said != FORMAT:
        problems.add(
            block.place("format"),
            f"format {said} is not known to this Oilway",
            f"this one reads format {FORMAT}",
        )
