"""Forms: every key of every kind of part is in its form, and what a form says is what the reader accepts."""

from __future__ import annotations

import pytest

from oilway import quantity
from oilway.elements.record import REQUIRED
from oilway.model.catalogue import kinds, shipped_valves
from oilway.model.forms import STAND_ONLY, Form, forms, head_forms, valve_forms
from oilway.model.load import MACHINE_KEYS
from oilway.model.oil_block import OIL_RECORDS
from oilway.model.tree import Problems, read_text
from oilway.model.valve import KEYS as VALVE_KEYS
from oilway.model.valve import read_ports

FORMS = {form.kind: form for form in forms()}
METRIC = {form.kind: form for form in forms("metric")}


def test_there_is_a_form_for_every_kind_and_every_valve() -> None:
    assert set(FORMS) == set(kinds()) - set(STAND_ONLY)
    assert [form.kind for form in valve_forms()] == list(shipped_valves())


@pytest.mark.parametrize("kind", FORMS)
def test_a_form_has_every_key_and_says_what_the_record_says(kind: str) -> None:
    element = kinds()[kind]
    fields = {f.name: f for f in FORMS[kind].fields}
    assert list(fields) == [*(p.name for p in element.ports), *(r.name for r in element.records)]
    assert FORMS[kind].about
    for record in element.records:
        field = fields[record.name]
        assert field.required == (record.default == REQUIRED)
        assert field.meaning == record.meaning
        assert field.choices == record.choices or field.sort == "reference"


@pytest.mark.parametrize("form", [*FORMS.values(), *METRIC.values()], ids=lambda f: f.kind)
def test_defaults_and_ends_of_the_range_read_back_within_a_percent(form: Form) -> None:
    records = {r.name: r for r in kinds()[form.kind].records}
    for field in form.fields:
        if field.sort != "amount":
            continue
        record = records[field.name]
        for text, value in ((field.default, record.default), (field.low, record.low), (field.high, record.high)):
            if text:
                assert quantity.parse(text, record.kind) == pytest.approx(value, rel=0.01, abs=1e-12), field.name


def test_a_valve_form_names_ports_options_and_setting() -> None:
    form = next(f for f in valve_forms() if f.kind == "counterbalance")
    fields = {f.name: f for f in form.fields}
    assert {"L", "V", "X", "Y", "ratio", "spring chamber", "setting"} == set(fields)
    assert fields["ratio"].choices == ("1.5 to 1", "3 to 1", "4.5 to 1", "8 to 1")
    assert fields["L"].required
    assert not fields["Y"].required


def test_what_stands_beside_the_parts_has_forms_whose_keys_the_reader_takes() -> None:
    heads = {form.kind: {field.name for field in form.fields} for form in head_forms()}
    assert heads["oil"] == {record.name for record in OIL_RECORDS}
    assert heads["machine"] <= set(MACHINE_KEYS)
    assert heads["valve"] <= set(VALVE_KEYS)
    text = {"chamber": "inlet", "role": "inlet", "unconnected": "plugged"}
    assert heads["port"] == set(text)
    block = read_text("P: " + str(text).replace("'", ""))
    problems = Problems()
    assert read_ports(block, problems)["P"].plugged
    assert not problems.found
