"""The printed test sheet: pages, words, paper, and that it computes nothing of its own."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.shop import line_rows, proof_of, sheet

from oilway.errors import InputError
from oilway.sheets.proof_sheet import TEMPLATE, save_sheet, sheet_pdf, sheet_pictures
from oilway.study.proof import prove
from oilway.study.readings import read_readings
from oilway.study.story import examples

SHEETS = sorted((examples() / "readings").glob("*.yaml"))


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_every_example_prints(path: Path) -> None:
    pdf = sheet_pdf(prove(read_readings(path)))
    assert pdf.startswith(b"%PDF-")


def test_papers_and_units(tmp_path: Path) -> None:
    proof = proof_of(sheet(line_rows()))
    letter, a4 = (sheet_pictures(proof, "metric", paper) for paper in ("letter", "a4"))

    def size(picture: bytes) -> tuple[int, int]:
        return int.from_bytes(picture[16:20], "big"), int.from_bytes(picture[20:24], "big")

    wide, high = size(letter[0])
    assert wide / high == pytest.approx(8.5 / 11, rel=1e-2)
    wide, high = size(a4[0])
    assert wide / high == pytest.approx(210 / 297, rel=1e-2)
    with pytest.raises(InputError, match="there is no paper"):
        sheet_pdf(proof, paper="a3")  # type: ignore[arg-type]
    save_sheet(proof, tmp_path / "sheet.pdf")
    assert not list(tmp_path.glob("*.part"))


def test_words_with_marks_of_the_setter_stay_words() -> None:
    text = sheet(line_rows(), more='machine: "#panic() *bold* $x$ @ref"').replace(
        "readings: a relief", "readings: \"#import 'x' <b> a relief"
    )
    text = text.replace("straight line", 'straight line"', 1)
    assert sheet_pdf(proof_of(text)).startswith(b"%PDF-")


def test_the_template_sets_and_does_not_compute() -> None:
    text = TEMPLATE.read_text(encoding="utf-8")
    for word in ("sqrt", "pow", "uncertainty *", "value *"):
        assert word not in text
