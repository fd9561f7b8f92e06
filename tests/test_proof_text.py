"""A proof on the terminal: verdict first, cautions and conventions last, nothing left out."""

from __future__ import annotations

import io

from rich.console import Console
from tests.shop import line_rows, proof_of, sheet

from oilway.proof_text import print_proof
from oilway.quantity import Units
from oilway.study.proof import CONVENTION, Proof


def printed(proof: Proof, units: Units = "shop") -> str:
    out = io.StringIO()
    print_proof(Console(file=out, width=200), proof, units)
    return out.getvalue()


def test_the_verdict_comes_first_and_every_part_is_there() -> None:
    proof = proof_of(sheet(line_rows(3000), more="technician: R. [Ames]"))
    lines = printed(proof).splitlines()
    assert lines[1].startswith("NOT PROVEN")
    text = "\n".join(lines)
    for words in ("technician: R. [Ames]", "3000 psi ± 80 psi", "to prove it", "1.6 % of span", CONVENTION[:60]):
        assert words in text
    for caution in proof.readings.form.cautions:
        assert caution in text


def test_open_conditions_and_questions_are_loud() -> None:
    rows = [f"{row} 20" for row in line_rows(3000)]
    rows[3] = "4 300 2900"
    text = sheet(rows, head="Q (gpm) P (psi) T (psi)", conditions="settling time: 5 s")
    said = printed(proof_of(text))
    assert "NOT KNOWN" in said
    assert "QUESTION: text:" in said


def test_metric_figures() -> None:
    assert "206.8 bar" in printed(proof_of(sheet(line_rows(3000))), "metric")
