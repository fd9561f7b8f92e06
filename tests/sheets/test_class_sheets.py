"""Worksheets, keys and feedback as PDF: words, pages, papers, the same bytes again, and no key on a sheet."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from tests.classroom import CLASS

from oilway import quantity
from oilway.errors import InputError
from oilway.sheets.class_data import Illustrator, key_data, sheet_data
from oilway.sheets.class_sheets import sheets_pdf, sheets_pictures
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant


@pytest.fixture(scope="module")
def found() -> Variant:
    return Drawer(read_worksheet(CLASS / "direct_relief.yaml")).variant(Student("D-1", "Dee"))


def words(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_no_key_is_on_a_page_of_a_student(found: Variant) -> None:
    """What the key says of each answer stands in the key's PDF and not in the sheet's."""
    sheet = words(sheets_pdf("worksheet", [sheet_data(found, Illustrator())]))
    key = words(sheets_pdf("worksheet_key", [key_data(found, Illustrator())]))
    assert "Dee" in sheet
    assert "Dee" in key
    for said in ("Key", "full marks", "read off", "Laws used", "cracking = setting"):
        assert said in key
        assert said not in sheet
    for item in found.items:
        if item.kind == "number" and item.question.kind != "sheet":
            shown = quantity.show(item.size(), item.quantity)
            assert shown in key
            assert shown in found.drawn.values() or shown not in sheet, item.id


def test_the_same_data_give_the_same_bytes(found: Variant) -> None:
    for sort, data in (
        ("worksheet", sheet_data(found, Illustrator())),
        ("worksheet_key", key_data(found, Illustrator())),
    ):
        assert sheets_pdf(sort, [data]) == sheets_pdf(sort, [data])  # type: ignore[arg-type]


def test_papers(found: Variant) -> None:
    data = [sheet_data(found, Illustrator())]
    sizes = [
        PdfReader(io.BytesIO(sheets_pdf("worksheet", data, paper))).pages[0].mediabox for paper in ("letter", "a4")
    ]
    assert [round(float(box.width)) for box in sizes] == [612, 595]
    assert [round(float(box.height)) for box in sizes] == [792, 842]
    with pytest.raises(InputError, match="no paper 'a3'"):
        sheets_pdf("worksheet", data, "a3")


def test_merged_sheets_begin_on_pages_of_their_own(found: Variant) -> None:
    data = sheet_data(found, Illustrator())
    one, two = (len(PdfReader(io.BytesIO(sheets_pdf("worksheet", [data] * n))).pages) for n in (1, 2))
    assert two == 2 * one
    assert len(sheets_pictures("worksheet", [data])) == one


def test_words_with_marks_of_the_setter_stay_words(found: Variant) -> None:
    data = sheet_data(found, Illustrator())
    data["student"] = "#panic() *x* $y$ @z"
    assert "#panic() *x* $y$ @z" in words(sheets_pdf("worksheet", [data]))
