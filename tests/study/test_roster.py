"""Rosters: rows that cannot be used are named and left out."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import CLASS

from oilway.errors import InputError
from oilway.study.roster import read_csv, read_roster


def write(folder: Path, text: str) -> Path:
    path = folder / "roster.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_shipped_roster() -> None:
    roster = read_roster(CLASS / "roster.csv")
    assert len(roster.students) == 15
    assert roster.problems == []


def test_duplicates_and_odd_ids_are_named_by_row_and_the_rest_stays(tmp_path: Path) -> None:
    roster = read_roster(write(tmp_path, "Student ID;Name\nA-1;Ann\na-1;Bob\n../x;Cid\n;Dot\nA-2;Eve\n"))
    assert [(s.id, s.name, s.row) for s in roster.students] == [("A-1", "Ann", 2), ("A-2", "Eve", 6)]
    said = [str(p) for p in roster.problems]
    assert [s.split(":")[1] for s in said] == ["3", "4", "5"]
    assert "first on row 2" in said[0]
    assert "no student id" in said[1]


@pytest.mark.parametrize(
    ("text", "said"),
    [("name\nAnn\n", "no column 'student_id'"), ("", "no column"), ("studentid\nx\n", "did you mean")],
)
def test_a_file_that_is_no_roster(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_roster(write(tmp_path, text))


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_roster(tmp_path / "none.csv")
    (tmp_path / "latin.csv").write_bytes("student_id\nJosé\n".encode("latin-1"))
    with pytest.raises(InputError, match="UTF-8"):
        read_roster(tmp_path / "latin.csv")


def test_rows_shorter_than_the_head(tmp_path: Path) -> None:
    assert read_csv(write(tmp_path, "student_id,name\nA\n\nB,Bo\n"), ("student_id",)) == [
        (2, {"student_id": "A", "name": ""}),
        (4, {"student_id": "B", "name": "Bo"}),
    ]
