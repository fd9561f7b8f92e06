"""What was typed at the stand, put into the readings file: one text in, the next text out."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.edit import with_lines, with_value, without
from oilway.study.readings import readings_from_text
from oilway.study.rows import between_cells
from oilway.study.stand import Draft, Prompt, is_row, split_list

LONGEST = 200  # characters of one answer
MISSING = "missing key"  # what is not typed yet is no mistake


def written(draft: Draft, prompt: Prompt, typed: str, folder: Path) -> str:
    """The text with one answer in it; an empty one takes away what stood there.

    Errors: :class:`InputError` in the words of the reader of the file, and nothing is changed.
    """
    typed = " ".join(typed.split())
    if len(typed) > LONGEST:
        raise _refused(draft, prompt, f"longer than {LONGEST} characters")
    if typed and prompt.sort == "number":
        typed = _with_unit(draft, prompt, typed)
    if prompt.choices and typed not in ("", *prompt.choices):
        raise _refused(draft, prompt, f"'{typed}' is none of: {', '.join(prompt.choices)}")
    if len(prompt.path) > 1 and prompt.path[1] == "rows":
        text = _with_cell(draft, prompt, typed)
    elif len(prompt.path) == 3 and prompt.sort == "number":
        text = _with_reading(draft, prompt, typed)
    else:
        text = _with_key(draft.text, prompt.path, typed, draft.name)
    _refuse_new_mistakes(draft, text, folder)
    return text


def _with_unit(draft: Draft, prompt: Prompt, typed: str) -> str:
    """The answer with its unit: as typed, or that of the prompt."""
    whole = typed if re.search("[a-zA-Z%]", typed) else f"{typed} {prompt.unit}"
    try:
        quantity.parse(whole, prompt.kind)
    except QuantityError as err:
        raise _refused(draft, prompt, err.what, err.hint) from None
    return whole


def _with_key(text: str, path: Sequence[str], typed: str, name: str) -> str:
    if typed:
        return with_value(text, path, typed, name)
    return without(text, path, name) if Draft(text, name).has(*path) else text


def _with_reading(draft: Draft, prompt: Prompt, typed: str) -> str:
    """Readings typed on their own stand in one line."""
    *key, number = prompt.path
    found = split_list(draft.at(*key))
    found[int(number) : int(number) + 1] = [typed] if typed else []
    return _with_key(draft.text, key, ", ".join(found), draft.name)


def _with_cell(draft: Draft, prompt: Prompt, typed: str) -> str:
    """One cell of a table; a new row begins with it, and a row without any reading goes."""
    section, _, row, column = prompt.path
    lines = draft.lines(section)
    columns = draft.columns(section)
    if not any(map(is_row, lines)):
        lines = [*lines, "  ".join(f"{name} ({unit})" for name, unit in columns.items())]
    head = next(k for k, line in enumerate(lines) if is_row(line))
    body = [k for k in range(head + 1, len(lines)) if is_row(lines[k])]
    between = between_cells(lines[head])
    old = int(row) < len(body)
    cells = lines[body[int(row)]].split(between) if old else ["-" if between is None else ""] * len(columns)
    cell = _cell_text(prompt, typed) if typed else ("-" if between is None else "")
    cells[list(columns).index(column)] = cell
    new = _laid_out(cells, lines[head], between)
    if not any(each.strip() not in ("", "-") for each in cells):
        lines = [line for k, line in enumerate(lines) if not (old and k == body[int(row)])]
        lines = lines if any(map(is_row, lines[head + 1 :])) else []
    elif old:
        lines[body[int(row)]] = new
    else:
        lines.append(new)
    return with_lines(draft.text, (section, "rows"), lines, draft.name)


def _cell_text(prompt: Prompt, typed: str) -> str:
    """The number alone, in the unit of its column."""
    size = quantity.convert(quantity.parse(typed, prompt.kind), prompt.kind, prompt.unit)
    return f"{size:.6g}"


def _laid_out(cells: Sequence[str], header: str, between: str | None) -> str:
    """A row under its header: where the columns stand apart by blanks, each under its name."""
    if between:
        return (between + " " * (between != "\t")).join(cell.strip() for cell in cells).rstrip(" ")
    starts = [k for k in range(len(header)) if header[k : k + 1].isalpha() and _opens(header, k)]
    line = ""
    for cell, start in zip(cells, starts, strict=True):
        line = (line + " " * bool(line)).ljust(start) + cell
    return line


def _opens(header: str, k: int) -> bool:
    """Whether the name of a column begins here: not inside brackets, and behind a blank or a bracket."""
    before = header[:k]
    outside = before.count("(") + before.count("[") == before.count(")") + before.count("]")
    return outside and (not before or before[-1] in " )]")


def _refuse_new_mistakes(draft: Draft, text: str, folder: Path) -> None:
    """Whatever the reader of the file finds wrong now and did not before, what is still missing apart."""
    before = {(p.what, p.hint) for p in mistakes(draft.text, draft.name, folder)}
    new = [p for p in mistakes(text, draft.name, folder) if (p.what, p.hint) not in before]
    if wrong := [p for p in new if MISSING not in p.what and "no readings" not in p.what]:
        raise InputError(wrong)


def mistakes(text: str, name: str, folder: Path) -> list[Problem]:
    """Everything that keeps the file from being read whole."""
    try:
        readings_from_text(text, name, folder)
    except InputError as err:
        return err.problems
    return []


def _refused(draft: Draft, prompt: Prompt, what: str, hint: str = "") -> InputError:
    return InputError(Problem(Place(draft.name), f"{prompt.label}: {what}", hint))
