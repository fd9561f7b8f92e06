"""Forms: every key of every kind of part is in its form, and what a form says is what the reader accepts."""

from __future__ import annotations

import pytest

from oilway import quantity
from oilway.elements.record import REQUIRED
from oilway.model.catalogue import kinds, shipped_valves
from oilway.model.forms import STAND_ONLY, Form, forms, valve_forms

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
