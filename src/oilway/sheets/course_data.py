"""Plain data of what a course prints beside worksheets: instructor's sheets and bench labs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from oilway.model.pool import Pool
from oilway.quantity import Units
from oilway.sheets.class_data import AUTHORITY
from oilway.study.course import Course, Lab, Plan, board_number, lab_predicted, lab_units
from oilway.study.prose import spoken


def instructor_data(
    course: Course, plan: Plan, units: Units, handed: list[str], pool: Pool | None = None
) -> dict[str, Any]:
    """The instructor's sheet of a lesson; ``handed`` names what is printed with it."""
    return {
        "course": spoken(course.title, units),
        "title": spoken(plan.title, units),
        "parts": [[key[:1].upper() + key[1:], _all(said, units)] for key, said in plan.instructor.items()],
        "board": [[spoken(board.say, units), board_number(board, units, pool)] for board in plan.board],
        "handed": _all(handed, units),
        "caution": AUTHORITY,
    }


def lab_data(plan: Plan, lab: Lab, units: Units, pool: Pool | None = None, *, instructor: bool) -> dict[str, Any]:
    """A bench lab, its rows to be filled in; for the instructor with what the model predicts."""
    rows, title = lab_predicted(lab, units, pool), spoken(lab.title, units)
    return {
        "title": f"{title}: predicted" if instructor else title,
        "subtitle": spoken(plan.title, units),
        "instructor": instructor,
        "steps": _all(lab.steps, units),
        "cautions": _all(lab.cautions, units),
        "limit": spoken(lab.limit, units).replace("+-", "±"),
        "head": [
            lab.word.replace(".", " "),
            *(
                f"{words.removeprefix('reading of ').replace('.', ' ')}, {unit}"
                for words, unit in zip(lab.read, lab_units(lab, units, pool), strict=True)
            ),
        ],
        "rows": rows if instructor else [[row[0], *("" for _ in row[1:])] for row in rows],
        "caution": AUTHORITY,
    }


def _all(texts: Sequence[str], units: Units) -> list[str]:
    return [spoken(text, units) for text in texts]
