"""A class marked: the answers of a CSV against the variants they belong to, overrides, and the practical."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from oilway import quantity
from oilway.errors import OilwayError, Place, Problem, QuantityError, did_you_mean
from oilway.quantity import Units
from oilway.study.marking import Mark, Marked, mark_sheet
from oilway.study.prose import plain
from oilway.study.readings import parse_limit
from oilway.study.roster import Roster, Student, read_csv
from oilway.study.worksheet import Check, Worksheet
from oilway.study.worksheet_draw import Drawer, Variant

PASS = 0.70  # share of the marks (common practice; varies by jurisdiction)
Overrides = dict[str, dict[str, tuple[int, float, str]]]  # row, marks and reason by student and item
YES, NO = ("yes", "y", "1", "x", "true"), ("no", "n", "0", "false")


@dataclass
class Answers:
    """What one student handed in: texts by item, the instructor's rubric marks by item, the variant's code."""

    student: Student
    row: int
    code: str = ""
    texts: dict[str, str] = field(default_factory=dict)
    marks: dict[str, float] = field(default_factory=dict)
    rows: dict[str, int] = field(default_factory=dict)

    @property
    def given(self) -> bool:
        """Whether anything was handed in: a printed list has an empty row for every item."""
        return bool(self.marks or any(self.texts.values()))


@dataclass
class Signed:
    """One line of the practical as signed off: done or not, and the measured value against its limit.

    ``said`` is false where nobody has signed it either way yet: it counts as not done.
    """

    check: Check
    done: bool
    value: str = ""
    within: bool | None = None
    said: bool = True

    @property
    def passed(self) -> bool:
        """Done, and what was measured lies within its limit."""
        return self.done and self.within is not False


@dataclass
class MarkedClass:
    """The marked sheets, practicals by student id, who handed nothing in, what could not be marked and why."""

    worksheet: Worksheet
    sheets: list[Marked] = field(default_factory=list)
    practical: dict[str, list[Signed]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    missing: list[Student] = field(default_factory=list)

    def misconceptions(self) -> list[tuple[str, int]]:
        """How many students showed which misconception, the most frequent first."""
        named: Counter[str] = Counter()
        for sheet in self.sheets:
            named.update({w.misconception for mark in sheet.marks for w in mark.misconceptions})
        return sorted(named.items(), key=lambda pair: (-pair[1], pair[0]))


def failed_critical(signed: list[Signed]) -> list[str]:
    """The critical steps of a practical that were not done: any of them fails the whole."""
    return [s.check.step for s in signed if s.check.critical and not s.passed]


def mark_class(
    drawer: Callable[[quantity.Units], Drawer], roster: Roster, answers: Path,
    overrides: Path | None = None, practical: Path | None = None, tick: Callable[[], None] = lambda: None,
) -> MarkedClass:  # fmt: skip
    """Mark the answers of a class; what cannot be marked is named by its row, and the rest goes on.

    ``drawer`` gives the drawer of each of the units a sheet may be printed in.
    Errors: :class:`InputError` for a file that is no such table.
    """
    drawers = {units: drawer(units) for units in quantity_units()}
    out = MarkedClass(drawers["shop"].worksheet)
    checks = {units: own.worksheet.practical for units, own in drawers.items()}
    units_of = partial(printed_in, drawers)
    handed = read_handed(roster, checks, answers, overrides, practical, units_of)
    out.problems += [*roster.problems, *handed.problems]
    out.practical, changed = handed.practical, dict(handed.overrides)
    for own in handed.answers.values():
        if not own.given:
            out.missing.append(own.student)
        elif (variant := _variant(own, drawers, answers.name, out.problems)) is not None:
            own_changes = changed.pop(own.student.id, {})
            out.sheets.append(marked_sheet(own, variant, own_changes, (answers, overrides), out.problems))
        tick()
    for student, rows in changed.items():
        for row, _, _ in rows.values():
            what = f"'{student}' has no marked sheet to override"
            out.problems.append(Problem(Place(str(overrides), row), what))
    return out


@dataclass
class Handed:
    """Everything a class handed in, as its files have it, by student id; and the rows that cannot be read."""

    answers: dict[str, Answers]
    overrides: Overrides
    practical: dict[str, list[Signed]]
    problems: list[Problem]


def read_handed(
    roster: Roster, checks: Mapping[Units, Sequence[Check]], answers: Path | None, overrides: Path | None,
    practical: Path | None, units_of: Callable[[Student, str], Units],
) -> Handed:  # fmt: skip
    """What was handed in; ``checks`` is the practical, ``units_of`` says in which units a code was printed.

    Errors: :class:`InputError` for a file that is no such table.
    """
    problems: list[Problem] = []
    read = _read_answers(answers, roster, problems) if answers else {}
    changed = _read_overrides(overrides, roster, problems) if overrides else {}
    signed: dict[str, list[Signed]] = {}
    if practical:
        of_student = {name: units_of(own.student, own.code) for name, own in read.items()}
        signed = _read_practical(practical, roster, checks, of_student, problems)
    return Handed(read, changed, signed, problems)


def printed_in(drawers: Mapping[Units, Drawer], student: Student, code: str) -> Units:
    """The units of the sheet that bears a code; shop units without one."""
    bearing = (units for units, drawer in drawers.items() if code and drawer.bears(student, code) is not None)
    return next(bearing, "shop")


def marked_sheet(
    handed: Answers, variant: Variant, changed: dict[str, tuple[int, float, str]],
    files: tuple[Path, Path | None], problems: list[Problem],
) -> Marked:  # fmt: skip
    """One student's sheet marked, with what the instructor ``changed``; ``files`` name answers and overrides."""
    _check_items(handed, variant, files[0].name, problems)
    sheet = mark_sheet(variant, handed.texts, handed.marks)
    _override(sheet, changed, files[1], problems)
    return sheet


def quantity_units() -> tuple[quantity.Units, ...]:
    """The units a sheet may be printed in."""
    return ("shop", "metric")


# -- answers -----------------------------------------------------------------------------------------------
def _read_answers(path: Path, roster: Roster, problems: list[Problem]) -> dict[str, Answers]:
    found: dict[str, Answers] = {}
    for number, row in read_csv(path, ("student_id", "item", "answer"), ("variant", "unit", "marks")):
        where = Place(path.name, number)
        student = _student(row, roster, where, problems)
        if student is None:
            continue
        own = found.setdefault(student.id, Answers(student, number))
        code, item = row.get("variant", ""), row["item"]
        if code and own.code and code != own.code:
            what = f"variant '{code}', but '{own.code}' above for the same student; this row is left out"
            problems.append(Problem(where, what))
            continue
        if item in own.rows:
            what = f"item '{item}' of {student.id} stands here again, first on row {own.rows[item]}; left out"
            problems.append(Problem(where, what))
            continue
        own.code, own.rows[item] = own.code or code, number
        own.texts[item] = f"{row['answer']} {row.get('unit', '')}".strip()
        marks = row.get("marks", "")
        if marks and (given := _number(marks, where, problems)) is not None:
            own.marks[item] = given
    return found


def _student(row: dict[str, str], roster: Roster, where: Place, problems: list[Problem]) -> Student | None:
    student = roster.find(row["student_id"])
    if student is None:
        hint = did_you_mean(row["student_id"], [s.id for s in roster.students])
        problems.append(Problem(where, f"'{row['student_id']}' is not on the roster", hint))
    return student


def _number(text: str, where: Place, problems: list[Problem]) -> float | None:
    try:
        return quantity.parse(text, "number")
    except QuantityError as err:
        problems.append(Problem(where, f"marks: {err.what}"))
        return None


def _variant(
    handed: Answers, drawers: dict[quantity.Units, Drawer], name: str, problems: list[Problem]
) -> Variant | None:
    """The variant that answers belong to; without a code, the one in shop units."""
    where = Place(name, handed.row)
    try:
        if not handed.code:
            return drawers["shop"].variant(handed.student)
        for drawer in drawers.values():
            if (found := drawer.printed(handed.student, handed.code)) is not None:
                return found
    except OilwayError as err:
        problems.append(Problem(where, f"{handed.student.id}: {str(err).splitlines()[0]}"))
        return None
    problems.append(unknown_variant(where, handed.code, handed.student))
    return None


def unknown_variant(where: Place, code: str, student: Student) -> Problem:
    """What is wrong with a code that no draw of a student bears."""
    hint = "was the worksheet, its valve or machine file, or the seed changed since it was printed?"
    return Problem(where, f"variant '{code}' is not known for {student.id}", hint)


def _check_items(handed: Answers, variant: Variant, name: str, problems: list[Problem]) -> None:
    known = {item.id: item for item in variant.items}
    for item, row in handed.rows.items():
        where = Place(name, row)
        if item not in known:
            problems.append(Problem(where, f"there is no item '{item}' on this sheet", did_you_mean(item, known)))
        elif (given := handed.marks.get(item)) is not None and not 0 <= given <= known[item].marks:
            what = f"{given:g} marks for '{item}', which has {known[item].marks:g}; left open"
            problems.append(Problem(where, what))
            del handed.marks[item]


# -- overrides ---------------------------------------------------------------------------------------------
def _read_overrides(path: Path, roster: Roster, problems: list[Problem]) -> Overrides:
    """By student and item: row, marks and the reason, which has to be there."""
    found: Overrides = {}
    for number, row in read_csv(path, ("student_id", "item", "marks", "reason")):
        where = Place(path.name, number)
        student, marks = _student(row, roster, where, problems), _number(row["marks"], where, problems)
        if not row["reason"]:
            problems.append(Problem(where, "an override needs its reason; it is left out"))
        elif student is not None and marks is not None:
            found.setdefault(student.id, {})[row["item"]] = (number, marks, row["reason"])
    return found


def _override(
    sheet: Marked, changed: dict[str, tuple[int, float, str]], path: Path | None, problems: list[Problem]
) -> None:
    by_item = {mark.item.id: mark for mark in sheet.marks}
    for item, (row, marks, reason) in changed.items():
        where, mark = Place(path.name if path else "", row), by_item.get(item)
        if mark is None:
            problems.append(
                Problem(where, f"there is no item '{item}' on this sheet", did_you_mean(item, by_item))
            )
        elif not 0 <= marks <= mark.item.marks:
            problems.append(Problem(where, f"{marks:g} marks for '{item}', which has {mark.item.marks:g}"))
        else:
            _set(mark, marks, reason)


def _set(mark: Mark, marks: float, reason: str) -> None:
    """Override a mark; what was computed stays beside it, with the reason."""
    mark.computed, mark.marks, mark.open = mark.marks, marks, False
    mark.comment = f"{mark.comment}; set from {mark.computed:g} to {marks:g} by the instructor: {reason}"


# -- practical ---------------------------------------------------------------------------------------------
def _read_practical(
    path: Path, roster: Roster, checks: Mapping[Units, Sequence[Check]], of_student: Mapping[str, Units],
    problems: list[Problem],
) -> dict[str, list[Signed]]:  # fmt: skip
    """The checklist of each student, in the units of the sheet handed in; a step without a row was not done."""
    found: dict[str, dict[int, Signed]] = {}
    places = {check.step: k for known in checks.values() for k, check in enumerate(known)}
    numbered = {str(k + 1): k for k in places.values()}
    own = {student.id: checks[of_student.get(student.id, "shop")] for student in roster.students}
    for number, row in read_csv(path, ("student_id", "step", "done"), ("value",)):
        where = Place(path.name, number)
        student = _student(row, roster, where, problems)
        k = (numbered | places).get(row["step"])
        done = row["done"].lower()
        if k is None:
            problems.append(Problem(where, f"there is no step '{row['step']}'", did_you_mean(row["step"], places)))
        elif done not in (*YES, *NO, ""):
            problems.append(Problem(where, f"done: '{row['done']}' is neither yes nor no"))
        elif student is not None:
            signed = Signed(own[student.id][k], done in YES, row.get("value", ""), said=done != "")
            _measure(signed, where, problems)
            found.setdefault(student.id, {})[k] = signed
    return {
        student: [signed.get(k, Signed(c, False, said=False)) for k, c in enumerate(own[student])]
        for student, signed in found.items()
    }


def _measure(signed: Signed, where: Place, problems: list[Problem]) -> None:
    """Hold a measured value against its limit; a limit without a value is not met."""
    if not signed.check.limit:
        return
    if not signed.value:
        signed.within = False if signed.done else None
        return
    held = plain(signed.check.limit)
    for kind in quantity.KINDS:
        try:
            limit, value = (
                parse_limit(signed.check.step, held, kind),
                quantity.parse(signed.value, kind),
            )
        except QuantityError:
            continue
        low, high = limit.low, limit.high
        signed.within = (low is None or value >= low) and (high is None or value <= high)
        return
    problems.append(Problem(where, f"'{signed.value}' cannot be held against the limit {held}"))
