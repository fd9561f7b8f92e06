"""A readings file: who tested what with which instruments, under which conditions, against whose limits.

    format: 1
    readings: main relief of the tipping hoist
    test: relief
    rated flow: 18 gpm
    instruments:
      P: {range: 0 to 5000 psi, class: 1.6 % of span}
    limits: {source: "maker's manual, page 12", full-flow pressure: 2400 psi +- 50 psi}
    as found:
      file: hoist.csv

Limits are the maker's, entered with their source; none is supplied here.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from oilway import quantity
from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.tree import (
    Block,
    Problems,
    Text,
    block_of,
    check_format,
    check_keys,
    read_file,
    read_text,
    text_of,
)
from oilway.quantity import Units
from oilway.study.forms import FORMS, Form
from oilway.study.instruments import Instrument, difference, noted, read_instruments, read_span
from oilway.study.rows import COLUMNS, KNOWN, Table, read_table, read_table_file

# Facts printed on the sheet and kept in the log; none enters a calculation.
FACTS = ("date", "technician", "machine", "hours", "valve", "location", "drain", "adjuster", "oil", "remarks")
# Conditions with a number: the window to be met, and what was read.
WINDOWS = {
    "temperature window": "temperature",
    "speed window": "rotation",
    "least settling time": "time",
    "cleanliness target": "",
}
READ = {"oil temperature": "temperature", "engine speed": "rotation", "settling time": "time", "cleanliness": ""}
SECTIONS = ("as found", "as left")
CODE_MOST = 28  # scale number of ISO 4406
LEAST = 1e-9  # s, m3: less is no time to catch oil in, and no oil


@dataclass(frozen=True)
class Limit:
    """What a figure has to lie within (SI, ``None``: open), as entered."""

    figure: str
    low: float | None
    high: float | None
    text: str


@dataclass
class Section:
    """One set of readings, as found or as left. ``values`` hold each typed reading, repeated or not (SI)."""

    name: str
    table: Table | None = None
    step: Table | None = None
    values: dict[str, list[float]] = field(default_factory=dict)
    conditions: dict[str, str] = field(default_factory=dict)
    finished: str = ""
    adjustment: str = ""


@dataclass
class Readings:
    """A readings file, read. ``given`` are the numbers the form needs, ``assumed`` those not entered (SI);
    ``units`` are those of every sentence of the proof."""

    file: str
    title: str
    form: Form
    facts: dict[str, str]
    instruments: dict[str, Instrument]
    limits: dict[str, Limit]
    source: str
    given: dict[str, float]
    assumed: list[str]
    sections: list[Section]
    sha256: str = ""
    units: Units = "shop"

    def show(self, value: float, kind: str, digits: int | None = None) -> str:
        """A number (SI) as it is written on the sheet."""
        return quantity.show(value, kind, self.units, digits)

    def same_instrument(self, one: str, other: str) -> bool:
        """Whether two columns were read on one instrument."""
        return one in self.instruments and self.instruments[one] is self.instruments.get(other)


def read_readings(path: Path) -> Readings:
    """Read a readings file and the tables it names.  Errors: :class:`InputError` with file and line."""
    if path.suffix.lower() == ".csv":
        what = "a table alone says nothing of gauges and limits"
        raise InputError(Problem(Place(path.name), what, f"write a readings file with 'file: {path.name}' in it"))
    tree = read_file(path)
    return _Reader(tree, path.name, path.parent, [path.read_bytes()]).readings()


def readings_from_text(text: str, name: str = "text", folder: Path | None = None) -> Readings:
    """As :func:`read_readings`, from text; tables it names are looked for in ``folder``."""
    return _Reader(read_text(text, name), name, folder or Path(), [text.encode()]).readings()


def parse_limit(figure: str, text: str, kind: str) -> Limit:
    """A limit as typed.  Errors: :class:`QuantityError`.

    >>> limit = parse_limit("full-flow pressure", "200 bar +- 5 bar", "pressure")
    >>> limit.low / 1e5, limit.high / 1e5
    (195.0, 205.0)
    """
    plain = " ".join(text.replace("±", "+-").split())
    shown = plain.replace("+-", "±")
    for words, low in (("at most ", False), ("at least ", True)):
        if plain.startswith(words):
            bound = quantity.parse(plain.removeprefix(words), kind)
            return Limit(figure, bound if low else None, None if low else bound, shown)
    middle, found, around = plain.partition("+-")
    if found:
        centre, half = quantity.parse(middle.strip(), kind), abs(difference(around.strip(), kind))
        return Limit(figure, centre - half, centre + half, shown)
    if " to " in plain:
        return Limit(figure, *read_span(plain, kind), shown)
    example = quantity.KINDS[kind].example
    raise QuantityError(f"'{text}' is no limit", f"write 'at most {example}', 'A to B' or 'A +- B'")


def _is_code(text: str) -> bool:
    """Whether a text is a cleanliness code such as 18/16/13."""
    return re.fullmatch(r"\d{1,2}(/\d{1,2}){2}", text) is not None and max(map(int, text.split("/"))) <= CODE_MOST


class _Reader:
    """Reads one file, collecting every problem."""

    def __init__(self, tree: Block, name: str, folder: Path, bytes_read: list[bytes]) -> None:
        self.tree, self.name, self.folder, self.bytes_read = tree, name, folder, bytes_read
        self.problems = Problems()
        self.assumed: list[str] = []

    def readings(self) -> Readings:
        tree, problems = self.tree, self.problems
        check_format(tree, problems)
        form = self._form()
        own = ["format", "readings", "test", *FACTS, "conditions", "instruments", "limits", *SECTIONS]
        check_keys(tree, [*own, *form.given], problems, "readings")
        facts = {key: text_of(tree, key, problems, "readings", "") for key in FACTS if key in tree.items}
        title = text_of(tree, "readings", problems, "readings")
        instruments = self._instruments()
        limits, source = self._limits(form)
        given = self._given(form)
        sections = self._sections(form)
        problems.stop_if_any()
        digest = hashlib.sha256(b"\0".join(self.bytes_read)).hexdigest()
        return Readings(
            self.name, title, form, facts, instruments, limits, source, given, self.assumed, sections, digest
        )

    def _form(self) -> Form:
        name = text_of(self.tree, "test", self.problems, "readings")
        if name in FORMS:
            return FORMS[name]
        if name:
            self.problems.unknown_word(self.tree.place("test"), "readings", "test", name, FORMS)
        self.problems.stop_if_any()
        raise AssertionError("a missing test is a problem")

    def _instruments(self) -> dict[str, Instrument]:
        block = block_of(self.tree, "instruments", self.problems, "readings")
        return read_instruments(block, KNOWN, self.problems)

    def _limits(self, form: Form) -> tuple[dict[str, Limit], str]:
        block = block_of(self.tree, "limits", self.problems, "readings")
        if not block.items:
            return {}, ""
        check_keys(block, ["source", *form.figures], self.problems, f"limits of a {form.name} test")
        source = text_of(block, "source", self.problems, "limits")
        limits = {}
        for figure, kind in form.figures.items():
            if text := text_of(block, figure, self.problems, "limits", ""):
                read = partial(parse_limit, figure, kind=kind)
                limit = noted(block.place(figure), text, read, self.problems, f"limit of {figure}")
                if limit is not None:
                    limits[figure] = limit
        return limits, source

    def _given(self, form: Form) -> dict[str, float]:
        values = {}
        for key, given in form.given.items():
            text = text_of(self.tree, key, self.problems, f"a {form.name} test", given.default)
            if key not in self.tree.items and text:
                self.assumed.append(f"{key} not entered, taken as {text}: {given.meaning}")
            value = self._number(self.tree.place(key), text, given.kind, key)
            if value is None:
                if key in self.tree.items and not text:
                    self.problems.add(self.tree.place(key), f"{key} is empty")
                continue
            if given.kind != "temperature" and (value < 0 or (value == 0 and given.default is None)):
                self.problems.add(self.tree.place(key), f"{key} lies above zero")
            values[key] = value
        return values

    def _number(self, where: Place, text: str, kind: str, owner: str) -> float | None:
        if not text:
            return None
        return noted(where, text, partial(quantity.parse, kind=kind), self.problems, owner)

    def _sections(self, form: Form) -> list[Section]:
        shared = self._conditions(self.tree, form)
        found = []
        for name in SECTIONS:
            if name in self.tree.items:
                block = block_of(self.tree, name, self.problems, "readings")
                found.append(self._section(name, block, form, shared))
        if not found:
            self.problems.add(self.tree.where, "no readings", "put them under 'as found:' or 'as left:'")
        return found

    def _conditions(self, owner: Block, form: Form) -> dict[str, str]:
        block = block_of(owner, "conditions", self.problems, "readings")
        stated = {item.key: "yes" for item in form.stated}
        check_keys(block, [*WINDOWS, *READ, *stated], self.problems, "conditions")
        found = {key: text_of(block, key, self.problems, "conditions", "") for key in block.items}
        for key, text in found.items():
            kind = {**WINDOWS, **READ}.get(key)
            where = block.place(key)
            if key in stated and text not in ("yes", "no"):
                self.problems.add(where, f"{key}: yes or no?")
            elif key == "least settling time" or (kind and key in READ):
                self._number(where, text, kind or "", key)
            elif kind and key in WINDOWS:
                noted(where, text, partial(parse_limit, key, kind=kind), self.problems, key)
            elif kind == "" and not _is_code(text):
                self.problems.add(where, f"{key}: '{text}' is no code", "write '18/16/13'")
        return found

    def _section(self, name: str, block: Block, form: Form, shared: Mapping[str, str]) -> Section:
        keys = [*(("rows", "file") if form.columns else ()), *form.values, "conditions", "finished", "adjustment"]
        keys += ["step"] if "step peak" in form.figures else []
        check_keys(block, keys, self.problems, name)
        section = Section(name, conditions={**shared, **self._conditions(block, form)})
        section.finished = text_of(block, "finished", self.problems, name, "")
        section.adjustment = text_of(block, "adjustment", self.problems, name, "")
        if section.finished not in ("", "rising", "falling"):
            self.problems.add(block.place("finished"), f"{name}: finished rising or falling?")
        section.table = self._table(name, block, form)
        if "step" in block.items:
            section.step = self._file(block, "step", name, ("t", "P"), ("t", "P", "Q", "T"))
        elif form.name == "step":
            self.problems.add(block.where, f"{name}: no readings", "name a file of t and P: 'step: file.csv'")
        for key, value in form.values.items():
            text = text_of(block, key, self.problems, name, "")
            numbers = [self._number(block.place(key), t.strip(), value.kind, key) for t in re.split(r",\s+", text)]
            if known := [number for number in numbers if number is not None]:
                section.values[key] = known
                if value.kind in ("time", "volume") and min(known) < LEAST:
                    self.problems.add(block.place(key), f"{name}: {key} lies above zero")
            elif value.needed and not text:
                self.problems.add(block.where, f"{name}: missing key '{key}'")
        return section

    def _table(self, name: str, block: Block, form: Form) -> Table | None:
        if not form.columns or not {"rows", "file"} & set(block.items):
            if form.columns:
                self.problems.add(block.where, f"{name}: no readings", "type 'rows: |' or name a 'file:'")
            return None
        allowed = (*form.columns, *form.optional)
        if "file" in block.items:
            return self._file(block, "file", name, form.columns, allowed)
        rows = block.items["rows"]
        if not isinstance(rows, Text):
            self.problems.add(block.place("rows"), f"{name}: write 'rows: |', the table below it, indented")
            return None
        return self._read(lambda: read_table(rows.text, self.name, rows.where.line + 1), form.columns, allowed)

    def _file(
        self, block: Block, key: str, name: str, needed: tuple[str, ...], allowed: tuple[str, ...]
    ) -> Table | None:
        path = self.folder / text_of(block, key, self.problems, name)

        def read() -> Table:
            table = read_table_file(path)
            self.bytes_read.append(path.read_bytes())
            return table

        return self._read(read, needed, allowed)

    def _read(self, read: Callable[[], Table], needed: tuple[str, ...], allowed: tuple[str, ...]) -> Table | None:
        try:
            table = read()
        except InputError as err:
            for problem in err.problems:
                self.problems.add(problem.where, problem.what, problem.hint)
            return None
        where = Place(table.file, int(table.lines[0]) - 1)
        for column in needed:
            if column not in table.columns:
                self.problems.add(where, f"no column {column}, {COLUMNS[column][1]}")
        for column in table.columns:
            if column not in allowed:
                self.problems.add(
                    where, f"this test has no use for a column {column}", f"known: {', '.join(allowed)}"
                )
        return table
