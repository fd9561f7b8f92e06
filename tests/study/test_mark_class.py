"""A class marked: rows that cannot be marked are named, overrides keep their reason, critical steps fail."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import all_right, worksheet

from oilway.study.mark_class import MarkedClass, Signed, failed_critical, mark_class
from oilway.study.roster import Roster, Student
from oilway.study.worksheet import Check
from oilway.study.worksheet_draw import Drawer, Variant

PRACTICAL = """practical:
  - {step: made safe, critical: yes}
  - {step: met, measured: gauge, limit: 2300 psi +- 50 psi, marks: 2}
"""
QUESTIONS = """questions:
  - id: inlet
    ask: What?
    set: {load pressure: "{below}"}
    answer: pressure of inlet
  - id: why
    kind: why
    marks: 3
    ask: Why?
    set: {load pressure: "{near}"}
    answer: state of poppet
    rubric: {because: 1}
"""


class Class:
    """A class of two, with files written into a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.sheet = worksheet(folder, QUESTIONS + PRACTICAL)
        self.roster = Roster([Student("A", row=2), Student("B", row=3)])
        self.variants = {s.id: Drawer(self.sheet).variant(s) for s in self.roster.students}

    def right(self, student: str) -> list[str]:
        """Rows of a student who has everything right, reasoning marked too."""
        found: Variant = self.variants[student]
        rows = [f"{student},{found.code},{item},{text}," for item, text in all_right(found).items()]
        return [*rows, f"{student},{found.code},why.r1,,1"]

    def mark(self, rows: list[str], overrides: str = "", practical: str = "") -> MarkedClass:
        """Mark rows 'student_id,variant,item,answer,marks'."""
        answers = self.write("answers.csv", "\n".join(["student_id,variant,item,answer,marks", *rows]))
        changed = self.write("overrides.csv", overrides) if overrides else None
        signed = self.write("practical.csv", practical) if practical else None
        return mark_class(lambda units: Drawer(self.sheet, units), self.roster, answers, changed, signed)

    def write(self, name: str, text: str) -> Path:
        path = self.folder / name
        path.write_text(text, encoding="utf-8")
        return path


@pytest.fixture
def room(tmp_path: Path) -> Class:
    return Class(tmp_path)


def said(marked: MarkedClass) -> list[str]:
    return [str(problem) for problem in marked.problems]


def test_a_perfect_class(room: Class) -> None:
    marked = room.mark([*room.right("A"), *room.right("B")])
    assert said(marked) == []
    assert [s.total for s in marked.sheets] == [5, 5]
    assert marked.misconceptions() == []


def test_rows_that_cannot_be_marked_are_named_and_the_rest_goes_on(room: Class) -> None:
    code = room.variants["A"].code
    rows = [
        *room.right("A"),
        f"A,{code},inlett,1 psi,",
        "C,x,inlet,1 psi,",
        f"A,{code},inlet,1 psi,",
        "B,12345678,inlet,1,",
    ]
    marked = room.mark(rows)
    assert [s.total for s in marked.sheets] == [5]
    texts = said(marked)
    assert any("answers.csv:5: there is no item 'inlett'" in t and "did you mean 'inlet'" in t for t in texts)
    assert any("answers.csv:6: 'C' is not on the roster" in t for t in texts)
    assert any("answers.csv:7: item 'inlet' of A stands here again" in t for t in texts)
    assert any("answers.csv:8: variant '12345678' is not known for B" in t for t in texts)


def test_metric_sheets_are_known_by_their_code(room: Class) -> None:
    found = Drawer(room.sheet, "metric").variant(Student("A"))
    marked = room.mark([f"A,{found.code},{item},{text}," for item, text in all_right(found).items()])
    assert marked.sheets[0].variant.units == "metric"
    assert marked.sheets[0].marks[0].marks == 2


def test_marks_beyond_what_there_is_are_refused(room: Class) -> None:
    marked = room.mark([row.replace(",,1", ",,7") for row in room.right("A")])
    assert "7 marks for 'why.r1', which has 1" in said(marked)[0]
    assert marked.sheets[0].marks[-1].open


def test_an_override_keeps_its_reason_and_the_computed_mark(room: Class) -> None:
    text = """student_id,item,marks,reason
A,inlet,1,read off by a friend
A,why,2,
A,nothing,1,because
B,inlet,1,away
"""
    marked = room.mark(room.right("A"), text)
    mark = marked.sheets[0].marks[0]
    assert (mark.marks, mark.computed) == (1, 2)
    assert mark.comment.endswith("set from 2 to 1 by the instructor: read off by a friend")
    texts = said(marked)
    assert any("needs its reason" in t for t in texts)
    assert any("no item 'nothing'" in t for t in texts)
    assert any("'B' has no marked sheet" in t for t in texts)


def test_a_practical_fails_by_its_critical_step_and_by_its_limit(room: Class) -> None:
    text = """student_id,step,done,value
A,made safe,no,
A,met,yes,2310 psi
B,1,yes,
B,2,yes,160 bar
B,3,yes,
A,met,maybe,
"""
    marked = room.mark(room.right("A"), practical=text)
    a, b = marked.practical["A"], marked.practical["B"]
    assert failed_critical(a) == ["made safe"]
    assert a[1].passed
    assert failed_critical(b) == []
    assert b[1].passed  # 160 bar are 2321 psi
    assert len(said(marked)) == 2


def test_a_measured_step_without_its_value_is_not_passed() -> None:
    check = Check("met", 1, False, "gauge", "2300 psi +- 50 psi")
    assert not Signed(check, True, "", False).passed
    assert Signed(check, True, "2300 psi", True).passed


def test_a_class_summary_counts_students_not_answers(room: Class) -> None:
    setting = "2300 psi"
    rows = [f"{s},{room.variants[s].code},inlet,{setting}," for s in ("A", "B")]
    assert dict(room.mark(rows).misconceptions())["pumps make pressure"] == 2


def test_a_sheet_is_marked_the_same_alone_and_in_any_order(room: Class) -> None:
    """Machines and states are shared by a class; to the last digit nothing hangs on who else is in it."""
    wrong = {s: [row.replace(",inlet,", ",inlet,9") for row in room.right(s)] for s in ("A", "B")}
    first, last = room.mark([*wrong["A"], *wrong["B"]]), room.mark([*wrong["B"], *wrong["A"]])
    alone = room.mark(wrong["B"])
    shown = [
        next([(m.item.key, m.marks, m.comment, [w.value for w in m.item.wrong]) for m in s.marks]
             for s in marked.sheets if s.variant.student.id == "B")
        for marked in (first, last, alone)
    ]  # fmt: skip
    assert shown[0] == shown[1] == shown[2]


def test_a_practical_in_metric_is_known_by_its_own_words_and_held_to_the_limit_typed(
    tmp_path: Path,
) -> None:
    """2300 psi less 50 are 155.1 bar."""
    checks = "practical:\n  - {step: 'Set to {2300 psi}', measured: gauge, limit: '{2300 psi} +- {50 psi}'}\n"
    sheet = worksheet(tmp_path, QUESTIONS + checks)
    found = Drawer(sheet, "metric").variant(Student("A"))
    rows = "".join(f"A,{found.code},{item},{text}\n" for item, text in all_right(found).items())
    (tmp_path / "a.csv").write_text("student_id,variant,item,answer\n" + rows, encoding="utf-8")
    roster = Roster([Student("A"), Student("B")])
    for value, within in (("155.2 bar", True), ("155.0 bar", False), ("2251 psi", True)):
        text = f"student_id,step,done,value\nA,Set to 158.6 bar,yes,{value}\nB,Set to 2300 psi,yes,2300 psi\n"
        (tmp_path / "p.csv").write_text(text, encoding="utf-8")
        marked = mark_class(
            lambda units: Drawer(sheet, units), roster, tmp_path / "a.csv", practical=tmp_path / "p.csv"
        )
        assert said(marked) == []
        assert marked.practical["A"][0].within is within
        assert marked.practical["A"][0].check.step == "Set to 158.6 bar"
        assert marked.practical["B"][0].check.step == "Set to 2300 psi"
