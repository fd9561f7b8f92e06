"""A term in a folder: everything of every lesson, the same bytes again, and who was left out is named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tests.classroom import CLASS, HEAD, INLET

from oilway.study.course import read_course
from oilway.study.roster import Student
from oilway.term_files import write_term

PARTS = (
    "instructor.pdf", "lab.pdf", "lab-predicted.pdf", "worksheet/sheets.pdf", "worksheet/keys.pdf",
    "worksheet/answers.csv", "hidden-fault/sheets.pdf", "hidden-fault/keys.pdf",
)  # fmt: skip
COURSE = """format: 1
course: a test
lessons:
  - {title: "One: first!", worksheet: sheet.yaml, instructor: {outcome: something}}
"""


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_the_shipped_course_fills_a_folder_and_the_same_again(tmp_path: Path) -> None:
    course, students = read_course(CLASS / "course.yaml"), [Student("A", row=2)]
    for name in ("one", "two"):
        written, failed = write_term(course, students, tmp_path / name, pages=False)
        assert failed == []
        assert all(path.is_file() for path in written)
    one = bytes_of(tmp_path / "one")
    assert one == bytes_of(tmp_path / "two")
    lessons = (
        "pressure-and-flow", "the-direct-acting-relief", "the-two-stage-relief", "unloading", "the-sequence-valve",
        "the-reducing-valve", "counterbalance-and-brake", "fault-finding-and-the-test-stand",
    )  # fmt: skip
    for lesson in (f"{number:02d}-{name}" for number, name in enumerate(lessons, 1)):
        for part in PARTS:
            assert f"{lesson}/{part}" in one


def test_a_lesson_page_comes_along(tmp_path: Path) -> None:
    course = read_course(CLASS / "course.yaml")
    course.plans = course.plans[1:2]
    write_term(course, [], tmp_path / "t")
    page = (tmp_path / "t" / "01-the-direct-acting-relief" / "lesson.html").read_text(encoding="utf-8")
    assert "The direct-acting relief valve" in page


def test_a_lesson_may_have_two_pages(tmp_path: Path) -> None:
    course = read_course(CLASS / "course.yaml")
    course.plans = [replace(plan, worksheet=None, fault=None) for plan in course.plans if len(plan.pages) == 2][:1]
    write_term(course, [], tmp_path / "t")
    told = {p.name: p.read_text(encoding="utf-8") for p in (tmp_path / "t" / "01-unloading").glob("*.html")}
    assert set(told) == {"lesson.html", "lesson-accumulator-unloading.html"}
    assert told["lesson.html"] != told["lesson-accumulator-unloading.html"]


def test_who_is_left_out_is_named(tmp_path: Path) -> None:
    (tmp_path / "course.yaml").write_text(COURSE, encoding="utf-8")
    asked = INLET.replace("answer: pressure of inlet", "answer: pressure of inlet\n    within: 1 psi to 2 psi")
    (tmp_path / "sheet.yaml").write_text(HEAD + asked, encoding="utf-8")
    written, failed = write_term(read_course(tmp_path / "course.yaml"), [Student("A", row=2)], tmp_path / "t")
    assert [p.name for p in written] == ["instructor.pdf"]
    assert written[0].parent.name == "01-one-first"
    assert "row 2, student A" in failed[0]
