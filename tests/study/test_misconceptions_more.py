"""Beliefs about limits, losses, springs and leaks: each leads to its number where it applies, and only there."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from tests.classroom import PSI, item_of, variant
from tests.study.shop import GPM

from oilway import quantity
from oilway.study.marking import mark_sheet
from oilway.study.misconceptions_more import MORE
from oilway.study.story import examples
from oilway.study.worksheet_draw import Variant
from oilway.study.worksheet_solve import Wrong

RELIEF = """questions:
  - {id: more, ask: a, set: {load pressure: 5000 psi, pump flow: 24 gpm}, answer: flow through seat}
  - {id: less, ask: a, set: {load pressure: 5000 psi, pump flow: 12 gpm}, answer: flow through seat}
  - {id: spring, ask: a, set: {load pressure: 5000 psi, pump flow: 18 gpm}, answer: pressure of inlet,
     was: {setting: 1900 psi at 0.18 gpm}, change: {setting: 1900 psi at 0.18 gpm, main spring.rate: 600 N/mm}}
  - {id: shut, ask: a, set: {load pressure: 1000 psi, pump flow: 18 gpm}, answer: pressure of inlet,
     was: {setting: 1900 psi at 0.18 gpm}, change: {setting: 1900 psi at 0.18 gpm, main spring.rate: 600 N/mm}}
"""
HOIST = """questions:
  - {id: speed, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: speed of hoist cylinder}
  - {id: into cap, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: flow through hoist cylinder@cap}
  - {id: set low, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: speed of hoist cylinder,
     change: {main relief.setting: 2300 psi at 12 gpm}}
  - {id: idle, ask: a, set: {lever: 1, load pressure: 1500 psi, engine speed: 800 rpm},
     answer: speed of hoist cylinder}
  - {id: heat, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: power over lever valve}
  - {id: drop, ask: a, set: {lever: 1, load pressure: 1500 psi},
     answer: reading of pump gauge less reading of load gauge}
  - {id: between, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: drop times into cap}
  - {id: lifts, ask: a, set: {lever: 1, load pressure: 1500 psi}, answer: pressure of cap line times into cap}
  - {id: stalled, ask: a, set: {lever: 1, load pressure: 3400 psi}, answer: power over main relief}
  - {id: drift, ask: a, set: {lever: 0, load pressure: 1500 psi, hoist cylinder.seal clearance: 60 um},
     answer: speed of hoist cylinder}
  - {id: tight, ask: a, set: {lever: 0, load pressure: 1500 psi}, answer: speed of hoist cylinder}
"""
COMPENSATED = """format: 1
machine: compensated
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  pump: {kind: pressure-compensated pump, inlet: tank, outlet: line, case: tank, displacement: 45 cc/rev,
         engine speed: 1800 rpm, compensator setting: 2500 psi, band: 100 psi}
  relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: 2800 psi at 18 gpm}
"""
STUCK = """questions:
  - {id: sound, ask: a, answer: pressure of line}
  - {id: stuck, ask: a, answer: pressure of line, was: {pump.compensator setting: 2500 psi},
     change: {pump.compensator setting: 4000 psi}}
  - {id: low, ask: a, answer: pressure of line, change: {relief.setting: 2000 psi at 18 gpm}}
"""


def asked(folder: Path, questions: str, file: str) -> Variant:
    for path in examples().glob("*.yaml"):
        shutil.copy(path, folder)
    return variant(folder, questions, head=f"format: 1\nworksheet: w\nfile: {file}\n")


def wrong_of(found: Variant, item: str) -> dict[str, Wrong]:
    return {w.misconception: w for w in item_of(found, item).wrong}


@pytest.fixture(scope="module")
def relief(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    return asked(tmp_path_factory.mktemp("relief"), RELIEF, "direct relief")


@pytest.fixture(scope="module")
def hoist(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    return asked(tmp_path_factory.mktemp("hoist"), HOIST, "tipping_hoist.yaml")


@pytest.fixture(scope="module")
def compensated(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    folder = tmp_path_factory.mktemp("compensated")
    (folder / "compensated.yaml").write_text(COMPENSATED, encoding="utf-8")
    return asked(folder, STUCK, "compensated.yaml")


def test_who_thinks_a_relief_limits_flow_answers_the_flow_of_its_setting(relief: Variant) -> None:
    """Its file sets it at 18 gpm; of 24 gpm all go over it."""
    name = "a relief limits flow"
    assert item_of(relief, "more").size() == pytest.approx(24 * GPM, rel=1e-3)
    assert wrong_of(relief, "more")[name].value == pytest.approx(18 * GPM, rel=1e-6)
    assert name not in wrong_of(relief, "less")


def test_who_thinks_a_relief_limits_flow_slows_the_cylinder_down(hoist: Variant) -> None:
    """The pump delivers more than the 12 gpm of another setting; of the file's 18 gpm it is nearly all."""
    name, flow = "a relief limits flow", item_of(hoist, "into cap").size()
    believed = item_of(hoist, "speed").size() * 12 * GPM / flow
    assert wrong_of(hoist, "set low")[name].value == pytest.approx(believed, rel=0.01)
    assert item_of(hoist, "set low").size() == pytest.approx(item_of(hoist, "speed").size(), rel=1e-3)
    assert name not in wrong_of(hoist, "idle") | wrong_of(hoist, "speed")


def test_who_thinks_a_stiffer_spring_is_better_lets_the_pressure_climb_less(relief: Variant) -> None:
    """Cracking the same: the climb of before, divided by how many times stiffer the spring is."""
    item, sitting = item_of(relief, "spring"), relief.sitting
    was, now = (sitting.answer(item.question, key=key).size for key in ("was", "change"))
    assert was < now  # in truth a stiffer spring climbs further
    cracks = 1900 * PSI
    machine = sitting.machine(item.question, "was")
    ratio = 600e3 / float(machine.parts["main spring"].values["rate"])
    wrong = wrong_of(relief, "spring")["a bigger spring is better"]
    assert wrong.value == pytest.approx(cracks + (was - cracks) / ratio, rel=0.02)
    assert "a bigger spring is better" not in wrong_of(relief, "shut")


def test_who_thinks_every_drop_is_bad_counts_the_work_too(hoist: Variant) -> None:
    """Pump pressure times pump flow, of which the lever valve takes little; at stall all of it is heat."""
    state = hoist.sitting.state(item_of(hoist, "heat").question)
    power = state.pressures["pump line"] * item_of(hoist, "into cap").size()
    wrong = wrong_of(hoist, "heat")["all pressure drop is bad"]
    assert wrong.value == pytest.approx(power, rel=0.02)
    assert wrong_of(hoist, "between")["all pressure drop is bad"].value == pytest.approx(power, rel=0.02)
    assert "all pressure drop is bad" not in wrong_of(hoist, "lifts")
    assert "all pressure drop is bad" not in wrong_of(hoist, "stalled")


def test_who_lets_every_leaking_piston_drift_answers_the_leak_over_the_bore(hoist: Variant) -> None:
    """Laminar gap: pi d h^3 dp / (12 mu L) (as in laws/restrictions), here with the cylinder's own figures."""
    item = item_of(hoist, "drift")
    wrong = wrong_of(hoist, "drift")["a leaking piston always drifts"]
    state = hoist.sitting.state(item.question)
    cylinder = state.machine.parts["hoist cylinder"].values
    bore, length = float(cylinder["bore"]), float(cylinder["piston length"])
    leak = 3.141593 * bore * (60e-6) ** 3 * 1500 * PSI / (12 * state.parameter("oil.mu") * length)
    assert wrong.value == pytest.approx(leak / (3.141593 / 4 * bore**2), rel=0.05)
    assert item.size() < 0.1 * float(wrong.value)  # shut in at both ends, it stays
    assert "a leaking piston always drifts" not in wrong_of(hoist, "tight")


def test_where_the_oil_finds_a_way_out_a_leaking_piston_does_drift(tmp_path: Path) -> None:
    """The boom's spool lets the rod end off to the tank in neutral: there it is so, and is not named."""
    text = """questions:
  - {id: q, ask: a, set: {lever: 0, boom cylinder.seal clearance: 60 um}, answer: speed of boom cylinder}
"""
    found = asked(tmp_path, text, "boom.yaml")
    assert item_of(found, "q").size() > 1e-3
    assert "a leaking piston always drifts" not in wrong_of(found, "q")


def test_who_trusts_the_compensator_answers_its_pressure(compensated: Variant) -> None:
    name = "a compensated pump needs no relief"
    assert name not in wrong_of(compensated, "sound")
    assert item_of(compensated, "stuck").size() > 2700 * PSI
    for item in ("stuck", "low"):
        assert wrong_of(compensated, item)[name].value == pytest.approx(2500 * PSI, rel=1e-9)
    assert item_of(compensated, "low").size() < 2100 * PSI


@pytest.fixture(scope="module")
def boom(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    text = "questions:\n  - {id: q, ask: a, set: {lever: -1}, answer: reading of pilot gauge}\n"
    return asked(tmp_path_factory.mktemp("boom"), text, "boom.yaml")


def test_who_takes_a_counterbalance_for_a_pilot_check_forgets_its_setting(boom: Variant) -> None:
    """A check piloted at 1.5 to 1 opens at load over 1.5, whatever the 2100 psi of the counterbalance."""
    wrong, item = wrong_of(boom, "q")["counterbalance = pilot check"], item_of(boom, "q")
    load = boom.sitting.state(item.question).pressures["cap end"]
    assert wrong.value == pytest.approx(load / 1.5, rel=1e-4)
    assert abs(float(wrong.value) - item.size()) > item.half


@pytest.mark.parametrize("belief", [m.name for m in MORE])
def test_each_is_named_by_marking(
    belief: str, relief: Variant, hoist: Variant, compensated: Variant, boom: Variant
) -> None:
    asked_of = [(v, i, w) for v in (relief, hoist, compensated, boom) for i in v.items for w in i.wrong]
    applied = [(v, i, w) for v, i, w in asked_of if w.misconception == belief]
    assert applied
    for found, item, wrong in applied:
        text = quantity.show(float(wrong.value), item.quantity)
        mark = next(m for m in mark_sheet(found, {item.id: text}).marks if m.item is item)
        assert belief in [w.misconception for w in mark.misconceptions]
