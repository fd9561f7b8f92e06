"""A term in one folder: for each lesson everything that is printed, and the page that is shown."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from oilway.class_files import worksheet_files, write_all
from oilway.model.pool import Pool
from oilway.page.lesson_page import lesson_data, lesson_html
from oilway.quantity import Units
from oilway.sheets.class_sheets import sheets_pdf
from oilway.sheets.course_data import instructor_data, lab_data
from oilway.study.course import Course, Plan
from oilway.study.lesson import open_lesson
from oilway.study.roster import Student
from oilway.study.worksheet_draw import Drawer, draw_class


def write_term(
    course: Course, students: Sequence[Student], folder: Path, units: Units = "shop", paper: str = "letter",
    seed: str = "", *, pages: bool = True, tick: Callable[[], None] = lambda: None,
) -> tuple[list[Path], list[str]]:  # fmt: skip
    """Write a folder a lesson; what was written, and who could not be served and why.

    Nothing is written before the whole term is made.  The same files and seed give the same bytes.  ``pages``:
    also each lesson file as one page for the projector.
    Errors: :class:`InputError` for what cannot be printed or written.
    """
    made: dict[Path, bytes | str] = {}
    pool = Pool()
    failed: list[str] = []
    for number, plan in enumerate(course.plans, 1):
        place = folder / f"{number:02d}-{_plain(plan.title)}"
        handed: list[str] = []
        for name, sheet in (("worksheet", plan.worksheet), ("hidden-fault", plan.fault)):
            if sheet is not None:
                drawn = draw_class(Drawer(sheet, units, seed, pool), students)
                made |= worksheet_files(drawn, place / name, paper, merged=True)
                failed += drawn.failed
                handed.append(f"{name}: {sheet.title}")
        made |= _lab(plan, place, units, paper, handed, pool)
        for path in plan.pages if pages else ():
            name = "lesson.html" if path == plan.pages[0] else f"lesson-{_plain(path.stem)}.html"
            lesson = open_lesson(str(path), {})
            made[place / name] = lesson_html(lesson_data(lesson))
            handed.append(f"{name}: the page for the projector, {lesson.title}")
        made[place / "instructor.pdf"] = sheets_pdf(
            "instructor", [instructor_data(course, plan, units, handed, pool)], paper
        )
        tick()
    write_all(made)
    return list(made), failed


def _plain(title: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")


def _lab(
    plan: Plan, place: Path, units: Units, paper: str, handed: list[str], pool: Pool
) -> dict[Path, bytes | str]:
    if plan.lab is None:
        return {}
    handed.append(f"lab.pdf: {plan.lab.title}, and lab-predicted.pdf")
    return {
        place / f"lab{end}.pdf": sheets_pdf("lab", [lab_data(plan, plan.lab, units, pool, instructor=told)], paper)
        for end, told in (("", False), ("-predicted", True))
    }
