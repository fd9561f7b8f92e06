"""The roster of a class: a CSV with student_id and name, one student a row."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass, field
from pathlib import Path

from oilway.errors import InputError, Place, Problem, did_you_mean

ID = "student_id"
NAMES = ("name",)
LARGEST = 5_000_000  # bytes
GOOD_ID = re.compile(r"[\w][\w .-]{0,60}")  # what a file name takes on any computer


@dataclass(frozen=True)
class Student:
    """One student; ``row`` of the roster, 0 without one."""

    id: str
    name: str = ""
    row: int = 0

    def place(self) -> str:
        """The student as messages name one."""
        return f"row {self.row}, student {self.id}" if self.row else f"student {self.id}"


@dataclass
class Roster:
    """The students that can be served, and what is wrong with the others."""

    students: list[Student]
    problems: list[Problem] = field(default_factory=list)

    def find(self, student_id: str) -> Student | None:
        """The student of an id."""
        return next((s for s in self.students if s.id == student_id), None)


def read_roster(path: Path) -> Roster:
    """Read a roster.  A row that cannot be used is named and left out; of two with one id neither is guessed.

    Errors: :class:`InputError` for a file that is no such table, or has no row.
    """
    rows = read_csv(path, (ID,), (*NAMES,))
    out = Roster([])
    seen: dict[str, int] = {}
    for number, row in rows:
        where = Place(path.name, number)
        student = Student(row[ID], row.get("name", ""), number)
        if not GOOD_ID.fullmatch(student.id) or student.id.endswith("."):
            what = f"'{student.id}' is no student id" if student.id else "no student id"
            out.problems.append(Problem(where, what, "letters, digits, '-', '_', '.' and spaces"))
        elif (first := seen.get(student.id.lower())) is not None:
            what = f"student id '{student.id}' stands here again, first on row {first}; this row is left out"
            out.problems.append(Problem(where, what, "give each student an id of their own"))
        else:
            seen[student.id.lower()] = number
            out.students.append(student)
    if not rows:
        raise InputError(Problem(Place(path.name), "no students on this roster", "a row for each below the head"))
    return out


def read_csv(path: Path, needed: tuple[str, ...], known: tuple[str, ...] = ()) -> list[tuple[int, dict[str, str]]]:
    """The rows of a CSV with a head, each with its number in the file; cells without blanks around them.

    Commas or semicolons; heads in any capitals, blanks as underscores.
    Errors: :class:`InputError` for a file that cannot be read or lacks a column.
    """
    try:
        if path.stat().st_size > LARGEST:
            raise InputError(Problem(Place(path.name), "larger than 5 MB: the wrong file"))
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(Problem(Place(path.name), "not UTF-8 text", "save it as CSV UTF-8")) from None
    except OSError as err:
        reason = "no such file" if isinstance(err, FileNotFoundError) else str(err.strerror).lower()
        raise InputError(Problem(Place(str(path)), reason)) from None
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text))
    try:
        lines = [(reader.line_num, [cell.strip() for cell in row]) for row in reader]
    except csv.Error as err:
        raise InputError(Problem(Place(path.name, reader.line_num), f"not readable as CSV: {err}")) from None
    columns = [cell.lower().replace(" ", "_") for cell in lines[0][1]] if lines else []
    missing = [name for name in needed if name not in columns]
    if missing:
        hint = (
            did_you_mean(missing[0], columns)
            or f"the first line names the columns: {', '.join((*needed, *known))}"
        )
        raise InputError(Problem(Place(path.name, 1), f"no column '{missing[0]}'", hint))
    return [
        (number, dict(zip(columns, [*row, *[""] * (len(columns) - len(row))], strict=False)))
        for number, row in lines[1:]
        if any(row)
    ]


def delimiter_of(text: str) -> str:
    """What separates the cells of a CSV: the semicolon where its head has more of them than commas.

    >>> delimiter_of("student_id;name"), delimiter_of("")
    (';', ',')
    """
    head = text.partition("\n")[0]
    return ";" if head.count(";") > head.count(",") else ","
