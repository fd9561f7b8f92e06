"""Gradebook, feedback and summary: one truth with the marks."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from tests.classroom import all_right, worksheet

from oilway.mark_files import (
    GRADEBOOK,
    PRACTICAL,
    feedback_data,
    feedback_text,
    gradebook_rows,
    summary,
    write_marks,
)
from oilway.study.mark_class import MarkedClass, Signed
from oilway.study.marking import mark_sheet
from oilway.study.roster import Student
from oilway.study.worksheet import Check
from oilway.study.worksheet_draw import Drawer


@pytest.fixture
def marked(tmp_path: Path) -> MarkedClass:
    """Two students: one right, one who answers the setting and nothing else."""
    drawer = Drawer(worksheet(tmp_path))
    right, wrong = (drawer.variant(Student(name)) for name in ("A", "B"))
    sheets = [mark_sheet(right, all_right(right)), mark_sheet(wrong, {"inlet": "2300 psi"})]
    critical = Check("made safe", 1, True)
    return MarkedClass(drawer.worksheet, sheets, {"B": [Signed(critical, False)], "A": [Signed(critical, True)]})


def test_the_gradebook_has_its_columns_and_a_row_an_item(marked: MarkedClass, tmp_path: Path) -> None:
    written = write_marks(marked, tmp_path / "out")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out" / "gradebook.csv").read_text(encoding="utf-8"))))
    assert tuple(rows[0]) == GRADEBOOK
    items, practicals = rows[:6], {r["student_id"]: r for r in rows[6:]}
    assert sum(float(r["marks"]) for r in items) == pytest.approx(6)
    assert {r["item"] for r in practicals.values()} == {PRACTICAL}
    assert (practicals["A"]["marks"], practicals["A"]["comment"]) == ("1", "Passed: 1 of 1")
    assert (practicals["B"]["marks"], practicals["B"]["max"]) == ("0", "1")
    assert practicals["B"]["comment"].startswith("Failed, a critical step was missed: made safe")
    assert practicals["B"]["variant"] == marked.sheets[1].variant.code
    assert "pumps make pressure" in rows[3]["comment"]
    assert {p.name for p in written} == {
        "gradebook.csv",
        "summary.txt",
        "practical.csv",
        "A.pdf",
        "A.txt",
        "B.pdf",
        "B.txt",
    }


def test_a_critical_step_missed_leaves_no_marks_for_the_others(marked: MarkedClass) -> None:
    marked.practical = {"B": [Signed(Check("made safe", 1, True), False), Signed(Check("met", 2, False), True)]}
    (row,) = [row for row in gradebook_rows(marked) if row[1] == PRACTICAL]
    assert (row[3], row[7], row[8]) == ("1 of 2 steps", "0", "3")


def test_feedback_says_marks_key_and_what_to_look_at_again(marked: MarkedClass) -> None:
    data = feedback_data(marked.sheets[1], marked.practical["B"])
    text = feedback_text(data)
    assert data["total"] == "0 of 6"
    assert "inlet: 0 of 2. Yours: 2300 psi." in text
    assert "Look at again" in text
    assert "a critical step was missed: made safe" in text
    assert "Passed: 1 of 1" in feedback_text(feedback_data(marked.sheets[0], marked.practical["A"]))


def test_the_summary_counts(marked: MarkedClass) -> None:
    text = summary(marked)
    assert "2 sheets marked" in text
    assert "from 0% to 100%; 1 at 70% or above" in text
    assert "  1  pumps make pressure" in text
    assert "failed by a critical step: 1" in text


def test_overrides_are_kept_in_a_file_of_their_own(marked: MarkedClass, tmp_path: Path) -> None:
    mark = marked.sheets[1].marks[0]
    mark.computed, mark.marks, mark.comment = 0.0, 1.0, "set by hand: because"
    write_marks(marked, tmp_path / "out")
    assert "B,inlet,0,1,set by hand: because" in (tmp_path / "out" / "overrides.csv").read_text(encoding="utf-8")
