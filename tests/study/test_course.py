"""Courses: read with every mistake told, and their numbers solved from the files as they are."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import CLASS, PSI

import oilway
from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.study.course import INSTRUCTOR, board_number, lab_predicted, lab_units, read_course

TEXT = """format: 1
course: a test
lessons:
  - title: one
    board:
      - {say: full flow, file: direct relief, set: {load pressure: 5000 psi}, answer: pressure of inlet}
    lab:
      file: direct relief
      set: {load pressure: 5000 psi}
      rows: {pump flow: [9 gpm, 18 gpm]}
      read: [pressure of inlet, power over seat]
"""


def write(folder: Path, text: str = TEXT) -> Path:
    path = folder / "course.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_shipped_course_is_complete() -> None:
    """Every lesson has page, worksheet with practical, hidden fault, lab, board and a whole instructor's sheet."""
    course = read_course(CLASS / "course.yaml")
    assert len(course.plans) == 8
    for plan in course.plans:
        assert plan.pages
        assert plan.worksheet is not None
        assert any(check.critical for check in plan.worksheet.practical)
        assert plan.fault is not None
        assert plan.lab is not None
        assert plan.lab.cautions
        assert plan.board
        assert set(plan.instructor) == set(INSTRUCTOR)


def test_numbers_are_the_models(tmp_path: Path) -> None:
    plan = read_course(write(tmp_path)).plans[0]
    assert board_number(plan.board[0], "shop") == "2300 psi"
    assert plan.lab is not None
    rows = lab_predicted(plan.lab, "shop")
    machine = oilway.load("direct relief")
    half = solve_point(machine, machine.point_from({"load pressure": "5000 psi", "pump flow": "9 gpm"}))
    assert rows[0][:2] == ["9.00 gpm", f"{half.pressures['inlet'] / PSI:.0f} psi"]
    assert rows[1][1] == "2300 psi"
    assert lab_units(plan.lab, "metric") == ["bar", "kW"]
    assert lab_predicted(plan.lab, "metric")[1][0] == "68.14 L/min"


def test_a_changed_valve_changes_the_board(tmp_path: Path) -> None:
    text = TEXT.replace(
        "file: direct relief, set", "file: direct relief, change: {setting: 2500 psi at 18 gpm}, set"
    )
    assert board_number(read_course(write(tmp_path, text)).plans[0].board[0], "shop") == "2500 psi"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("title: one", "titel: one", "did you mean 'title'"),
        ("    board:", "    worksheet: none.yaml\n    board:", "no file 'none.yaml'"),
        ("    board:", "    instructor: {outcom: x}\n    board:", "did you mean 'outcome'"),
        ("file: direct relief\n", "file: direct relif\n", "did you mean 'direct relief'"),
        ("rows: {pump flow: [9 gpm, 18 gpm]}", "rows: {}", "varies one word"),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as told:
        read_course(write(tmp_path, TEXT.replace(old, new)))
    assert "course.yaml:" in str(told.value)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("read: [pressure of inlet,", "read: [pressure of inle,", "no pressure of 'inle'"),
        ("pump flow: [9 gpm", "pump flow: [9 psi", "is a pressure"),
        ("rows: {pump flow:", "rows: {pump flw:", "unknown word 'pump flw'"),
    ],
)
def test_a_lab_that_cannot_be_solved_is_told_with_its_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    lab = read_course(write(tmp_path, TEXT.replace(old, new))).plans[0].lab
    assert lab is not None
    with pytest.raises(InputError, match=said) as told:
        lab_predicted(lab, "shop")
    assert "course.yaml:" in str(told.value)


def test_a_course_without_lessons(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no lessons"):
        read_course(write(tmp_path, "format: 1\ncourse: a\nlessons: []\n"))


def test_a_number_for_the_board_may_have_a_fault(tmp_path: Path) -> None:
    text = TEXT.replace(
        "file: direct relief, set", "file: direct relief, fault: 'direct-acting relief: FAULT', set"
    )
    soft = text.replace("FAULT", "spring soft or broken, 50 %")
    said = board_number(read_course(write(tmp_path, soft)).plans[0].board[0], "shop")
    assert float(said.removesuffix(" psi")) < 0.6 * 2300  # it is set to 2300 psi with the sound spring
    for wrong, said in (("spring sot, 50 %", "no fault"), ("spring soft or broken", "how bad")):
        with pytest.raises(InputError, match=said) as told:
            board_number(read_course(write(tmp_path, text.replace("FAULT", wrong))).plans[0].board[0], "shop")
        assert "course.yaml:" in str(told.value)
