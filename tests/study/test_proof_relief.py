"""Figures of a relief valve against a line known by hand."""

from __future__ import annotations

import pytest
from tests.shop import FLOWS, PSI, figure, line_rows, proof_of, sheet

LINE = {"cracked": 2900.0, "slope": 5.0, "drop": 30.0}  # psi, psi/gpm, psi


@pytest.mark.parametrize(
    ("name", "psi"),
    [
        ("cracking pressure", 2900 + 5 * 0.24),
        ("full-flow pressure", 2900 + 5 * 24),
        ("override", 5 * (24 - 0.24)),
        ("reseating pressure", 2900 + 5 * 0.24 - 30),
        ("hysteresis", 30),
    ],
)
def test_figures_are_those_of_the_line(name: str, psi: float) -> None:
    assert figure(proof_of(sheet(line_rows(**LINE))), name).value / PSI == pytest.approx(psi, abs=0.01)


def test_shares_are_taken_of_the_cracking_pressure() -> None:
    proof = proof_of(sheet(line_rows(**LINE)))
    assert figure(proof, "override share").value == pytest.approx(118.8 / 2901.2, rel=1e-4)
    assert figure(proof, "reseating share").value == pytest.approx(2871.2 / 2901.2, rel=1e-4)


def test_the_class_counts_once_in_a_pressure_and_hardly_in_a_difference() -> None:
    proof = proof_of(sheet(line_rows(**LINE)))
    assert figure(proof, "full-flow pressure").uncertainty / PSI == pytest.approx(80.0)
    # twice 1.6 % of the difference itself
    assert figure(proof, "override").uncertainty / PSI == pytest.approx(2 * 0.016 * 118.8, rel=1e-3)


def test_the_meter_s_error_counts_along_the_slope() -> None:
    meter = "{range: 0.1 to 60 gpm, class: +-2 gpm}"
    proof = proof_of(sheet(line_rows(**LINE), meter=meter))
    terms = {term.source: term.size / PSI for term in figure(proof, "full-flow pressure").terms}
    assert terms == pytest.approx({"P": 80.0, "Q": 5 * 2})


def test_a_gauge_s_own_hysteresis_counts_between_up_and_down_only() -> None:
    gauge = "{range: 0 to 5000 psi, class: 1.6 % of span, reads to: 0 psi, hysteresis: 25 psi}"
    proof = proof_of(sheet(line_rows(**LINE), gauge=gauge))
    assert figure(proof, "hysteresis").uncertainty / PSI > 25
    assert figure(proof, "override").uncertainty / PSI < 5


@pytest.mark.parametrize(("drain", "psi"), [("internal", 3020 - 90), ("external", 3020)])
def test_back_pressure_is_taken_off_where_the_drain_is_internal(drain: str, psi: float) -> None:
    rows = [f"{row} {90 * float(row.split()[0]) / 24:g}" for row in line_rows(**LINE)]
    text = sheet(
        rows,
        head="Q (gpm) P (psi) T (psi)",
        more=f"drain: {drain}",
        instruments="  T: {range: 0 to 200 psi, class: 2 % of span}",
    )
    found = figure(proof_of(text), "corrected setting")
    assert found.value / PSI == pytest.approx(psi)
    # by hand: the gauge on P whole, the one on T (4 psi) as rectangular with k = 2
    by_hand = (80**2 + (2 * 4 / 3**0.5) ** 2) ** 0.5
    assert found.uncertainty / PSI == pytest.approx(by_hand if drain == "internal" else 80.0)


def test_three_sweeps_and_typed_repeats_give_a_repeatability() -> None:
    sweeps = [row for cracked in (2900, 2904, 2892) for row in line_rows(cracked, 5.0)]
    proof = proof_of(sheet(sweeps))
    assert figure(proof, "repeatability").value / PSI == pytest.approx(12)
    assert figure(proof, "full-flow pressure").value / PSI == pytest.approx(2900 + 120 - 4 / 3, abs=0.01)
    assert any(term.scatter for term in figure(proof, "full-flow pressure").terms)
    proof = proof_of(sheet(line_rows(**LINE), end="  repeats: 3020 psi, 3010 psi, 3025 psi"))
    assert figure(proof, "repeatability").value / PSI == pytest.approx(15)


def test_leakage_is_volume_over_time_at_a_stated_share_of_the_setting() -> None:
    end = "  leakage volume: 30 mL\n  leakage time: 60 s\n  leakage pressure: 2416 psi"
    instruments = (
        "  vessel: {range: 0 mL to 100 mL, class: +-1 mL}\n  watch: {range: 0 s to 600 s, class: +-0.5 s}"
    )
    found = figure(proof_of(sheet(line_rows(**LINE), end=end, instruments=instruments)), "leakage")
    assert found.value == pytest.approx(30e-6 / 60)
    assert "80% of the full-flow pressure" in found.how
    volume, time = 30e-6 / 60 / 30, 30e-6 / 60 * 0.5 / 60
    assert found.uncertainty == pytest.approx((volume**2 + (2 * time / 3**0.5) ** 2) ** 0.5)


def test_below_the_meter_s_range_no_class_holds() -> None:
    meter = "{range: 1 to 60 gpm, class: 1 % of reading}"
    proof = proof_of(sheet(line_rows(**LINE), meter=meter))
    assert any("outside its instrument's range" in said for said in figure(proof, "cracking pressure").missing)
    assert not figure(proof, "full-flow pressure").missing


def test_a_sweep_that_stops_short_has_no_full_flow_pressure() -> None:
    short = [flow for flow in FLOWS if flow <= 20]
    proof = proof_of(sheet(line_rows(**LINE, flows=short)))
    assert "full-flow pressure" not in proof.last.figures
    assert "cracking pressure" in proof.last.figures


def test_cracking_is_read_at_the_flow_that_the_sheet_says() -> None:
    text = sheet(line_rows(**LINE), more="cracking flow: 10 %")
    found = figure(proof_of(text), "cracking pressure")
    assert found.value / PSI == pytest.approx(2900 + 5 * 2.4)
    assert "2.40 gpm" in found.how
