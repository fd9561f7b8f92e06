"""An inspection as plain data."""

from __future__ import annotations

import json

import pytest
from tests.study.shop import PSI

import oilway
from oilway.study.found import from_words
from oilway.study.inspect import inspect
from oilway.study.inspect_data import inspection_data


def test_figures_have_units_and_a_missing_condition_is_null() -> None:
    valve = oilway.load("direct relief")
    item = inspect(valve, from_words({"main spring.rate": "30 N/mm"}, "--found"))
    data = json.loads(json.dumps(inspection_data(item, "page 12", "metric"), allow_nan=False))
    assert data["set anew"] is None
    assert data["verdict"] == "replace"
    assert data["source of limits"] == "page 12"
    full = data["as new"]["figures"]["full-flow pressure"]
    assert full["unit"] == "bar"
    assert full["value"] == pytest.approx(2300 * PSI / 1e5)
    assert data["found"] == {"main spring.rate": "30 N/mm"}


def test_judged_limits_are_told_with_their_value() -> None:
    valve = oilway.load("direct relief")
    limits = from_words({"override": "at most 450 psi"}, "--limit")
    (judged,) = inspection_data(inspect(valve, from_words({"main spring.rate": "380 N/mm"}, "--found"), limits))[
        "judged"
    ]
    assert judged["on"] == "override"
    assert judged["unit"] == "psi"
    assert judged["kept"] is (judged["value"] <= 450)
