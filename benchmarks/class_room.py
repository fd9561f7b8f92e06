"""How fast a class is served, and a thousand variants of each shipped question: all solve, none ties.

Run ``python -m benchmarks sheets``.  The targets: 20 s for 30 students with 10 questions, and 3 s for marking.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from oilway.class_files import write_worksheets
from oilway.study.mark_class import mark_class
from oilway.study.roster import Roster, Student
from oilway.study.story import examples
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, draw_class

PRINT, MARK = 20.0, 3.0  # s
STUDENTS, VARIANTS = 30, 1000
WORKSHEET = "direct_relief.yaml"  # ten questions


def run() -> bool:
    """Measure and print; False where a target is missed or a variant cannot be made."""
    return all([_speed(), *(_thousand(path) for path in _worksheets())])


def _worksheets() -> list[Path]:
    return sorted(path for path in (examples() / "class").glob("*.yaml") if path.stem != "course")


def _speed() -> bool:
    sheet = read_worksheet(examples() / "class" / WORKSHEET)
    students = [Student(f"S-{k:02d}") for k in range(STUDENTS)]
    with tempfile.TemporaryDirectory() as folder:
        begun = time.perf_counter()
        write_worksheets(draw_class(Drawer(sheet), students), Path(folder))
        printed = time.perf_counter() - begun
        answers = Path(folder) / "answers.csv"
        answers.write_text(answers.read_text(encoding="utf-8").replace(",,,", ",1,,"), encoding="utf-8")
        begun = time.perf_counter()
        marked = mark_class(lambda units: Drawer(sheet, units), Roster(students), answers)
        took = time.perf_counter() - begun
    print(
        f"{STUDENTS} students, {len(sheet.questions)} questions: printed in {printed:.1f} s of {PRINT:g} s, ",
        end="",
    )
    print(f"{len(marked.sheets)} marked in {took:.1f} s (target {MARK:g} s)")
    return printed <= PRINT and took <= MARK


def _thousand(path: Path) -> bool:
    begun = time.perf_counter()
    drawn = draw_class(Drawer(read_worksheet(path)), [Student(f"V-{k}") for k in range(VARIANTS)])
    again = sum(v.draws - 1 for v in drawn.variants)
    print(f"{path.stem}: {len(drawn.variants)} of {VARIANTS} variants, {again} drawn again, ", end="")
    print(f"{time.perf_counter() - begun:.0f} s", *drawn.failed[:3], sep="\n  " if drawn.failed else "")
    return not drawn.failed
