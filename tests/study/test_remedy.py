"""What would prove it: the gauge named is good enough and no finer than needed."""

from __future__ import annotations

import re

import pytest
from tests.shop import PSI, line_rows, proof_of, sheet

from oilway.study.readings import parse_limit
from oilway.study.remedy import half_band, room


def remedies(psi: float, **words: str) -> list[str]:
    (judged,) = proof_of(sheet(line_rows(psi), **words)).judged
    return judged.remedies


@pytest.mark.parametrize("psi", [3000, 3005, 3020, 3090, 2985])
def test_every_gauge_named_would_give_a_verdict(psi: float) -> None:
    said = " ".join(remedies(psi))
    named = re.findall(r"class ([0-9.]+) on 0 to ([0-9]+) psi", said)
    assert named
    for size, span in named:
        gauge = f"{{range: 0 to {span} psi, class: {size} % of span, reads to: 0 psi}}"
        (judged,) = proof_of(sheet(line_rows(psi), gauge=gauge)).judged
        assert judged.verdict != "not proven"


def test_on_the_limit_itself_no_gauge_helps() -> None:
    assert any("no usual gauge" in said for said in remedies(3049.9))


def test_a_small_flow_asks_for_a_better_meter() -> None:
    said = remedies(
        2900, meter="{range: 0.1 to 60 gpm, class: +-0.2 gpm}", limits="cracking pressure: 2900 psi +- 90 psi",
        gauge="{range: 0 to 5000 psi, class: 0.1 % of span}",
    )  # fmt: skip
    assert said == []  # a flat curve: the meter does not count
    rows = line_rows(2900, 500.0)
    text = sheet(
        rows, meter="{range: 0.1 to 60 gpm, class: +-0.2 gpm}", limits="cracking pressure: 3020 psi +- 90 psi",
        gauge="{range: 0 to 20000 psi, class: 0.1 % of span}",
    )  # fmt: skip
    (judged,) = proof_of(text).judged
    assert any("measuring vessel" in remedy for remedy in judged.remedies)


def test_scatter_asks_for_steadier_rows() -> None:
    rows = [row for cracked in (2900, 2990, 3080) for row in line_rows(cracked)]
    text = sheet(rows, gauge="{range: 0 to 5000 psi, class: 0.1 % of span}")
    (judged,) = proof_of(text).judged
    assert any("scatter" in remedy for remedy in judged.remedies)


def test_room_and_half_band() -> None:
    both, one = (parse_limit("x", text, "pressure") for text in ("3000 psi +- 50 psi", "at most 3050 psi"))
    assert room(3010 * PSI, both) == pytest.approx(40 * PSI)
    assert room(3110 * PSI, one) == pytest.approx(60 * PSI)
    assert half_band(both) == pytest.approx(50 * PSI)
    assert half_band(one) == float("inf")
