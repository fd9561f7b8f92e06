"""The bench log: every test sheet in one SQLite file, kept whole through a kill and between two writers.

Write-ahead log, full synchronisation, one transaction a sheet: what `store` returned is in the file, whatever
happens next.  A log written by a newer Oilway is refused before it is opened for writing.
"""

from __future__ import annotations

import csv
import io
import json
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any

from oilway import __version__, quantity
from oilway.errors import InputError, Place, Problem
from oilway.quantity import Units
from oilway.study.proof import Proof
from oilway.study.proof_data import proof_data

SCHEMA = 1  # raised when a table changes; a log with a higher number is refused
APPLICATION = 0x4F494C57  # "OILW", in the head of the file
PATIENCE = 15.0  # s to wait for another writer
_HEAD = b"SQLite format 3\x00"
_TABLES = """
CREATE TABLE sheet (
    id INTEGER PRIMARY KEY,
    stored TEXT NOT NULL,      -- UTC
    date TEXT NOT NULL,        -- of the test, as written
    machine TEXT NOT NULL,
    valve TEXT NOT NULL,
    technician TEXT NOT NULL,
    test TEXT NOT NULL,
    title TEXT NOT NULL,
    verdict TEXT NOT NULL,
    instruments TEXT NOT NULL,
    file TEXT NOT NULL,
    sha256 TEXT NOT NULL UNIQUE,
    version TEXT NOT NULL,     -- of Oilway
    data TEXT NOT NULL         -- the whole sheet, JSON in shop units
) STRICT;
CREATE TABLE figure (
    sheet INTEGER NOT NULL REFERENCES sheet (id),
    section TEXT NOT NULL,     -- as found, as left
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    value REAL NOT NULL,       -- SI
    uncertainty REAL NOT NULL, -- SI
    PRIMARY KEY (sheet, section, name)
) STRICT;
"""


@dataclass(frozen=True)
class Sheet:
    """One sheet of the log, without its data."""

    id: int
    stored: str
    date: str
    machine: str
    valve: str
    technician: str
    test: str
    title: str
    verdict: str
    instruments: str
    file: str
    sha256: str
    version: str


@dataclass(frozen=True)
class Entry:
    """One figure of one sheet, SI of ``kind``."""

    sheet: int
    date: str
    machine: str
    valve: str
    section: str
    name: str
    kind: str
    value: float
    uncertainty: float
    verdict: str


_COLUMNS = ", ".join(Sheet.__dataclass_fields__)


class BenchLog:
    """A bench log, open; use it as a context.  Errors of all methods: :class:`InputError`."""

    def __init__(self, path: Path, *, create: bool = False) -> None:
        """Open a log; ``create`` makes one where there is none."""
        self.path = path
        if not path.is_file() and not create:
            raise InputError(Problem(Place(str(path)), "no such bench log", "'oilway prove --log' begins one"))
        _refuse_other(path)
        try:
            self.db = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
            with self._told():
                _prepare(self.db)
        except sqlite3.OperationalError as err:
            raise InputError(Problem(Place(str(path)), f"cannot be opened: {err}")) from None

    def __enter__(self) -> BenchLog:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self.db.close()

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn what the database says into an error with the file's name."""
        try:
            yield
        except sqlite3.Error as err:
            self.db.close()
            hint = "another program holds it; try again" if "locked" in str(err) else ""
            raise InputError(Problem(Place(str(self.path)), f"bench log: {err}", hint)) from None

    def store(self, proof: Proof) -> tuple[int, bool]:
        """Number of the sheet of a proof, and whether it is new; the same readings are stored once."""
        values = _sheet_values(proof)
        names = ", ".join(values)
        marks = ", ".join("?" * len(values))
        with self._told(), _transaction(self.db):
            known = self.db.execute("SELECT id FROM sheet WHERE sha256 = ?", [values["sha256"]]).fetchone()
            if known is not None:
                return int(known[0]), False
            done = self.db.execute(f"INSERT INTO sheet ({names}) VALUES ({marks})", list(values.values()))
            number = int(done.lastrowid or 0)
            rows = [
                (number, found.section.name, f.name, f.kind, f.value, f.uncertainty)
                for found in proof.found
                for f in found.figures.values()
            ]
            self.db.executemany("INSERT INTO figure VALUES (?, ?, ?, ?, ?, ?)", rows)
        return number, True

    def sheets(self, machine: str = "", valve: str = "") -> list[Sheet]:
        """Every sheet, or those of one machine or valve, by the date of the test."""
        query = f"SELECT {_COLUMNS} FROM sheet WHERE {_OF} ORDER BY date, id"
        with self._told():
            return [Sheet(*row) for row in self.db.execute(query, {"machine": machine, "valve": valve})]

    def data(self, number: int) -> dict[str, Any]:
        """The whole sheet as it was stored."""
        with self._told():
            row = self.db.execute("SELECT data FROM sheet WHERE id = ?", [number]).fetchone()
        if row is None:
            raise InputError(Problem(Place(str(self.path)), f"there is no sheet {number}"))
        read: dict[str, Any] = json.loads(row[0])
        return read

    def entries(self, machine: str = "", valve: str = "", figure: str = "", section: str = "") -> list[Entry]:
        """Figures over time, by valve and date."""
        query = (
            "SELECT sheet, date, machine, valve, section, name, kind, value, uncertainty, verdict "
            f"FROM figure JOIN sheet ON sheet.id = figure.sheet WHERE {_OF} "
            "AND (:figure = '' OR name = :figure) AND (:section = '' OR section = :section) "
            "ORDER BY machine, valve, name, date, sheet, section"
        )
        wanted = {"machine": machine, "valve": valve, "figure": figure, "section": section}
        with self._told():
            return [Entry(*row) for row in self.db.execute(query, wanted)]

    def export(self, units: Units = "shop", machine: str = "", valve: str = "") -> str:
        """Every figure of every sheet as CSV, one a row."""
        sheets = {sheet.id: sheet for sheet in self.sheets(machine, valve)}
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        about = [name for name in Sheet.__dataclass_fields__ if name != "id"]
        writer.writerow(["sheet", *about, "section", "figure", "unit", "value", "uncertainty"])
        for entry in self.entries(machine, valve):
            facts = [_plain(getattr(sheets[entry.sheet], name)) for name in about]
            numbers = [quantity.number(x, entry.kind, units) for x in (entry.value, entry.uncertainty)]
            unit = quantity.unit(entry.kind, units)
            writer.writerow([entry.sheet, *facts, entry.section, entry.name, unit, *(f"{n:.9g}" for n in numbers)])
        return out.getvalue()


_OF = "(:machine = '' OR machine = :machine) AND (:valve = '' OR valve = :valve)"


def _plain(text: str) -> str:
    """A cell that a spreadsheet does not take for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t") else text


def _sheet_values(proof: Proof) -> dict[str, str]:
    readings = proof.readings
    facts = {key: readings.facts.get(key, "") for key in ("date", "machine", "valve", "technician")}
    instruments = "; ".join(
        f"{column}: {' '.join(filter(None, (item.ident, item.words)))}"
        for column, item in readings.instruments.items()
    )
    return {
        "stored": datetime.now(UTC).isoformat(timespec="seconds"),
        **facts,
        "test": readings.form.name,
        "title": readings.title,
        "verdict": proof.verdict.value,
        "instruments": instruments,
        "file": readings.file,
        "sha256": readings.sha256,
        "version": __version__,
        "data": json.dumps(proof_data(proof), allow_nan=False),
    }


@contextmanager
def _transaction(db: sqlite3.Connection) -> Iterator[None]:
    """Everything or nothing; the lock is taken first, so that two writers wait and do not collide."""
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


def _prepare(db: sqlite3.Connection) -> None:
    """Settings of the connection, and the tables of a new log."""
    # Turning the write-ahead log on does not wait for another writer by itself.
    last = time.monotonic() + PATIENCE
    while True:
        try:
            db.execute("PRAGMA journal_mode = WAL")
            break
        except sqlite3.OperationalError:
            if time.monotonic() > last:
                raise
            time.sleep(0.02)
    db.execute("PRAGMA synchronous = FULL")
    db.execute("PRAGMA foreign_keys = ON")
    if _version(db) == SCHEMA:
        return
    with _transaction(db):
        if _version(db) != SCHEMA:
            for statement in _TABLES.split(";\n"):
                db.execute(statement)
            db.execute(f"PRAGMA application_id = {APPLICATION}")
            db.execute(f"PRAGMA user_version = {SCHEMA}")


def _version(db: sqlite3.Connection) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])


def _refuse_other(path: Path) -> None:
    """Refuse a file that is no bench log, or one of a newer Oilway, without writing to it."""
    try:
        with path.open("rb") as file:
            head = file.read(100)
    except FileNotFoundError:
        return
    except OSError as err:
        raise InputError(Problem(Place(str(path)), str(err.strerror).lower())) from None
    if not head:
        return
    if len(head) < 100 or not head.startswith(_HEAD):
        raise InputError(Problem(Place(str(path)), "this is no bench log", "name a new file, such as bench.db"))
    # A newer number may still stand in the write-ahead log alone: asked read-only, which writes nothing back.
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=PATIENCE)) as db:
            version, application = _version(db), int(db.execute("PRAGMA application_id").fetchone()[0])
    except sqlite3.Error as err:
        raise InputError(Problem(Place(str(path)), f"bench log: {err}")) from None
    if application not in (0, APPLICATION) or (application == 0 and version != 0):
        raise InputError(Problem(Place(str(path)), "a database of another program, no bench log"))
    if version > SCHEMA:
        what = f"written by a newer Oilway (log version {version}, this one knows {SCHEMA}); left untouched"
        raise InputError(Problem(Place(str(path)), what, "update Oilway on this computer"))
