"""A look at a text that is being written: its pictures with numbers, or those of what is complete so far."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

from oilway import loads
from oilway.draw.pictures import laid_out, pictures
from oilway.errors import InputError, OilwayError
from oilway.model.edit import without
from oilway.model.load import read_machine_text
from oilway.model.machine import Machine
from oilway.model.tree import Block, read_text
from oilway.page.scene import picture_data, problem_data, unit_tables
from oilway.page.session import Side
from oilway.page.workshop_places import located
from oilway.study.handles import handles

NAME = "this file"
ROUNDS = 20  # what was left out may have been what something else stands on


def look(text: str, folder: Path) -> dict[str, Any]:
    """SCENE of a text; ``left out`` names the parts that are not in the pictures.

    Where there are no numbers, because something is unfinished or cannot be solved, there are pictures that are
    not painted, without a frame, and the problem in words.
    """
    try:
        machine = loads(text, NAME, folder)
        return {**Side(machine).scene(), "left out": [], "problem": None}
    except OilwayError as error:
        said = problem_data(error, 0)["problem"]
    found, left = sketch(text, folder)
    drawn = [] if found is None else [picture_data(named) for named in laid_out(pictures(found))]
    turned = [] if found is None else [asdict(handle) for handle in handles(found)]
    return {"pictures": drawn, "handles": turned, "units": unit_tables(), "left out": left, "problem": said}


def sketch(text: str, folder: Path) -> tuple[Machine | None, list[str]]:
    """The machine of an unfinished text, less the parts and keys that something is wrong with, and their names.

    It is there to be drawn, not to be solved; None where too little is left.
    """
    left: list[str] = []
    for _ in range(ROUNDS):
        try:
            return read_machine_text(text, NAME, folder), left
        except InputError as error:
            try:
                text, names = _less(text, error)
            except InputError:
                break
            if not names:
                break
            left += names
        except OilwayError:
            break
    return None, left


def _less(text: str, error: InputError) -> tuple[str, list[str]]:
    """The text without the parts and heads that an error is about, and their names.

    Errors: :class:`InputError` for a text that is no YAML.
    """
    tree = read_text(text, NAME)
    names: list[str] = []
    for problem in error.problems:
        path = located(tree, problem)
        inside = bool(path) and isinstance(tree.items.get(path[0]), Block)
        path = path[:2] if inside else path[:1]
        if not path or path in (["format"], ["parts"]) or path[-1] in names or (inside and len(path) < 2):
            continue
        try:
            text = without(text, path, NAME)
        except InputError:
            continue
        names.append(path[-1])
    return text, names
