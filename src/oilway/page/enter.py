"""Paper typed in on the page: answers, marks for reasoning, overrides and the practical, each in its file at once.

The three CSV files are the truth: every entry is written into its file at once, whole, and what is shown is read
from there.  What an answer is worth is what :mod:`oilway.study.mark_class` says of it.
"""

from __future__ import annotations

import hashlib
import shlex
import threading
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.files import write_whole
from oilway.mark_files import practical_verdict
from oilway.page.enter_keys import Keys
from oilway.study.csv_edit import CsvText
from oilway.study.entry import (
    ANSWERS,
    OVERRIDES,
    PRACTICAL,
    Field,
    cells,
    entered,
    fields,
    mark_told,
    override_cells,
    signed_told,
    value_of,
)
from oilway.study.mark_class import Answers, Handed, Signed, marked_sheet, read_handed
from oilway.study.marking import Marked
from oilway.study.roster import Roster, Student
from oilway.study.worksheet_draw import Variant

Data = dict[str, Any]


@dataclass
class _Sheet:
    """One student's sheet as the files have it."""

    student: Student
    variant: Variant
    fields: list[Field]
    answers: Answers
    marked: Marked
    signed: list[Signed] | None
    problems: list[Problem]

    def field(self, name: str) -> Field:
        """The field of a name: only what is asked can be written."""
        for field in self.fields:
            if field.name == name:
                return field
        what = f"'{name[:80]}' is not on this sheet"
        raise InputError(Problem(Place("page"), what, did_you_mean(name, [f.name for f in self.fields])))


class Enter:
    """The answers of a class typed in: ``answers``, ``overrides`` and ``practical`` are begun where need be."""

    def __init__(
        self, keys: Keys, roster: Roster, answers: Path, overrides: Path, practical: Path,
        command: tuple[str, ...] = (),
    ) -> None:  # fmt: skip
        """``command``: options of 'oilway mark' that name worksheet and roster, to be told.

        Errors: :class:`InputError` for a file that is there and is no such table.
        """
        self.keys, self.roster = keys, roster
        self.files = {"answers": answers, "overrides": overrides, "practical": practical}
        self.worksheet = keys.drawers["shop"].worksheet
        self._lock = threading.RLock()
        self._codes: dict[str, str] = {}  # read off a sheet, before the answers name it
        self.command = command
        self._read: tuple[str, Handed] | None = None  # mark of the files, and what they hold
        self.asked: dict[str, int] = {}  # how many fields of each group a sheet has
        handed = self._handed()
        codes = {name: own.code for name, own in handed.answers.items()}
        keys.start([(student, codes.get(student.id, "")) for student in roster.students])

    # -- answers to the page -------------------------------------------------------------------------------
    def state(self, name: str = "") -> Data:
        """The class, who has been entered how far, and the sheet of one student where one is named.

        Errors: :class:`InputError` for nobody of the roster, or a file that cannot be read any more.
        """
        with self._lock:
            handed = self._handed()
            sheet = self._sheet(name, handed) if name else None
            told = self._sheet_data(sheet) if sheet else None
            if not self.asked and (known := self.keys.any()):
                self._count(fields(known))
            return {
                "title": self.worksheet.title,
                "files": {which: path.name for which, path in self.files.items()},
                "was": self._mark(),
                "keys": self.ahead(),
                "asked": self.asked,
                "command": self._mark_command(),
                "students": [self._student_data(student, handed) for student in self.roster.students],
                "problems": [str(problem) for problem in [*self.roster.problems, *handed.problems]],
                "sheet": told,
            }

    def ahead(self) -> Data:
        """How many keys are solved."""
        return {"ready": min(self.keys.ready(), self.keys.of_class), "of": self.keys.of_class}

    def find(self, code: str) -> Data:
        """Whose sheet bears a code, which is that student's from now on.

        Errors: :class:`InputError` for nobody's, and where the answers name another code for that student.
        """
        student = self.keys.bearer(code, self.roster.students)
        if student is None:
            what = f"no sheet of this class bears '{code[:40]}'"
            raise InputError(Problem(Place("page"), what, "an id, a name, or the code printed on the sheet"))
        with self._lock:
            known = self._handed().answers.get(student.id)
            if known and known.code not in ("", code):
                what = f"the sheet of {student.id} is '{known.code}' in {self.files['answers'].name}, not '{code}'"
                raise InputError(Problem(Place("page"), what, "an older print is not marked against a newer key"))
            self._codes[student.id] = code
        return {"student": student.id}

    def check(self, name: str, field_name: str, typed: str) -> Data:
        """What an answer that is being typed would be worth; nothing is written."""
        with self._lock:
            handed = self._handed()
            sheet = self._sheet(name, handed)
            field = sheet.field(field_name)
            given = cells(field, typed)
            if field.item is None or not typed.strip():
                return {"mark": None}
            own = deepcopy(sheet.answers)
            if "marks" in given:
                own.marks[field.item.id] = float(given["marks"])
            else:
                own.texts[field.item.id] = f"{given['answer']} {given['unit']}".strip()
            marked = self._marked(own, sheet.variant, handed, [])
            told = next(mark_told(m, sheet.variant) for m in marked.marks if m.item.id == field.item.id)
            return {"mark": told}

    def put(self, name: str, field_name: str, typed: str, was: str) -> Data:
        """Write an answer into its file, and give the state after it.

        ``was`` is the mark of the files that the page has seen.  Errors: :class:`InputError` for what cannot be,
        and where a file has changed meanwhile; nothing is written then.
        """
        with self._lock:
            handed = self._unchanged(was)
            sheet = self._sheet(name, handed)
            field = sheet.field(field_name)
            given = cells(field, typed)
            if field.item is not None:
                keys = {"student_id": sheet.student.id, "item": field.item.id}
                self._write("answers", keys, {**given, "variant": sheet.variant.code})
            else:
                self._write("practical", *self._step(sheet.student, field, given))
            return self.state(name)

    def override(self, name: str, item: str, marks: str, reason: str, was: str) -> Data:
        """Set a mark with its reason, or without marks take the override back.  Errors: as :meth:`put`."""
        with self._lock:
            handed = self._unchanged(was)
            sheet = self._sheet(name, handed)
            field = sheet.field(f"item/{item}")
            assert field.item is not None
            keys = {"student_id": sheet.student.id, "item": item}
            self._write("overrides", keys, override_cells(field.item, marks, reason) if marks.strip() else None)
            return self.state(name)

    # -- the sheet -----------------------------------------------------------------------------------------
    def _sheet(self, name: str, handed: Handed) -> _Sheet:
        student = self.roster.find(name)
        if student is None:
            hint = did_you_mean(name, [s.id for s in self.roster.students])
            raise InputError(Problem(Place("page"), f"'{name[:80]}' is not on the roster", hint))
        own = deepcopy(handed.answers.get(student.id)) or Answers(student, 0)  # marking drops what cannot be
        problems: list[Problem] = []
        with self.keys.turn():
            variant = self.keys.of(student, own.code or self._codes.get(student.id, ""))
        marked = self._marked(own, variant, handed, problems)
        asked = fields(variant)
        self._count(asked)
        return _Sheet(student, variant, asked, own, marked, handed.practical.get(student.id), problems)

    def _count(self, asked: list[Field]) -> None:
        self.asked = {g: sum(f.group == g for f in asked) for g in ("answers", "reasoning")}
        self.asked["practical"] = len(self.worksheet.practical)

    def _marked(self, own: Answers, variant: Variant, handed: Handed, problems: list[Problem]) -> Marked:
        changed = handed.overrides.get(own.student.id, {})
        with self.keys.turn():  # an error carried forward is solved again
            return marked_sheet(own, variant, changed, (self.files["answers"], self.files["overrides"]), problems)

    def _sheet_data(self, sheet: _Sheet) -> Data:
        marks = {mark.item.id: mark_told(mark, sheet.variant) for mark in sheet.marked.marks}
        told = []
        for field in sheet.fields:
            value = value_of(field, sheet.answers, sheet.signed)
            mark = marks[field.item.id] if field.item else signed_told(field, sheet.signed)
            told.append({
                "name": field.name, "group": field.group, "sort": field.sort, "label": field.label,
                "ask": field.ask, "number": field.number, "unit": field.unit, "choices": field.choices,
                "most": field.most, "value": value,
                "critical": field.check is not None and field.check.critical, "mark": mark,
            })  # fmt: skip
        signed = sheet.signed or []
        return {
            "id": sheet.student.id,
            "name": sheet.student.name,
            "code": sheet.variant.code,
            "units": sheet.variant.units,
            "total": sheet.marked.total,
            "most": sheet.marked.most,
            "fields": told,
            "practical": practical_verdict(signed) if signed and all(s.said for s in signed) else "",
            "problems": [str(problem) for problem in sheet.problems],
        }

    def _student_data(self, student: Student, handed: Handed) -> Data:
        own = handed.answers.get(student.id)
        return {
            "id": student.id,
            "name": student.name,
            "code": own.code if own else "",
            "entered": entered(own, handed.practical.get(student.id)),
        }

    def _mark_command(self) -> str:
        """What makes the gradebook of these files."""
        more = [
            word
            for which in ("overrides", "practical")
            if self.files[which].exists()
            for word in (f"--{which}", str(self.files[which]))
        ]
        folder = str(self.files["answers"].with_name("marks"))
        return shlex.join(["oilway", "mark", str(self.files["answers"]), *self.command, *more, "-o", folder])

    # -- the files -----------------------------------------------------------------------------------------
    def _handed(self) -> Handed:
        """What the files hold, read again where one has changed."""
        mark = self._mark()
        if self._read is None or self._read[0] != mark:
            checks = {units: drawer.worksheet.practical for units, drawer in self.keys.drawers.items()}
            answers, overrides, signed = (path if path.exists() else None for path in self.files.values())
            self._read = mark, read_handed(self.roster, checks, answers, overrides, signed, self.keys.units_of)
        return self._read[1]

    def _text(self, which: str) -> str:
        return _bytes(self.files[which]).decode()

    def _mark(self) -> str:
        mark = hashlib.sha256()
        for path in self.files.values():
            data = _bytes(path)
            mark.update(f"{len(data)} ".encode() + data)
        return mark.hexdigest()

    def _unchanged(self, was: str) -> Handed:
        handed = self._handed()
        if was != self._mark():
            what = "a file was changed meanwhile, by another program or at another screen"
            raise InputError(Problem(Place("page"), what, "look at it again, then press Enter once more"))
        return handed

    def _step(
        self, student: Student, field: Field, given: dict[str, str]
    ) -> tuple[dict[str, str], dict[str, str]]:
        """Row and cells of a step: by its number where the file calls it so, else by its words."""
        assert field.check is not None
        keys = {"student_id": student.id, "step": field.name.partition("/")[2]}
        if not CsvText(self._text("practical"), PRACTICAL).has(keys):
            keys["step"] = field.check.step
        return keys, given

    def _write(self, which: str, keys: dict[str, str], given: dict[str, str] | None) -> None:
        """Set one row of a file; without cells the row goes."""
        before = self._text(which)
        columns = {"answers": ANSWERS, "overrides": OVERRIDES, "practical": PRACTICAL}[which]
        table = CsvText(before, columns)
        if given is None:
            table.drop(keys)
        else:
            # Of two rows for the same, marking takes the first answer, but the last override and signature.
            table.put(keys, given, last=which != "answers")
        if table.text() != before:
            write_whole(self.files[which], table.text())


def _bytes(path: Path) -> bytes:
    """What a file holds; nothing where there is none.  Errors: :class:`InputError` for one that cannot be read."""
    try:
        return path.read_bytes()
    except FileNotFoundError:
        return b""
    except OSError as err:
        raise InputError(Problem(Place(str(path)), f"cannot be read: {str(err.strerror).lower()}")) from None
