"""Verdicts of whole sheets: three states, conditions, questions, and the trade tasks on judging."""

from __future__ import annotations

import pytest
from tests.shop import FLOWS, MET, PSI, line_rows, proof_of, sheet

from oilway.study.figure import Verdict
from oilway.study.proof import Proof

FINE = "{range: 0 to 5000 psi, class: 0.1 % of span, reads to: 0 psi, hysteresis: 0 psi}"


def verdict_at(psi: float) -> Proof:
    """The coarse sheet (class 1.6 on 5000 psi, limits 3000 +- 50 psi) with one setting."""
    return proof_of(sheet(line_rows(psi)))


@pytest.mark.parametrize("off", [0, 20, 49, 51, 100, 129, 130, -49, -100, -129])
def test_a_gauge_coarser_than_the_limits_proves_nothing_between(off: float) -> None:
    """Class 1.6 on 5000 psi is 80 psi: 50 + 80 = 130 psi off is the first that can be told from good."""
    proof = verdict_at(3000 + off)
    assert proof.verdict is Verdict.not_proven
    (judged,) = proof.judged
    said = " ".join(judged.remedies)
    assert "no reading is ever accepted" in said
    assert "rejected beyond 2870 psi and 3130 psi" in said
    assert "class" in said or "no usual gauge" in said


@pytest.mark.parametrize("off", [130.5, 200, -130.5, -500])
def test_beyond_limit_and_doubt_together_it_rejects(off: float) -> None:
    assert verdict_at(3000 + off).verdict is Verdict.reject


def test_the_gauge_it_names_does_prove_it() -> None:
    (judged,) = verdict_at(3010).judged
    assert any("class 0.6 on 0 to 5000 psi" in said for said in judged.remedies)
    better = "{range: 0 to 5000 psi, class: 0.6 % of span, reads to: 0 psi}"
    assert proof_of(sheet(line_rows(3010), gauge=better)).verdict is Verdict.accept


def test_trade_task_2_set_at_idle_reads_high_at_rated_speed() -> None:
    """Set to 3000 psi at 8 gpm, 20 psi/gpm: 3320 psi at 24 gpm, over a limit of 3150 psi."""
    rows = line_rows(3000 - 20 * 8, 20.0)
    proof = proof_of(sheet(rows, gauge=FINE, limits="full-flow pressure: at most 3150 psi"))
    (judged,) = proof.judged
    assert judged.figure is not None
    assert judged.figure.value / PSI == pytest.approx(3320)
    assert proof.verdict is Verdict.reject
    assert any("at rated speed" in said for said in judged.remedies)


def test_trade_task_2_with_idle_readings_alone_nothing_is_proven_but_a_warning_stands() -> None:
    rows = line_rows(3000 - 20 * 8, 20.0, flows=[0.24, 1, 2, 3, 4, 5, 6, 7, 8])
    proof = proof_of(sheet(rows, gauge=FINE, limits="full-flow pressure: at most 3150 psi"))
    (judged,) = proof.judged
    assert proof.verdict is Verdict.not_proven
    assert "8.00 gpm of 24.00 gpm" in judged.reason
    assert "3320 psi at 24.00 gpm" in judged.reason
    assert any("rated speed" in said for said in judged.remedies)


COMPARE = """format: 1
readings: curl and boom at stall
test: compare
conditions: {{{met}, same engine speed: yes}}
instruments:
  P: {{range: 0 to 5000 psi, class: 1.6 % of span, reads to: 20 psi}}
  P2: {second}
limits: {{source: "invented, page 1", difference: at most 50 psi}}
as found: {{first stall: 2900 psi, second stall: 3000 psi}}
"""


@pytest.mark.parametrize(
    ("second", "verdict"),
    [
        ("{range: 0 to 5000 psi, class: 1.6 % of span}", Verdict.not_proven),
        ("same as P", Verdict.reject),
    ],
)
def test_trade_task_6_one_gauge_tells_a_difference_that_two_cannot(second: str, verdict: Verdict) -> None:
    """100 psi between two stalls, gauges of 80 psi: not proven on two gauges, proven on the same one."""
    proof = proof_of(COMPARE.format(met=MET.rpartition(",")[0], second=second))
    (judged,) = proof.judged
    assert judged.figure is not None
    assert judged.figure.value / PSI == pytest.approx(100)
    assert (judged.figure.uncertainty / PSI > 100) == (verdict is Verdict.not_proven)
    assert proof.verdict is verdict


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        (MET.replace("122 F", "70 F"), "oil temperature not met"),
        (MET.replace(", oil temperature: 122 F", ""), "oil temperature not known"),
        (MET.replace("5 s", "1 s"), "settled not met"),
        (MET.replace(", settling time: 5 s", ""), "settled not known"),
        (MET + ", speed window: 1950 rpm to 2050 rpm, engine speed: 900 rpm", "engine speed not met"),
        (MET + ", cleanliness target: 18/16/13, cleanliness: 19/16/13", "cleanliness not met"),
        (MET + ", cleanliness target: 18/16/13", "cleanliness not known"),
    ],
)
@pytest.mark.parametrize("psi", [3000, 4000])
def test_what_was_read_under_wrong_conditions_proves_nothing_either_way(
    conditions: str, said: str, psi: float
) -> None:
    assert proof_of(sheet(line_rows(psi), gauge=FINE)).verdict is not Verdict.not_proven
    proof = proof_of(sheet(line_rows(psi), gauge=FINE, conditions=conditions))
    assert proof.verdict is Verdict.not_proven
    assert said in proof.judged[0].reason
    assert proof.judged[0].remedies


def test_a_question_stands_in_the_way_of_a_verdict() -> None:
    rows = [f"{row} 20" for row in line_rows(3000)]
    rows[3] = "4 300 2900"
    text = sheet(
        rows, gauge=FINE, head="Q (gpm) P (psi) T (psi)",
        instruments="  T: {range: 0 to 5000 psi, class: 1 % of span}",
    )  # fmt: skip
    proof = proof_of(text)
    assert proof.verdict is Verdict.not_proven
    assert "300 psi on P while T reads 2900 psi: swapped?" in proof.judged[0].reason


def test_too_few_points_prove_nothing() -> None:
    proof = proof_of(sheet(line_rows(3000, flows=FLOWS[::2]), gauge=FINE))
    assert "points not met" in proof.judged[0].reason


def test_as_left_is_judged_and_was_finished_rising() -> None:
    rows = "\n".join(f"    {row}" for row in ["Q (gpm) P (psi)", *line_rows(3000)])
    for finished, verdict in (
        ("rising", Verdict.accept),
        ("falling", Verdict.not_proven),
        ("", Verdict.not_proven),
    ):
        end = f"  finished: {finished}\n" if finished else ""
        left = f"as left:\n  adjustment: a turn in\n{end}  rows: |\n{rows}\n"
        proof = proof_of(sheet(line_rows(2800), gauge=FINE) + left)
        assert [found.section.name for found in proof.found] == ["as found", "as left"]
        assert proof.verdict is verdict
    assert proof.found[0].figures["full-flow pressure"].value / PSI == pytest.approx(2800)


def test_without_limits_nothing_is_judged_and_without_a_gauge_nothing_proven() -> None:
    proof = proof_of(sheet(line_rows(3000), limits=""))
    assert proof.judged == []
    assert proof.verdict is Verdict.not_proven
    assert any("no limits entered" in said for said in proof.advice)
    text = sheet(line_rows(3000), gauge=FINE).replace(f"  P: {FINE}\n", "")
    proof = proof_of(text)
    assert proof.verdict is Verdict.not_proven
    assert any("no instrument entered for P" in said for said in proof.judged[0].remedies)


def test_one_reject_rejects_the_sheet() -> None:
    limits = "full-flow pressure: 3000 psi +- 50 psi, hysteresis: at most 10 psi"
    proof = proof_of(sheet(line_rows(3000, drop=40), gauge=FINE, limits=limits))
    assert {item.name: item.verdict for item in proof.judged} == {
        "full-flow pressure": Verdict.accept,
        "hysteresis": Verdict.reject,
    }
    assert proof.verdict is Verdict.reject


def test_a_gauge_far_from_the_middle_of_its_span_is_remarked() -> None:
    gauge = FINE.replace("5000", "20000")
    assert any("15% of the gauge" in said for said in proof_of(sheet(line_rows(3000), gauge=gauge)).advice)


def test_an_assumption_is_told_only_where_a_figure_rests_on_it() -> None:
    gauge = "{range: 0 to 5000 psi, class: 0.1 % of span}"
    assert any("'reads to' not entered" in said for said in proof_of(sheet(line_rows(3000), gauge=gauge)).assumed)
    assert not any("'reads to'" in said for said in proof_of(sheet(line_rows(3000), gauge=FINE)).assumed)


def test_a_figure_is_said_in_the_unit_of_its_limit() -> None:
    proof = proof_of(sheet(line_rows(3000), gauge=FINE, limits="full-flow pressure: 20.7 MPa +- 0.4 MPa"))
    assert proof.judged[0].reason.startswith("20.684 MPa ± 0.034 MPa against")


def test_where_every_row_is_in_question_nothing_is_read_and_nothing_breaks() -> None:
    rows = [f"{row} 4000" for row in line_rows(3000)]
    instruments = "  T: {range: 0 to 5000 psi, class: 1 % of span}"
    proof = proof_of(sheet(rows, gauge=FINE, head="Q (gpm) P (psi) T (psi)", instruments=instruments))
    assert proof.last.figures == {}
    assert proof.verdict is Verdict.not_proven
    assert any("look at these rows" in said for said in proof.judged[0].remedies)
