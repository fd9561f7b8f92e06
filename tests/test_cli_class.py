"""The verbs worksheet and mark as they are used."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from tests.classroom import HEAD, INLET
from typer.testing import CliRunner, Result

from oilway.cli import app
from oilway.errors import InputError


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "w.yaml").write_text(HEAD + INLET, encoding="utf-8")
    (tmp_path / "r.csv").write_text("student_id,name\nA,Ann\nB,Bo\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def call(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def table(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV."""
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))


def filled(room: Path) -> None:
    """Fill the answers in from the bank: a perfect class."""
    keys = {(row["student_id"], row["item"]): row for row in table(room / "out" / "bank.csv")}
    rows = table(room / "out" / "answers.csv")
    with (room / "filled.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        for row in rows:
            key = keys[row["student_id"], row["item"]]
            writer.writerow(row | {"answer": key["key"], "unit": key["unit"]})


def test_print_answer_mark(room: Path) -> None:
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out", "--qti", "out/q.zip")
    assert ended.exit_code == 0
    assert "difficulty" in ended.output
    assert (room / "out" / "q.zip").is_file()
    filled(room)
    ended = call("mark", "filled.csv", "--worksheet", "w.yaml", "--students", "r.csv", "-o", "marks")
    assert ended.exit_code == 0
    assert "median 100%" in ended.output
    assert (room / "marks" / "feedback" / "A.pdf").is_file()


def test_a_seed_draws_other_sheets_and_marks_them(room: Path) -> None:
    assert call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out", "--seed", "spring").exit_code == 0
    filled(room)
    words = ["mark", "filled.csv", "--worksheet", "w.yaml", "--students", "r.csv", "-o", "marks"]
    ended = call(*words)
    assert ended.exit_code == 1
    assert "is not known for A" in ended.stderr
    assert call(*words, "--seed", "spring").exit_code == 0


def test_a_bad_row_ends_with_1_and_the_rest_is_printed(room: Path) -> None:
    (room / "r.csv").write_text("student_id,name\nA,Ann\nA,Bo\n", encoding="utf-8")
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "all.pdf")
    assert ended.exit_code == 1
    assert "r.csv:3" in ended.stderr
    assert (room / "all.pdf").is_file()
    assert (room / "all-keys.pdf").is_file()


def test_answers_that_were_filled_in_are_never_replaced(room: Path) -> None:
    words = ["worksheet", "w.yaml", "--students", "r.csv", "-o", "out"]
    assert call(*words).exit_code == 0
    assert call(*words).exit_code == 0  # nothing is in it yet
    path = room / "out" / "answers.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("inlet,,", "inlet,1300,psi", 1), encoding="utf-8")
    before = path.read_bytes()
    ended = call(*words)
    assert ended.exit_code == 1
    assert "answers stand in it" in ended.stderr
    assert path.read_bytes() == before


def test_marks_are_not_written_over_what_they_are_made_from(room: Path) -> None:
    (room / "answers.csv").write_text("student_id,item,answer\nA,inlet,1300 psi\n", encoding="utf-8")
    (room / "overrides.csv").write_text("student_id,item,marks,reason\nA,inlet,1,why\n", encoding="utf-8")
    words = ["mark", "answers.csv", "--worksheet", "w.yaml", "--students", "r.csv"]
    ended = call(*words, "--overrides", "overrides.csv", "-o", ".")
    assert isinstance(ended.exception, InputError)
    assert "'overrides.csv' is written there too" in str(ended.exception)
    assert call(*words, "--overrides", "overrides.csv", "-o", "marks").exit_code == 0


def test_the_practical_stands_in_the_gradebook(room: Path) -> None:
    practical = (
        "practical:\n  - {step: safe, critical: yes}\n"
        "  - {step: met, limit: 2300 psi +- 50 psi, measured: gauge}\n"
    )
    (room / "w.yaml").write_text(HEAD + INLET + practical, encoding="utf-8")
    (room / "a.csv").write_text("student_id,item,answer\nA,inlet,1300 psi\n", encoding="utf-8")
    (room / "p.csv").write_text(
        "student_id,step,done,value\nA,1,yes,\nA,met,yes,2310 psi\nB,1,no,\n", encoding="utf-8"
    )
    words = [
        "mark",
        "a.csv",
        "--worksheet",
        "w.yaml",
        "--students",
        "r.csv",
        "--practical",
        "p.csv",
        "-o",
        "marks",
    ]
    assert call(*words).exit_code == 0
    found = {r["student_id"]: r for r in table(room / "marks" / "gradebook.csv") if r["item"] == "(practical)"}
    assert [found[name]["comment"].partition(":")[0] for name in "AB"] == [
        "Passed", "Failed, a critical step was missed",
    ]  # fmt: skip


def test_who_handed_nothing_in_is_named_and_not_marked(room: Path) -> None:
    assert call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out").exit_code == 0
    path = room / "out" / "answers.csv"
    path.write_text(path.read_text(encoding="utf-8").replace("inlet,,", "inlet,1300,psi", 1), encoding="utf-8")
    ended = call("mark", "out/answers.csv", "--worksheet", "w.yaml", "--students", "r.csv", "-o", "marks")
    assert "1 sheets marked\nnothing handed in: B\n" in ended.output
    assert not (room / "marks" / "feedback" / "B.txt").exists()


def test_a_bad_worksheet_writes_nothing(room: Path) -> None:
    (room / "w.yaml").write_text(
        HEAD + INLET.replace("answer: pressure of inlet", "answer: pressure of x"), encoding="utf-8"
    )
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out")
    assert isinstance(ended.exception, InputError)
    assert not (room / "out").exists()


def test_a_term_of_a_course(room: Path) -> None:
    (room / "c.yaml").write_text(
        "format: 1\ncourse: c\nlessons:\n  - {title: one, worksheet: w.yaml}\n", encoding="utf-8"
    )
    ended = call("term", "c.yaml", "--students", "r.csv", "-o", "term", "--no-pages")
    assert ended.exit_code == 0
    assert (room / "term" / "01-one" / "worksheet" / "keys.pdf").is_file()


# -- bad input: named by its row, the rest goes on, status 1, nothing half-written ---------------------------
def files(folder: Path) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_of_two_students_with_one_id_the_first_is_printed_marked_and_given_a_term(room: Path) -> None:
    (room / "r.csv").write_text("student_id,name\nA,Ann\na,Bo\nB,Bea\n", encoding="utf-8")
    (room / "c.yaml").write_text("format: 1\ncourse: c\nlessons:\n  - {title: one, worksheet: w.yaml}\n", "utf-8")
    printed = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out")
    filled(room)
    marked = call("mark", "filled.csv", "--worksheet", "w.yaml", "--students", "r.csv", "-o", "marks")
    term = call("term", "c.yaml", "--students", "r.csv", "-o", "term", "--no-pages")
    for ended in (printed, marked, term):
        assert ended.exit_code == 1
        assert "r.csv:3: student id 'a' stands here again, first on row 2" in ended.stderr
    assert files(room / "out" / "sheets") == ["A.pdf", "B.pdf"]
    assert files(room / "marks" / "feedback") == ["A.pdf", "A.txt", "B.pdf", "B.txt"]
    assert {row["student_id"] for row in table(room / "term" / "01-one" / "worksheet" / "bank.csv")} == {"A", "B"}


def test_answers_for_an_unknown_variant_are_named_by_row_and_the_rest_is_marked(room: Path) -> None:
    call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out")
    filled(room)
    rows = table(room / "filled.csv")
    text = (room / "filled.csv").read_text(encoding="utf-8").replace(f"A,{rows[0]['variant']}", "A,0badc0de")
    (room / "filled.csv").write_text(text, encoding="utf-8")
    ended = call("mark", "filled.csv", "--worksheet", "w.yaml", "--students", "r.csv", "-o", "marks")
    assert ended.exit_code == 1
    assert "filled.csv:2: variant '0badc0de' is not known for A" in ended.stderr
    assert "1 sheets marked" in ended.output
    assert files(room / "marks" / "feedback") == ["B.pdf", "B.txt"]
    assert {row["student_id"] for row in table(room / "marks" / "gradebook.csv")} == {"B"}


def test_a_student_whose_questions_cannot_be_solved_is_named_and_the_rest_is_printed(
    room: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The adjuster of the file does not reach 6000 psi; with one draw each, who drew it gets no sheet."""
    monkeypatch.setattr("oilway.study.worksheet_draw.DRAWS", 1)
    asked = HEAD.replace("vary:", "vary:\n  set: 2000 psi to 6000 psi, step 2000 psi")
    asked = asked.replace("cracks 1900 psi, 2300 psi at 18 gpm", "{set} at 18 gpm")
    text = "questions:\n  - {id: inlet, ask: a, set: {load pressure: '{below}'}, answer: pressure of inlet}\n"
    (room / "w.yaml").write_text(asked + text, encoding="utf-8")
    names = [f"S{k}" for k in range(8)]
    (room / "r.csv").write_text("student_id\n" + "\n".join(names) + "\n", encoding="utf-8")
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out", "--qti", "out/q.zip")
    assert ended.exit_code == 1
    served = [name.removesuffix(".pdf") for name in files(room / "out" / "sheets")]
    missing = [name for name in names if name not in served]
    assert served
    assert missing
    for name in missing:
        assert f"row {names.index(name) + 2}, student {name}: a test: no fair numbers" in ended.stderr
        assert "inlet: " in ended.stderr
    assert {row["student_id"] for row in table(room / "out" / "bank.csv")} == set(served)


def test_where_nobody_can_be_served_nothing_is_written(room: Path) -> None:
    asked = INLET.replace("answer: pressure of inlet", "answer: pressure of inlet\n    within: 10 psi to 20 psi")
    (room / "w.yaml").write_text(HEAD + asked, encoding="utf-8")
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out", "--qti", "q.zip")
    assert ended.exit_code == 1
    assert "row 2, student A" in ended.stderr
    assert "row 3, student B" in ended.stderr
    assert files(room) == ["r.csv", "w.yaml"]


def test_a_term_whose_last_lesson_is_wrong_writes_nothing(room: Path) -> None:
    bad = INLET.replace("flow through seat", "flow through seet")
    (room / "bad.yaml").write_text(HEAD + bad, encoding="utf-8")
    lessons = "  - {title: one, worksheet: w.yaml}\n  - {title: two, worksheet: bad.yaml}\n"
    (room / "c.yaml").write_text(f"format: 1\ncourse: c\nlessons:\n{lessons}", encoding="utf-8")
    ended = call("term", "c.yaml", "--students", "r.csv", "-o", "term", "--no-pages")
    assert isinstance(ended.exception, InputError)
    assert "bad.yaml:13" in str(ended.exception)
    assert not (room / "term").exists()


def test_a_roster_without_students_is_refused(room: Path) -> None:
    (room / "r.csv").write_text("student_id,name\n", encoding="utf-8")
    ended = call("worksheet", "w.yaml", "--students", "r.csv", "-o", "out")
    assert isinstance(ended.exception, InputError)
    assert "r.csv: no students on this roster" in str(ended.exception)
