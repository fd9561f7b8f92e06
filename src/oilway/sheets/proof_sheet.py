"""The test sheet as PDF, or as pictures of its pages: ``proof.typ`` filled with the data of a proof."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from oilway.draw.proof_chart import alt_text, draw_proof, has_chart
from oilway.files import write_whole
from oilway.quantity import Units
from oilway.sheets.setter import FOLDER, set_pages
from oilway.study.proof import Proof
from oilway.study.proof_data import proof_data

TEMPLATE = FOLDER / "proof.typ"
Paper = Literal["letter", "a4"]


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
    """The pages; of a PDF all in one."""
    chart = draw_proof(proof, units) if has_chart(proof) else ""
    more = {"chart": chart, "alt": alt_text(proof, units) if chart else ""}
    return set_pages(TEMPLATE.name, proof_data(proof, units), paper=paper, form=form, more=more)
