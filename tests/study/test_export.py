"""Plain data equals the result it was made from, in either system of units."""

from __future__ import annotations

import json
import math

import pytest

import oilway
from oilway import quantity
from oilway.study.check import check
from oilway.study.curve import relief_curve
from oilway.study.explain import explain
from oilway.study.export import checked_data, curve_data, explained_data, reducing_data
from oilway.study.reducing import reducing_curve
from oilway.study.story import hoist

GROUPS = ("pressures", "pressures falling", "velocities", "forces", "flows", "power")


@pytest.fixture(scope="module")
def explained():
    return explain(hoist("two-stage"))[0]


@pytest.fixture(scope="module")
def curve():
    return relief_curve(oilway.load("pilot relief"))


def test_everything_is_plain_json_without_nan(explained, curve) -> None:
    for units in ("shop", "metric"):
        for data in (
            explained_data(explained, units),
            curve_data(curve, units),
            checked_data(check(explained.state.machine)),
        ):
            assert json.loads(json.dumps(data, allow_nan=False)) == data
            assert data["format"] == 1


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_pressures_and_velocities_are_those_of_the_state(explained, units) -> None:
    data, state = explained_data(explained, units), explained.state
    for group, values in (("pressures", state.pressures), ("velocities", state.velocities)):
        unit, shown = data[group]["unit"], data[group]["values"]
        assert set(shown) == set(values)
        for name, value in values.items():
            back = quantity.parse(
                f"{shown[name]!r} {unit}", {"pressures": "pressure", "velocities": "velocity"}[group]
            )
            assert back == pytest.approx(value, rel=1e-9, abs=1e-12), name


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_ledgers_are_those_of_the_state_and_still_close(explained, units) -> None:
    data, state = explained_data(explained, units), explained.state
    for part, entries in data["forces"]["values"].items():
        assert [e["what"] for e in entries] == [e.label for e in state.forces[part]]
        assert abs(sum(e["value"] for e in entries)) <= 1e-6 * max(abs(e["value"]) for e in entries)
    assert data["flows"]["counted at"] == "0 psi gauge"
    flows = data["flows"]["values"]
    assert set(flows) == set(state.flows)
    pump = next(e for e in flows["pump line"] if e["part"] == "pump")
    mass = next(e.value for e in state.flows["pump line"] if e.part == "pump")
    one = quantity.parse(f"1 {data['flows']['unit']}", "flow")
    assert pump["value"] * one == pytest.approx(mass / state.parameter("oil.rho0"), rel=1e-9)
    assert len(data["power"]["values"]["machine"]) == len(state.power)


def test_shop_and_metric_say_the_same(explained) -> None:
    shop, metric = explained_data(explained, "shop"), explained_data(explained, "metric")
    assert shop["pressures"]["unit"] == "psi"
    assert metric["pressures"]["unit"] == "bar"
    for name, psi in shop["pressures"]["values"].items():
        assert metric["pressures"]["values"][name] == pytest.approx(psi * 0.0689475729, rel=1e-8, abs=1e-9)
    for group in GROUPS:
        assert shop[group]["unit"] != metric[group]["unit"]
    assert shop["regimes"] == metric["regimes"]
    assert shop["stability"] == metric["stability"]


def test_readings_carry_their_unit(explained) -> None:
    gauge = explained_data(explained)["readings"]["load gauge"]
    assert gauge["unit"] == "psi"
    assert gauge["value"] == pytest.approx(explained.state.pressures["cap line"] / quantity.PSI, rel=1e-9)


def test_parts_say_how_they_stand(explained) -> None:
    parts = explained_data(explained)["parts"]
    assert parts["main relief.main part"]["state"] == "seated"
    assert parts["main relief.main part"]["lift"] == {"unit": "in", "value": 0.0}


def test_balances_sum_to_what_was_computed() -> None:
    data = explained_data(explain(oilway.load("pilot relief"))[-1])
    assert set(data["balances"]) == {"main part", "pilot poppet"}
    for balance in data["balances"].values():
        assert sum(balance["terms"]["values"].values()) == pytest.approx(balance["computed"]["value"], rel=1e-9)
        assert balance["classroom rule"]["value"] < balance["computed"]["value"]


def test_findings_and_isolated_chambers_are_told() -> None:
    built = oilway.load("direct relief", {"inlet.rated pressure": "2200 psi"})
    data = explained_data(explain(built, [{}])[0])
    assert len(data["findings"]) == 1
    assert "above its rated pressure" in data["findings"][0]
    assert data["isolated"] == []


def test_a_curve_in_either_unit(curve) -> None:
    shop, metric = curve_data(curve, "shop"), curve_data(curve, "metric")
    assert shop["pressures"]["values"]["full"] == pytest.approx(2300, abs=0.05)
    assert metric["pressures"]["values"]["full"] == pytest.approx(2300 * 0.0689475729, abs=0.005)
    assert shop["full flow"] == {"unit": "gpm", "value": pytest.approx(18.0)}
    assert metric["full flow"] == {"unit": "L/min", "value": pytest.approx(18 * 3.785411784)}
    assert len(shop["rising"]["values"]) == len(shop["falling"]["values"]) == len(shop["flows"]["values"])
    assert shop["override share"] == metric["override share"]
    # 1 psi/gpm = 0.0689 bar over 3.785 L/min
    ratio = metric["gradient"]["value"] / shop["gradient"]["value"]
    assert ratio == pytest.approx(0.0689475729 / 3.785411784, rel=1e-9)
    assert shop["gradient"]["unit"] == "psi per gpm"
    assert [*shop["openings"]] == ["pilot poppet", "main part"]
    assert math.isfinite(shop["openings"]["pilot poppet"]["pressure"]["value"])


def test_a_check_says_what_it_found() -> None:
    built = hoist("direct-acting")
    data, checked = checked_data(check(built)), check(built)
    assert data["title"] == built.title
    assert data["parts"] == checked.counts
    assert data["unrated"] == ["return hose"]
    assert data["notes"] == checked.notes


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_a_curve_of_a_reducing_valve_in_either_unit(units) -> None:
    for choice in ("relieving", "non-relieving"):
        curve = reducing_curve(oilway.load("reducing", {"outlet": choice}))
        data = reducing_data(curve, units)
        assert json.loads(json.dumps(data, allow_nan=False)) == data
        shown = data["pressures"]["values"]
        for figure in ("held", "at_setting", "full", "droop", "hysteresis"):
            assert shown[figure] == quantity.number(getattr(curve, figure), "pressure", units), figure
        assert ("pushed_rise" in shown) == (choice == "relieving")
        influence = data["inlet influence"]["values"]
        assert influence["reduced pressure changes by"] == quantity.number(curve.influence, "pressure", units)
        assert len(data["pushed back"]["flows"]["values"]) == len(curve.pushed_flows)
        assert data["rising"]["values"][3] == quantity.number(float(curve.rising[3]), "pressure", units)
        assert data["full flow"] == {
            "unit": quantity.unit("flow", units),
            "value": quantity.number(curve.full_flow, "flow", units),
        }
