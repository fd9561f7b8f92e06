"""A diagnosis as plain data: JSON without holes, units beside the numbers, nothing given away when sealed."""

from __future__ import annotations

import json
from typing import Any

import pytest

import oilway
from benchmarks.fit_trials import FLOWS, NOISE, TRUTH, readings
from oilway.study.diagnosis import diagnose
from oilway.study.find_data import diagnosis_data, fit_data, offers_data, sealed_data
from oilway.study.find_readings import read_readings
from oilway.study.fit import fit
from oilway.study.sealed import Sealed


def test_a_diagnosis_in_the_units_asked_for(hoist: Any) -> None:
    bench, dictionary = hoist
    told = diagnose(bench, dictionary, read_readings(bench, "pump gauge=300 psi @ lever valve +1, stalled"))
    shop, metric = (
        json.loads(json.dumps(diagnosis_data(told, units), allow_nan=False)) for units in ("shop", "metric")
    )
    assert shop["readings"][0]["value"] == pytest.approx(300)
    assert metric["readings"][0]["value"] == pytest.approx(300 * 0.0689476, rel=1e-4)
    assert sum(c["probability"] for c in shop["causes"] + shop["ruled out"]) == pytest.approx(1.0)
    assert all(p["cautions"] and p["would show"] for p in shop["next"])


def test_offers_name_everything_that_find_takes(hoist: Any) -> None:
    data = offers_data(hoist[0])
    assert [s["name"] for s in data["set-ups"] if s["as in the file"]] == ["lever valve +1"]
    assert {"pump gauge", "oil temperature"} <= {r["name"] for r in data["readings"]}


def test_a_sealed_machine_keeps_its_cause(hoist: Any) -> None:
    sealed = Sealed(*hoist, 4)
    shut = sealed_data(sealed, [], ["pump: worn"], [False], "shop")
    assert shut["cause"] is None
    assert sealed.fault.name not in json.dumps(shut)
    assert sealed_data(sealed, [], [sealed.fault.name], [True], "shop")["cause"] == sealed.fault.name


def test_a_fit_as_data() -> None:
    machine = oilway.load("direct relief")
    data = fit_data(fit(machine, readings(machine, TRUTH, FLOWS, NOISE, 1), list(TRUTH)))
    json.dumps(data, allow_nan=False)
    turns = next(i for i in data["internals"] if i["name"] == "main spring.turns")
    assert turns["low"] < 4.2 < turns["high"]
