"""Worksheets, keys and feedback as PDF: plain data set by a template each, a key never beside a sheet."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Literal

from oilway.draw.export_picture import fonts
from oilway.errors import InputError, Place, Problem

FOLDER = Path(__file__).parent
PAPERS = {"letter": "us-letter", "a4": "a4"}
Sort = Literal["worksheet", "worksheet_key", "feedback"]
DPI = 110.0


def sheets_pdf(sort: Sort, sheets: Sequence[dict[str, Any]], paper: str = "letter") -> bytes:
    """One PDF of one or several sheets, each beginning on a page of its own.

    ``sheets`` as :mod:`oilway.sheets.class_data` makes them; the same data give the same bytes.
    Errors: :class:`InputError` for an unknown paper.
    """
    return _set(sort, sheets, paper, "pdf")[0]


def sheets_pictures(sort: Sort, sheets: Sequence[dict[str, Any]], paper: str = "letter") -> list[bytes]:
    """Each page as PNG."""
    return _set(sort, sheets, paper, "png")


def _set(sort: Sort, sheets: Sequence[dict[str, Any]], paper: str, form: Literal["pdf", "png"]) -> list[bytes]:
    import typst

    if paper not in PAPERS:
        raise InputError(Problem(Place("paper"), f"there is no paper '{paper}'", "letter or a4"))
    inputs = {"data": json.dumps(list(sheets), allow_nan=False), "paper": PAPERS[paper]}
    made: Any = typst.compile(
        str(FOLDER / f"{sort}.typ"), root=str(FOLDER), format=form, ppi=DPI, sys_inputs=inputs,
        font_paths=fonts(embedded=True), timestamp=0,
    )  # fmt: skip
    return list(made) if isinstance(made, list) else [made]
