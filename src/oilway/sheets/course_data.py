"""Plain data of what a course prints beside worksheets: instructor's sheets and bench labs."""

from __future__ import annotations

from typing import Any

from oilway.quantity import Units
from oilway.sheets.class_data import AUTHORITY
from oilway.study.course import Course, Lab, Plan, board_number, lab_predicted, lab_units


def instructor_data(course: Course, plan: Plan, units: Units, handed: list[str]) -> dict[str, Any]:
    """The instructor's sheet of a lesson; ``handed`` names what is printed with it."""
    return {
        "course": course.title,
        "title": plan.title,
        "parts": [[key[:1].upper() + key[1:], list(said)] for key, said in plan.instructor.items()],
        "board": [[board.say, board_number(board, units)] for board in plan.board],
        "handed": handed,
        "caution": AUTHORITY,
    }


def lab_data(plan: Plan, lab: Lab, units: Units, *, instructor: bool) -> dict[str, Any]:
    """A bench lab, its rows to be filled in; for the instructor with what the model predicts."""
    rows = lab_predicted(lab, units)
    return {
        "title": f"{lab.title}: predicted" if instructor else lab.title,
        "subtitle": plan.title,
        "instructor": instructor,
        "steps": list(lab.steps),
        "cautions": list(lab.cautions),
        "limit": lab.limit.replace("+-", "±"),
        "head": [
            lab.word.replace(".", " "),
            *(
                f"{words.removeprefix('reading of ').replace('.', ' ')}, {unit}"
                for words, unit in zip(lab.read, lab_units(lab, units), strict=True)
            ),
        ],
        "rows": rows if instructor else [[row[0], *("" for _ in row[1:])] for row in rows],
        "caution": AUTHORITY,
    }
