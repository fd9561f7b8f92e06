"""Tables of readings: headers, gaps, and rows that cannot be read, by line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.shop import GPM, PSI

from oilway.errors import InputError
from oilway.study.rows import COLUMNS, read_table, read_table_file


def refused(text: str) -> str:
    with pytest.raises(InputError) as caught:
        read_table(text, "log.csv", 1)
    return str(caught.value)


@pytest.mark.parametrize(
    "text",
    [
        "Q (gpm), P [psi]\n1, 100\n2, 200\n",
        "Q (gpm) P (psi)\n1 100\n2 200\n",
        "Q (gpm)\tP (psi)\n1\t100\n2\t200\n",
        "# a logger's greeting\n\nQ [gpm];P [psi]\n1;100\n\n2;200\n",
    ],
)
def test_any_usual_table_is_read_with_the_units_of_its_header(text: str) -> None:
    table = read_table(text, "log.csv", 1)
    assert table.columns["Q"] == pytest.approx(np.array([1, 2]) * GPM)
    assert table.columns["P"] == pytest.approx(np.array([100, 200]) * PSI)
    lines = text.splitlines()
    assert [lines[k - 1].split()[0][0] for k in table.lines] == ["1", "2"]


def test_units_are_taken_from_the_header_with_their_zero() -> None:
    table = read_table("t (ms),temp (F)\n500,212\n", "log.csv", 1)
    assert (table.columns["t"][0], table.columns["temp"][0]) == pytest.approx((0.5, 100.0))


def test_an_empty_cell_is_a_gap_and_no_zero() -> None:
    table = read_table("Q (gpm),P (psi),T (psi)\n1,,3\n,200,\n3,300,9\n", "log.csv", 1)
    assert np.isnan(table.columns["P"]).tolist() == [True, False, False]
    assert np.isnan(table.columns["Q"]).tolist() == [False, True, False]
    assert np.isnan(table.columns["T"]).tolist() == [False, True, False]


def test_every_row_that_cannot_be_read_is_named_with_its_line() -> None:
    said = refused("Q (gpm),P (psi)\n1,100\n2,two hundred\n3\n4,inf\n5,500\n")
    assert "log.csv:3: 'two hundred' is no number" in said
    assert "log.csv:4: 1 cells where the header has 2" in said
    assert "log.csv:5: 'inf' is no reading of anything" in said
    assert "log.csv:2" not in said


def test_many_bad_rows_are_counted() -> None:
    said = refused("Q (gpm),P (psi)\n" + "x,1\n" * 40)
    assert "and 28 more rows" in said


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("Q (gpm),P", "column 'P' has no unit"),
        ("Q (gpm),P (gpm)", "is a flow"),
        ("Q (gpm),W (psi)", "there is no column 'W'"),
        ("Q (gpm),P (psu)", "did you mean 'psi'"),
        ("Q (gpm),Q (gpm)", "stands here twice"),
        ("Q (gpm),T (F)", "a temperature column is called temp"),
    ],
)
def test_a_header_is_questioned(head: str, said: str) -> None:
    assert said in refused(f"{head}\n1,2\n")


def test_capitals_do_not_matter_where_they_tell_nothing_apart() -> None:
    assert list(read_table("q (gpm),p (psi)\n1,2\n", "log.csv", 1).columns) == ["Q", "P"]
    assert {"t", "T"} <= set(COLUMNS)
    assert list(read_table("t (s),T (psi)\n1,2\n", "log.csv", 1).columns) == ["t", "T"]


def test_a_table_without_rows_and_a_missing_file(tmp_path: Path) -> None:
    assert "no rows" in refused("")
    assert "no rows under it" in refused("Q (gpm),P (psi)\n")
    (tmp_path / "hoist.csv").write_text("Q (gpm)\n1\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"did you mean 'hoist.csv'"):
        read_table_file(tmp_path / "hoits.csv")
    (tmp_path / "bad.csv").write_bytes(b"Q (gpm)\n1\n\xff\n")
    with pytest.raises(InputError, match=r"bad.csv:3: not UTF-8"):
        read_table_file(tmp_path / "bad.csv")
