"""The files of a marked class: gradebook, a feedback page a student as PDF and text, and the class summary."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from oilway import quantity
from oilway.class_files import csv_text, file_name, set_all, write_all
from oilway.quantity import Units
from oilway.sheets.class_data import AUTHORITY
from oilway.sheets.class_sheets import Sort
from oilway.study.mark_class import PASS, MarkedClass, Signed, failed_critical
from oilway.study.marking import Mark, Marked, key_words
from oilway.study.prose import plain, spoken

PRACTICAL = "(practical)"  # its item in the gradebook: no question can be called so
GRADEBOOK = ("student_id", "item", "variant", "answer", "unit", "key", "tol", "marks", "max", "comment")
WRITTEN = ("gradebook.csv", "summary.txt", "overrides.csv", "practical.csv")  # beside the folder of feedback


def write_marks(
    marked: MarkedClass, folder: Path, paper: str = "letter", tick: Callable[[], None] = lambda: None
) -> list[Path]:
    """Write gradebook.csv, summary.txt, overrides.csv, practical.csv and feedback pages; return what was written.

    Errors: :class:`InputError` for a place that cannot be written.
    """
    made: dict[Path, bytes | str] = {
        folder / "gradebook.csv": csv_text(GRADEBOOK, gradebook_rows(marked)),
        folder / "summary.txt": summary(marked),
    }
    kept = list(_overridden(marked))
    if kept:
        made[folder / "overrides.csv"] = csv_text(("student_id", "item", "computed", "marks", "comment"), kept)
    if marked.practical:
        head = ("student_id", "step", "done", "critical", "value", "limit", "passed", "marks", "max")
        made[folder / "practical.csv"] = csv_text(head, _practical_rows(marked))
    pages: list[tuple[Path, Sort, list[dict[str, Any]]]] = []
    for sheet in marked.sheets:
        data = feedback_data(sheet, marked.practical.get(sheet.variant.student.id, []))
        name = file_name(sheet.variant.student.id)
        pages.append((folder / "feedback" / f"{name}.pdf", "feedback", [data]))
        made[folder / "feedback" / f"{name}.txt"] = feedback_text(data)
        tick()
    made |= set_all(pages, paper)
    write_all(made)
    return list(made)


def gradebook_rows(marked: MarkedClass) -> Iterable[Sequence[object]]:
    """One row an item: answer as handed in, key and tolerance in the unit of the sheet, marks and comment.

    Then one row for each practical that was signed off: its result is the comment, and a critical step missed
    leaves no marks.
    """
    for sheet in marked.sheets:
        units = sheet.variant.units
        for mark in sheet.marks:
            item = mark.item
            unit = quantity.unit(item.quantity, units) if item.kind == "number" else ""
            key = key_words(item, sheet.variant)[0] if item.kind != "rubric" else ""
            tol = (
                f"{quantity.show(item.tolerance, item.quantity, units).removesuffix(unit).strip()}" if unit else ""
            )
            yield (sheet.variant.student.id, item.id, sheet.variant.code, mark.answer, unit,
                   key.removesuffix(unit).strip() if unit else key, tol, _plain(mark.marks), _plain(item.marks),
                   mark.comment)  # fmt: skip
    yield from _practical_results(marked)


def _practical_results(marked: MarkedClass) -> Iterable[Sequence[object]]:
    codes = {sheet.variant.student.id: sheet.variant.code for sheet in marked.sheets}
    for student, signed in marked.practical.items():
        got = 0.0 if failed_critical(signed) else sum(s.check.marks for s in signed if s.passed)
        answer = f"{sum(s.passed for s in signed)} of {len(signed)} steps"
        yield (student, PRACTICAL, codes.get(student, ""), answer, "", "", "", _plain(got),
               _plain(sum(s.check.marks for s in signed)), practical_verdict(signed))  # fmt: skip


def _plain(marks: float) -> str:
    return f"{marks:.2f}".rstrip("0").rstrip(".")


def _overridden(marked: MarkedClass) -> Iterable[Sequence[object]]:
    for sheet in marked.sheets:
        for mark in sheet.marks:
            if mark.computed is not None:
                yield (
                    sheet.variant.student.id,
                    mark.item.id,
                    _plain(mark.computed),
                    _plain(mark.marks),
                    mark.comment,
                )


def _practical_rows(marked: MarkedClass) -> Iterable[Sequence[object]]:
    for student, signed in marked.practical.items():
        for s in signed:
            yield (student, s.check.step, "yes" if s.done else "no", "yes" if s.check.critical else "", s.value,
                   plain(s.check.limit), "yes" if s.passed else "no", _plain(s.check.marks if s.passed else 0.0),
                   _plain(s.check.marks))  # fmt: skip


# -- feedback ----------------------------------------------------------------------------------------------
def feedback_data(sheet: Marked, signed: Sequence[Signed]) -> dict[str, Any]:
    """One student's page as plain data."""
    variant = sheet.variant
    return {
        "title": variant.sitting.worksheet.title,
        "student": variant.student.name or variant.student.id,
        "id": variant.student.id,
        "variant": variant.code,
        "total": f"{_plain(sheet.total)} of {_plain(sheet.most)}",
        "share": f"{sheet.total / sheet.most:.0%}" if sheet.most else "-",
        "open": sum(mark.open for mark in sheet.marks),
        "rows": [_feedback_row(mark, sheet) for mark in sheet.marks],
        "look": list(
            dict.fromkeys(f"{w.misconception}: {w.reveals}" for m in sheet.marks for w in m.misconceptions)
        ),
        "practical": [[s.check.step, _signed_words(s, variant.units)] for s in signed],
        "practical verdict": practical_verdict(signed),
        "caution": AUTHORITY,
    }


def _feedback_row(mark: Mark, sheet: Marked) -> dict[str, str]:
    key, counts = key_words(mark.item, sheet.variant)
    return {
        "item": mark.item.id,
        "answer": mark.answer or "-",
        "key": key if mark.item.kind != "rubric" else mark.item.prompt,
        "counts": counts,
        "marks": f"{_plain(mark.marks)} of {_plain(mark.item.marks)}",
        "comment": mark.comment,
    }


def _signed_words(signed: Signed, units: Units) -> str:
    done = "done" if signed.done else "NOT DONE"
    if signed.check.critical and not signed.passed:
        done += ", CRITICAL"
    if signed.value:
        within = {True: "within", False: "OUTSIDE", None: "against"}[signed.within]
        done += f"; {signed.value}, {within} {spoken(signed.check.limit, units)}"
    return done.replace("+-", "±")


def practical_verdict(signed: Sequence[Signed]) -> str:
    """Passed or not, with marks or the critical step that was missed; empty without a practical."""
    if not signed:
        return ""
    if critical := failed_critical(list(signed)):
        return f"Failed, a critical step was missed: {critical[0]}. To be done again."
    got, most = (sum(s.check.marks for s in signed if s.passed or every) for every in (False, True))
    return f"{'Passed' if got >= PASS * most else 'Not passed'}: {_plain(got)} of {_plain(most)}"


def feedback_text(data: dict[str, Any]) -> str:
    """The page as plain text."""
    lines = [
        data["title"],
        f"{data['student']} ({data['id']}), variant {data['variant']}",
        f"{data['total']}, {data['share']}",
        "",
    ]
    if data["open"]:
        lines += [f"{data['open']} to be marked by the instructor yet", ""]
    for row in data["rows"]:
        counts = f" ({row['counts']})" if row["counts"] else ""
        lines.append(
            f"{row['item']}: {row['marks']}. Yours: {row['answer']}. Key: {row['key']}{counts}. {row['comment']}"
        )
    if data["look"]:
        lines += ["", "Look at again", *(f"- {said}" for said in data["look"])]
    if data["practical"]:
        lines += [
            "",
            "Practical",
            *(f"- {step}: {said}" for step, said in data["practical"]),
            data["practical verdict"],
        ]
    return "\n".join([*lines, "", data["caution"], ""])


# -- the class ---------------------------------------------------------------------------------------------
def summary(marked: MarkedClass) -> str:
    """The class on one page: totals, misconceptions by how many showed them, items, practicals, what is open."""
    sheets = marked.sheets
    lines = [f"{marked.worksheet.title}: {len(sheets)} sheets marked"]
    if marked.missing:
        lines.append(f"nothing handed in: {', '.join(student.id for student in marked.missing)}")
    if not sheets:
        return "\n".join([*lines, ""])
    shares = sorted(s.total / s.most for s in sheets)
    passed = sum(share >= PASS for share in shares)
    middle = shares[len(shares) // 2] if len(shares) % 2 else sum(shares[len(shares) // 2 - 1 :][:2]) / 2
    lines.append(f"median {middle:.0%}, from {shares[0]:.0%} to {shares[-1]:.0%}; {passed} at {PASS:.0%} or above")
    open_ones = sum(mark.open for sheet in sheets for mark in sheet.marks)
    if open_ones:
        lines.append(f"{open_ones} rubric marks are to be entered yet: they count as 0 so far")
    lines += ["", "Misconceptions, by students"]
    lines += [f"  {count:3d}  {name}" for name, count in marked.misconceptions()] or ["  none named"]
    lines += ["", "Items, the hardest first"]
    by_item: dict[str, list[float]] = {}
    for sheet in sheets:
        for mark in sheet.marks:
            by_item.setdefault(mark.item.id, []).append(mark.marks / mark.item.marks)
    mean = {name: sum(got) / len(got) for name, got in by_item.items()}
    lines += [f"  {mean[name]:4.0%}  {name}" for name in sorted(mean, key=lambda n: (mean[n], n))]
    failed = {student: failed_critical(signed) for student, signed in marked.practical.items()}
    if marked.practical:
        lines += [
            "",
            f"Practicals signed off: {len(failed)}; failed by a critical step: {sum(map(bool, failed.values()))}",
        ]
        lines += [f"  {student}: {steps[0]}" for student, steps in failed.items() if steps]
    lines += ["", "Students"]
    lines += [
        f"  {s.variant.student.id}  {_plain(s.total)} of {_plain(s.most)}  {s.total / s.most:.0%}" for s in sheets
    ]
    return "\n".join([*lines, ""])
