"""Figures of the shorter tests, by hand."""

from __future__ import annotations

import pytest
from tests.shop import GPM, PSI, figure, proof_of

from oilway.quantity import parse
from oilway.study.conditions import State
from oilway.study.proof import Proof

WARM = "temperature window: 113 F to 131 F, oil temperature: 122 F"


def form(name: str, given: str, instruments: str, section: str, conditions: str = WARM) -> Proof:
    return proof_of(
        f"format: 1\nreadings: a test\ntest: {name}\n{given}\nconditions: {{{conditions}}}\n"
        f"instruments:\n{instruments}\nas found:\n{section}\n"
    )


def state(proof: Proof, name: str) -> State:
    return next(c.state for c in proof.conditions if c.name == name)


GAUGES = "\n".join(f"  {c}: {{range: 0 to 4000 psi, class: 1 % of span, reads to: 0 psi}}" for c in "PRLB")
METERS = "\n".join(f"  {c}: {{range: 0 to 30 gpm, class: +-0.1 gpm}}" for c in ("Q", "QC"))
BOTH = f"{GAUGES}\n{METERS}"


def test_a_worn_pump_loses_flow_with_pressure() -> None:
    """(Q1 - Q2) / Q1, common practice; between rows on the straight line."""
    rows = "  rows: |\n    P (psi) Q (gpm) QC (gpm)\n    50 20.0 0.1\n    150 19.8 0.2\n    2000 17.0 2.0\n"
    proof = form("pump flow", "rated pressure: 2000 psi\nrated flow: 20 gpm", BOTH, rows)
    assert figure(proof, "flow at low pressure").value / GPM == pytest.approx(19.9)
    assert figure(proof, "flow at rated pressure").value / GPM == pytest.approx(17.0)
    assert figure(proof, "flow loss").value == pytest.approx(2.9 / 19.9)
    assert figure(proof, "case leakage share").value == pytest.approx(0.1)
    assert state(proof, "points") is State.not_met


def test_a_reducing_valve_droops_and_needs_a_supply() -> None:
    rows = "  rows: |\n    Q (gpm) R (psi) P (psi)\n    0 600 2000\n    2 580 2000\n    4 550 {}\n"
    for supply, met in ((1500, State.met), (600, State.not_met)):
        proof = form("reducing", "rated flow: 4 gpm", BOTH, rows.format(supply))
        assert figure(proof, "droop").value / PSI == pytest.approx(50)
        assert figure(proof, "reduced pressure at full flow").value / PSI == pytest.approx(550)
        assert state(proof, "supply above outlet") is met


def test_an_unvented_counterbalance_carries_back_pressure_once_and_ratio_times() -> None:
    """pL + R pp = pset + (1 + R) pb with the pilot at tank: the setting is pL - (1 + R) pb."""
    rows = "  rows: |\n    Q (gpm) L (psi) B (psi)\n    0.01 2100 40\n    0.1 2200 40\n    0.2 2300 40\n"
    given = "opening flow: 0.1 gpm\nhighest load pressure: 1600 psi\npilot ratio: 3"
    proof = form("counterbalance", given, BOTH, rows)
    assert figure(proof, "opening pressure").value / PSI == pytest.approx(2200)
    assert figure(proof, "corrected opening").value / PSI == pytest.approx(2200 - 4 * 40)
    assert figure(proof, "opening over load").value == pytest.approx(2200 / 1600)
    assert state(proof, "on the bench") is State.unknown


@pytest.mark.parametrize(
    ("second", "psi"), [("same as P", 2 * 0.01 * 250), ("{range: 0 to 4000 psi, class: 1 % of span}", 61.1)]
)
def test_a_margin_on_one_gauge_is_finer_than_on_two(second: str, psi: float) -> None:
    """One gauge: twice its class of the difference.  Two of 40 psi: 40 whole, the other k 40 / sqrt 3."""
    section = (
        "  pump pressure moving: 2050 psi\n  load-sensing pressure moving: 1800 psi\n"
        "  pump pressure neutral: 300 psi\n  load-sensing pressure neutral: 10 psi"
    )
    instruments = f"  P: {{range: 0 to 4000 psi, class: 1 % of span, reads to: 0 psi}}\n  LS: {second}"
    proof = form("load sensing", "", instruments, section)
    assert figure(proof, "margin").value / PSI == pytest.approx(250)
    assert figure(proof, "margin").uncertainty / PSI == pytest.approx(psi, abs=0.1)
    assert state(proof, "function moving") is State.unknown


@pytest.mark.parametrize(("pressure", "met"), [(2000, State.met), (1500, State.not_met)])
def test_cylinder_bypass_is_volume_over_time_at_the_test_pressure(pressure: float, met: State) -> None:
    section = f"  collected volume: 100 mL\n  collecting time: 2 min\n  pressure: {pressure} psi"
    instruments = (
        f"{GAUGES}\n  vessel: {{range: 0 mL to 500 mL, class: +-5 mL}}\n"
        "  watch: {range: 0 s to 900 s, class: +-1 s}"
    )
    proof = form("cylinder bypass", "test pressure: 2000 psi", instruments, section)
    assert figure(proof, "bypass flow").value == pytest.approx(100e-6 / 120)
    assert state(proof, "test pressure") is met


def test_precharge_is_taken_to_its_reference_temperature() -> None:
    """Gas law at one volume: 100 bar absolute at 40 C is 100 x 293.15 / 313.15 bar absolute at 20 C."""
    read = parse("100 bar", "pressure") - 101325
    section = f"  gas pressure: {read:.3f} Pa\n  gas temperature: 40 C"
    instruments = f"{GAUGES}\n  temp: {{range: 0 C to 100 C, class: +-2 K}}"
    proof = form("precharge", "reference temperature: 20 C", instruments, section, "oil side bled: yes")
    assert figure(proof, "precharge").value == pytest.approx(100e5 * 293.15 / 313.15 - 101325, rel=1e-6)
    warmth = next(t.size for t in figure(proof, "precharge").terms if t.source == "temp")
    assert warmth == pytest.approx(100e5 * 293.15 / 313.15**2 * 2, rel=1e-6)
    assert state(proof, "temperature settled") is State.unknown
    assert not any(c.name == "oil temperature" for c in proof.conditions)
