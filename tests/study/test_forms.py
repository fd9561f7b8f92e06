"""Every kind of test is complete, and its example does what it says."""

from __future__ import annotations

import pytest

from oilway.quantity import KINDS, parse
from oilway.study.forms import FORMS, HEADER, Form
from oilway.study.proof import prove
from oilway.study.proof_forms import FIGURES
from oilway.study.readings import read_readings
from oilway.study.rows import BESIDE, COLUMNS
from oilway.study.story import examples

SHEETS = sorted((examples() / "readings").glob("*.yaml"))


@pytest.mark.parametrize("form", FORMS.values(), ids=list(FORMS))
def test_a_form_names_only_what_exists(form: Form) -> None:
    assert form.name in FIGURES
    assert form.figures
    assert len(form.cautions) >= 3
    assert set(form.figures.values()) <= set(KINDS)
    assert {*form.columns, *form.optional} <= set(COLUMNS)
    assert form.swept in (*form.columns, "")
    for value in form.values.values():
        assert {**COLUMNS, **BESIDE}[value.column][0] == value.kind
    for given in form.given.values():
        if given.default is not None:
            parse(given.default, given.kind)


def test_every_form_sends_oil_under_pressure_to_no_hand_and_defers_to_the_manual() -> None:
    assert "maker's manual" in HEADER
    for name in ("relief", "pump flow", "reducing", "counterbalance", "load sensing", "cylinder bypass", "step"):
        assert any("Injection" in caution for caution in FORMS[name].cautions)
    assert any("supported" in caution for caution in FORMS["counterbalance"].cautions)
    assert any("dead-head" in caution for caution in FORMS["pump flow"].cautions)
    assert any("bleed the oil side" in caution for caution in FORMS["precharge"].cautions)


def test_every_form_has_an_example() -> None:
    assert {read_readings(path).form.name for path in SHEETS} == set(FORMS)


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
def test_an_example_gives_every_figure_it_sets_limits_for(path) -> None:
    proof = prove(read_readings(path))
    assert all(item.figure is not None for item in proof.judged)
    assert set(proof.last.figures) <= set(proof.readings.form.figures)
    assert not any(figure.missing for figure in proof.last.figures.values())
    assert path.read_text(encoding="utf-8").startswith("# Brackwater Quarry")
