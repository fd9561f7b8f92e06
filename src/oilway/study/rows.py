"""Tables of readings: typed rows, a CSV or a logger's file, to one array a column, with the line of every row.

A header names column and unit, "P (psi)", "Q [gpm]", "t (s)".  A cell may be empty: a gap, told later and never
filled.  A row that cannot be read is named with its line; nothing is guessed.
"""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError, did_you_mean
from oilway.model.tree import Problems

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Lines = npt.NDArray[np.int64]
LARGEST = 200_000_000  # bytes
MOST_NAMED = 12  # bad rows named one by one; the rest is counted
BEYOND = 1e12  # in whatever unit: no reading of anything
LOGGED_ROWS = 50  # with a time in each

# What a column is called, its kind of quantity, and where its instrument stands.
COLUMNS: dict[str, tuple[str, str]] = {
    "P": ("pressure", "inlet or pump pressure"),
    "T": ("pressure", "outlet or tank-line pressure"),
    "V": ("pressure", "vent or pilot pressure"),
    "D": ("pressure", "drain pressure"),
    "R": ("pressure", "reduced pressure, at the outlet of the reducing valve"),
    "L": ("pressure", "load pressure"),
    "X": ("pressure", "pilot pressure"),
    "B": ("pressure", "back-pressure at the valve port"),
    "LS": ("pressure", "load-sensing line pressure"),
    "Q": ("flow", "flow"),
    "QC": ("flow", "case or drain flow"),
    "t": ("time", "time"),
    "n": ("rotation", "engine or pump speed"),
    "temp": ("temperature", "oil temperature"),
    "turns": ("turns", "adjuster, turns in from where it stood at the first row"),
}
# Instruments that no table has a column for.
BESIDE: dict[str, tuple[str, str]] = {
    "P2": ("pressure", "second gauge, beside P"),
    "vessel": ("volume", "measuring vessel"),
    "watch": ("time", "stopwatch"),
}
KNOWN = {**COLUMNS, **BESIDE}
_HEAD = re.compile(r"\s*([A-Za-z][\w ]*?)\s*[(\[]\s*([^)\]]*?)\s*[)\]]\s*")


@dataclass(frozen=True)
class Table:
    """Columns (n,) in SI by name, the line of each row, and the units they were written in."""

    file: str
    columns: dict[str, Floats]
    lines: Lines
    units: dict[str, str]

    def __len__(self) -> int:
        return len(self.lines)

    @property
    def logged(self) -> bool:
        """Whether a logger wrote it, by its clock and its length: one sample alone can be a spike."""
        return "t" in self.columns and len(self) >= LOGGED_ROWS

    def keep(self, rows: Bools) -> Table:
        """The rows wanted, by a mask (n,)."""
        columns = {name: values[rows] for name, values in self.columns.items()}
        return Table(self.file, columns, self.lines[rows], self.units)


def read_table_file(path: Path) -> Table:
    """Read a CSV or a logger's file.  Errors: :class:`InputError` naming each line that cannot be read."""
    try:
        raw = path.read_bytes()
    except OSError as err:
        nearby = [p.name for p in path.parent.glob("*.csv")] if path.parent.is_dir() else []
        reason = "no such file" if isinstance(err, FileNotFoundError) else str(err.strerror).lower()
        raise InputError(Problem(Place(path.name), reason, did_you_mean(path.name, nearby))) from None
    if len(raw) > LARGEST:
        raise InputError(Problem(Place(path.name), "larger than 200 MB"))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as err:
        line = raw[: err.start].count(b"\n") + 1
        raise InputError(Problem(Place(path.name, line), "not UTF-8 text", "save it as CSV in UTF-8")) from None
    return read_table(text, path.name, 1)


def read_table(text: str, file: str, first: int) -> Table:
    """Read a table from text whose first line is line ``first`` of ``file``."""
    lines = text.splitlines()
    numbered = [k for k, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")]
    if not numbered:
        raise InputError(Problem(Place(file, first), "there are no rows", "begin with 'Q (gpm), P (psi)'"))
    head = numbered[0]
    names, units, between = _header(lines[head], Place(file, first + head))
    body = [lines[k] for k in numbered[1:]]
    at = np.array(numbered[1:], dtype=np.int64) + first
    if not body:
        raise InputError(Problem(Place(file, first + head), "a header and no rows under it"))
    values = _fast(body, between, len(names))
    if values is None:
        values = _slow(body, between, len(names), file, at)
    columns = {}
    for name, unit, column in zip(names, units, values.T, strict=True):
        zero, one = (quantity.parse(f"{size} {unit}", COLUMNS[name][0]) for size in (0, 1))
        columns[name] = column * (one - zero) + zero
    return Table(file, columns, at, dict(zip(names, units, strict=True)))


def _header(line: str, where: Place) -> tuple[list[str], list[str], str | None]:
    """Names, units and what stands between cells (``None``: blanks)."""
    between = between_cells(line)
    problems = Problems()
    cells = line.split(between) if between else re.findall(r"[^(\[]+[(\[][^)\]]*[)\]]|\S+", line)
    names, units = [], []
    for cell in cells:
        match = _HEAD.fullmatch(cell.strip().strip('"'))
        if not match:
            problems.add(where, f"column '{cell.strip()}' has no unit", "write 'P (psi)', 'Q (gpm)', 't (s)'")
            continue
        name = next((known for known in COLUMNS if known == match[1]), "") or _other_case(match[1])
        if not name:
            known = "; ".join(f"{short} {meaning}" for short, (_, meaning) in COLUMNS.items())
            problems.add(where, f"there is no column '{match[1]}'", f"known: {known}")
        elif name in names:
            problems.add(where, f"column '{name}' stands here twice")
        else:
            names.append(name)
            units.append(_unit(name, match[2], where, problems))
    problems.stop_if_any()
    return names, units, between


def between_cells(header: str) -> str | None:
    """What stands between the cells of a table; ``None``: blanks."""
    return next((mark for mark in (";", "\t", ",") if mark in header), None)


def _other_case(name: str) -> str:
    """The one column written like this but for capitals; T and t stay apart."""
    near = [known for known in COLUMNS if known.lower() == name.lower()]
    return near[0] if len(near) == 1 else ""


def _unit(name: str, text: str, where: Place, problems: Problems) -> str:
    """The unit of a column as written; one that is unknown or of another kind is questioned."""
    kind, meaning = COLUMNS[name]
    try:
        quantity.parse(f"1 {text}", kind)
    except QuantityError as err:
        hint = err.hint or f"{name} is the {meaning}: is another column meant?"
        if name == "T" and text.strip("°").upper() in {"C", "F", "K"}:
            hint = "T is the tank-line pressure; a temperature column is called temp"
        problems.add(where, f"column {name}: {err.what}", hint)
    return text


def _fast(body: Sequence[str], between: str | None, width: int) -> Floats | None:
    """All rows at once, or ``None`` where a row needs a closer look."""
    text = "\n".join(body)
    if between:
        gap = re.escape(between)
        text = re.sub(rf"(?m)(?:(?<=^)|(?<={gap}))[ ]*(?={gap}|$)", "nan", text)
    try:
        values = np.loadtxt(io.StringIO(text), delimiter=between, ndmin=2, comments=None)
    except ValueError:
        return None
    fits = values.shape == (len(body), width) and not (np.abs(values) > BEYOND).any()
    return values if fits else None


def _slow(body: Sequence[str], between: str | None, width: int, file: str, at: Lines) -> Floats:
    """Row by row, naming each one that cannot be read."""
    found: list[Problem] = []
    values = np.full((len(body), width), np.nan)
    for k, line in enumerate(body):
        cells = [cell.strip().strip('"') for cell in line.split(between)]
        where = Place(file, int(at[k]))
        if len(cells) != width:
            found.append(Problem(where, f"{len(cells)} cells where the header has {width}"))
            continue
        for column, cell in enumerate(cells):
            if cell == "" or cell.lower() == "nan" or (between is None and cell == "-"):
                continue
            try:
                values[k, column] = float(cell)
            except ValueError:
                hint = "a decimal is written with a point" if "," in cell else ""
                found.append(Problem(where, f"'{cell}' is no number", hint))
            else:
                if not abs(values[k, column]) <= BEYOND:
                    found.append(Problem(where, f"'{cell}' is no reading of anything"))
    if len(found) > MOST_NAMED:
        left = len(found) - MOST_NAMED
        found[MOST_NAMED:] = [Problem(found[MOST_NAMED].where, f"and {left} more rows like these")]
    if found:
        raise InputError(found)
    return values
