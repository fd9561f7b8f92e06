"""The files that stand behind a worksheet: itself, what it asks about, every valve mounted in that, the faults."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from oilway.model.catalogue import find_valve, is_file
from oilway.model.tree import Block, Series, Text, read_file
from oilway.study.faults import DATA
from oilway.study.worksheet import Worksheet

FILE, VALVE = "file", "valve"  # keys that name what is asked about, and the file of a mounted valve
KNOWN = ""  # the key of a fault question under which a fault of the fault file is named


def files_behind(worksheet: Worksheet) -> list[Path]:
    """Every file that a key of this worksheet may be computed from, each once; a change of any changes the sheet.

    A valve that is only one of several choices counts too.  Errors: :class:`InputError` for one that is no YAML.
    """
    found, beside = [worksheet.path], worksheet.path.parent
    for key, text in _texts(read_file(worksheet.path)):
        if key == FILE:
            named = beside / text if is_file(beside / text) else find_valve(text, beside)
            if named is not None:
                _add(named, found)
        _add_valve(key, text, worksheet.target.parent, found)
    if any(KNOWN in changes for question in worksheet.questions for changes in question.faults.values()):
        found.append(DATA / "faults.yaml")
    return found


def _add(path: Path, found: list[Path]) -> None:
    """A file, and the files of the valves that it mounts."""
    if any(path.samefile(known) for known in found):
        return
    found.append(path)
    for key, text in _texts(read_file(path)):
        _add_valve(key, text, path.parent, found)


def _add_valve(key: str, text: str, folder: Path, found: list[Path]) -> None:
    if key.rpartition(".")[2] == VALVE and (named := find_valve(text, folder)) is not None:
        _add(named, found)


def _texts(item: Block | Series) -> Iterator[tuple[str, str]]:
    """Every text of a tree with its key, however deep it stands."""
    pairs = item.items.items() if isinstance(item, Block) else (("", inner) for inner in item.items)
    for key, inner in pairs:
        if isinstance(inner, Text):
            yield key, inner.text
        else:
            yield from _texts(inner)
