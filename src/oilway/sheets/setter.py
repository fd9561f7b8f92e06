"""A template and plain data made into pages: PDF, or a picture of each page."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

from oilway.errors import InputError, Place, Problem, did_you_mean

PAPERS = {"letter": "us-letter", "a4": "a4"}
FOLDER = Path(__file__).parent
DPI = 110.0


def set_pages(
    template: str,
    data: Any,
    *,
    paper: str = "letter",
    form: Literal["pdf", "png"] = "pdf",
    more: Mapping[str, str] | None = None,
) -> list[bytes]:
    """The pages of a template of this folder filled with data; of a PDF all in one.

    ``more`` are further inputs of the template.  Only letters that come with the setter are used, so that a sheet
    looks alike anywhere.  Errors: :class:`InputError` for an unknown paper.
    """
    import typst

    if paper not in PAPERS:
        hint = did_you_mean(paper, PAPERS) or " or ".join(PAPERS)
        raise InputError(Problem(Place("paper"), f"there is no paper '{paper}'", hint))
    inputs = {"data": json.dumps(data, allow_nan=False), "paper": PAPERS[paper], **(more or {})}
    made: Any = typst.compile(
        str(FOLDER / template),
        root=str(FOLDER),
        format=form,
        ppi=DPI,
        sys_inputs=inputs,
        ignore_system_fonts=True,
    )
    return list(made) if isinstance(made, list) else [made]
