"""The test sheet as PDF, or as pictures of its pages: ``proof.typ`` filled with the data of a proof."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Literal

from oilway.draw.proof_chart import alt_text, draw_proof, has_chart
from oilway.errors import InputError, Place, Problem
from oilway.files import write_whole
from oilway.quantity import Units
from oilway.study.proof import Proof
from oilway.study.proof_data import proof_data

TEMPLATE = Path(__file__).with_name("proof.typ")
PAPERS = {"letter": "us-letter", "a4": "a4"}
Paper = Literal["letter", "a4"]
DPI = 110.0


def sheet_pdf(proof: Proof, units: Units = "shop", paper: Paper = "letter") -> bytes:
    """The sheet as PDF.  Errors: :class:`InputError` for an unknown paper."""
    (pdf,) = _set(proof, units, paper, "pdf")
    return pdf


def sheet_pictures(proof: Proof, units: Units = "shop", paper: Paper = "letter") -> list[bytes]:
    """Each page as PNG."""
    return _set(proof, units, paper, "png")


def save_sheet(proof: Proof, path: Path, units: Units = "shop", paper: Paper = "letter") -> None:
    """Write the sheet as PDF, whole or not at all."""
    write_whole(path, sheet_pdf(proof, units, paper))


def _set(proof: Proof, units: Units, paper: str, form: Literal["pdf", "png"]) -> list[bytes]:
    """The pages; of a PDF all in one.  Only letters that typst brings along: it looks alike anywhere."""
    import typst

    if paper not in PAPERS:
        raise InputError(Problem(Place("paper"), f"there is no paper '{paper}'", "letter or a4"))
    chart = draw_proof(proof, units) if has_chart(proof) else ""
    inputs = {
        "data": json.dumps(proof_data(proof, units), allow_nan=False),
        "chart": chart,
        "alt": alt_text(proof, units) if chart else "",
        "paper": PAPERS[paper],
    }
    made: Any = typst.compile(
        str(TEMPLATE), root=str(TEMPLATE.parent), format=form, ppi=DPI, sys_inputs=inputs, ignore_system_fonts=True
    )
    return list(made) if isinstance(made, list) else [made]
