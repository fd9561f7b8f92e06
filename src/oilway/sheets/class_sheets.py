"""Worksheets, keys and feedback as PDF: plain data set by a template each, a key never beside a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from oilway.sheets.setter import set_pages

Sort = Literal["worksheet", "worksheet_key", "feedback", "lab", "instructor"]


def sheets_pdf(sort: Sort, sheets: Sequence[dict[str, Any]], paper: str = "letter") -> bytes:
    """One PDF of one or several sheets, each beginning on a page of its own.

    ``sheets`` as :mod:`oilway.sheets.class_data` makes them; the same data give the same bytes.
    Errors: :class:`InputError` for an unknown paper.
    """
    return set_pages(f"{sort}.typ", list(sheets), paper=paper)[0]


def sheets_pictures(sort: Sort, sheets: Sequence[dict[str, Any]], paper: str = "letter") -> list[bytes]:
    """Each page as PNG."""
    return set_pages(f"{sort}.typ", list(sheets), paper=paper, form="png")
