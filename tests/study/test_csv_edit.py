"""One row of a CSV set: the rest of the file stays as somebody wrote it."""

from __future__ import annotations

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from oilway.study.csv_edit import CsvText

COLUMNS = ("student_id", "item", "answer")
KEYS = {"student_id": "A", "item": "one"}


def test_a_cell_is_set_and_everything_else_stays() -> None:
    text = '\ufeffStudent ID;Item;My notes;Answer\r\nA;one;"late; see mail";1\r\nB;one;;2\r\n'
    table = CsvText(text, COLUMNS)
    table.put(KEYS, {"answer": "7"})
    assert table.text() == text.replace('mail";1', 'mail";7')


def test_a_row_is_added_behind_those_of_the_same_student() -> None:
    table = CsvText("student_id,item,answer\nA,one,1\nB,one,2\n", COLUMNS)
    table.put({"student_id": "A", "item": "two"}, {"answer": "5"})
    table.put({"student_id": "C", "item": "one"}, {"answer": "6"})
    assert table.text() == "student_id,item,answer\nA,one,1\nA,two,5\nB,one,2\nC,one,6\n"


def test_an_empty_text_is_begun_and_a_missing_column_added() -> None:
    begun = CsvText("", COLUMNS)
    begun.put(KEYS, {"answer": "1"})
    assert begun.text() == "student_id,item,answer\nA,one,1\n"
    short = CsvText("student_id,item\nA,one\n", COLUMNS)
    short.put(KEYS, {"answer": "1"})
    assert short.text() == begun.text()


def test_of_two_rows_with_the_same_keys_the_first_or_the_last_is_meant() -> None:
    text = "student_id,item,answer\nA,one,1\nA,one,2\n"
    for last, expected in ((False, "9,2"), (True, "1,9")):
        table = CsvText(text, COLUMNS)
        table.put(KEYS, {"answer": "9"}, last=last)
        assert ",".join(row["answer"] for row in csv.DictReader(io.StringIO(table.text()))) == expected


def test_every_row_of_the_keys_is_dropped() -> None:
    table = CsvText("student_id,item,answer\nA,one,1\nB,one,2\nA,one,3\n", COLUMNS)
    assert table.has(KEYS)
    table.drop(KEYS)
    assert not table.has(KEYS)
    assert table.text() == "student_id,item,answer\nB,one,2\n"


@given(st.lists(st.text(alphabet="ab,;\"' é=\n", max_size=6), min_size=1, max_size=4))
def test_what_is_put_is_read_again(texts: list[str]) -> None:
    table = CsvText("", COLUMNS)
    for number, text in enumerate(texts):
        table.put({"student_id": "A", "item": str(number)}, {"answer": text})
    again = CsvText(table.text(), COLUMNS)
    assert [row[2] for row in again.rows[1:]] == texts
