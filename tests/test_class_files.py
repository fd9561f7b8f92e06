"""Files of a class: all or none, the same bytes again, tables that a spreadsheet takes for text."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from tests.classroom import worksheet

from oilway.class_files import ANSWERS, BANK, csv_text, file_name, write_worksheets
from oilway.errors import InputError
from oilway.study.roster import Student
from oilway.study.worksheet_draw import Drawer, draw_class

STUDENTS = [Student("A 1", "Ann", 2), Student("B", "Bo", 3)]


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def test_a_folder_with_everything_and_the_same_again(tmp_path: Path) -> None:
    sheet = worksheet(tmp_path)
    for name in ("one", "two"):
        drawn = draw_class(Drawer(sheet), STUDENTS)
        written = write_worksheets(drawn, tmp_path / name, qti=tmp_path / name / "bank.zip")
        assert all(path.is_file() for path in written)
    one, two = bytes_of(tmp_path / "one"), bytes_of(tmp_path / "two")
    assert set(one) == {
        "sheets/A_1.pdf", "sheets/B.pdf", "keys/A_1-key.pdf", "keys/B-key.pdf",
        "answers.csv", "bank.csv", "bank.zip",
    }  # fmt: skip
    assert one == two


def test_one_file_has_its_keys_in_another(tmp_path: Path) -> None:
    drawn = draw_class(Drawer(worksheet(tmp_path)), STUDENTS)
    written = write_worksheets(drawn, tmp_path / "week.pdf", "a4")
    assert [p.name for p in written] == ["week.pdf", "week-keys.pdf"]
    merged = write_worksheets(drawn, tmp_path / "all", merged=True)
    assert [p.name for p in merged] == ["sheets.pdf", "keys.pdf", "answers.csv", "bank.csv"]


def test_answers_and_bank_have_a_row_an_item(tmp_path: Path) -> None:
    drawn = draw_class(Drawer(worksheet(tmp_path)), STUDENTS)
    write_worksheets(drawn, tmp_path / "out", merged=True)
    for name, columns in (("answers.csv", ANSWERS), ("bank.csv", BANK)):
        rows = list(csv.reader(io.StringIO((tmp_path / "out" / name).read_text(encoding="utf-8"))))
        assert rows[0] == list(columns)
        assert len(rows) == 1 + sum(len(v.items) for v in drawn.variants)
    first = next(csv.DictReader(io.StringIO((tmp_path / "out" / "bank.csv").read_text(encoding="utf-8"))))
    assert first["unit"] == "psi"
    assert float(first["tol"]) == pytest.approx(0.03 * float(first["key"]), rel=0.01)


def test_nobody_gives_no_files(tmp_path: Path) -> None:
    assert write_worksheets(draw_class(Drawer(worksheet(tmp_path)), []), tmp_path / "none") == []
    assert not (tmp_path / "none").exists()


def test_what_cannot_be_written_is_told(tmp_path: Path) -> None:
    drawn = draw_class(Drawer(worksheet(tmp_path)), STUDENTS[:1])
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    with pytest.raises(InputError, match="cannot be made"):
        write_worksheets(drawn, tmp_path / "taken" / "deep")


def test_no_cell_is_a_formula_and_numbers_stay_numbers() -> None:
    text = csv_text(("a",), [("=1+1",), ("@x",), ("-5",), ("-x",), ("plain",)])
    assert text.split() == ["a", "'=1+1", "'@x", "-5", "'-x", "plain"]


def test_ids_as_file_names() -> None:
    assert file_name("A 1") == "A_1"
