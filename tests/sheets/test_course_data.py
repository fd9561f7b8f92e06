"""Labs and instructor's sheets: the student's lab has no predicted number, the instructor's has them all."""

from __future__ import annotations

import json

from tests.classroom import CLASS

from oilway.sheets.class_sheets import sheets_pdf
from oilway.sheets.course_data import instructor_data, lab_data
from oilway.study.course import lab_predicted, read_course


def test_a_students_lab_has_blanks_where_the_instructors_has_numbers() -> None:
    for plan in read_course(CLASS / "course.yaml").plans:
        assert plan.lab is not None
        mine, told = (lab_data(plan, plan.lab, "shop", instructor=i) for i in (False, True))
        predicted = lab_predicted(plan.lab, "shop")
        assert told["rows"] == predicted
        assert [row[0] for row in mine["rows"]] == [row[0] for row in predicted]
        assert {cell for row in mine["rows"] for cell in row[1:]} == {""}
        assert all(
            cell not in json.dumps(mine) for row in predicted for cell in row[1:] if cell not in mine["limit"]
        )
        assert len(mine["head"]) == len(predicted[0])
        for data in (mine, told):
            assert sheets_pdf("lab", [data], "a4").startswith(b"%PDF")


def test_the_instructors_sheet_has_board_numbers_and_prints() -> None:
    course = read_course(CLASS / "course.yaml")
    data = instructor_data(course, course.plans[1], "metric", ["lab.pdf"])
    assert ["full flow", "158.6 bar"] in data["board"]  # 2300 psi
    assert next(name for name, _ in data["parts"]) == "Outcome"
    assert sheets_pdf("instructor", [data]).startswith(b"%PDF")
