"""How fast a class is served: sheets, keys and PDFs printed, answers marked with feedback pages.

Run ``python -m benchmarks sheets``.  The targets: 20 s for 30 students with 10 questions, and 3 s for marking.
Every third answer is wrong, so that misconceptions and carried errors are looked for; processor time is told too.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from benchmarks.class_beliefs import perfect
from oilway import quantity
from oilway.class_files import csv_text, write_worksheets
from oilway.mark_files import write_marks
from oilway.study.mark_class import mark_class
from oilway.study.roster import Roster, Student
from oilway.study.story import examples
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant, draw_class

PRINT, MARK = 20.0, 3.0  # s
STUDENTS = 30
WORKSHEETS = sorted(path for path in (examples() / "class").glob("*.yaml") if path.name != "course.yaml")
WRONG, EACH = 1.3, 3  # times the key, in each third answer


def run() -> bool:
    """Measure and print; False where a target is missed."""
    met = [_speed(path) for path in WORKSHEETS]
    return all(met)


def _speed(path: Path) -> bool:
    sheet = read_worksheet(path)
    students = [Student(f"S-{k:02d}") for k in range(STUDENTS)]
    with tempfile.TemporaryDirectory() as folder:
        printing = Stopwatch()
        drawn = draw_class(Drawer(sheet), students)
        write_worksheets(drawn, Path(folder))
        printed = printing.told()
        answers = _answered(drawn.variants, Path(folder) / "answers.csv")
        marking = Stopwatch()
        marked = mark_class(lambda units: Drawer(sheet, units), Roster(students), answers)
        computed = marking.told()
        write_marks(marked, Path(folder) / "marks")
    print(f"{path.stem}, {STUDENTS} students, {len(sheet.questions)} questions:")
    print(f"  printed in {printed} of {PRINT:g} s, ", end="")
    print(f"{len(marked.sheets)} marked in {computed} (target {MARK:g} s), with feedback pages {marking.told()}")
    return printing.wall <= PRINT and marking.wall <= MARK


class Stopwatch:
    """Wall and processor time since it was made."""

    def __init__(self) -> None:
        self._begun, self._used = time.perf_counter(), time.process_time()
        self.wall = 0.0

    def told(self) -> str:
        """Both in words; ``wall`` is kept."""
        self.wall = time.perf_counter() - self._begun
        return f"{self.wall:.1f} s ({time.process_time() - self._used:.1f} s of processor)"


def _answered(variants: Sequence[Variant], path: Path) -> Path:
    """A class that answers each third number wrongly, as a CSV."""
    rows: list[tuple[str, ...]] = [("student_id", "variant", "item", "answer")]
    for variant in variants:
        right = perfect(variant)
        for k, item in enumerate(variant.items):
            text = right.get(item.id, "")
            if item.kind == "number" and k % EACH == 0:
                text = quantity.show(WRONG * item.size(), item.quantity, variant.units)
            rows.append((variant.student.id, variant.code, item.id, text))
    path.write_text(csv_text(rows[0], rows[1:]), encoding="utf-8")
    return path
