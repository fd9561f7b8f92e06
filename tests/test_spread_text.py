"""A spread in words, as data and as a table: the numbers of the result, in the units asked for."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest
from rich.console import Console

import oilway
from oilway.quantity import number
from oilway.spread_text import print_spread, ranking, spread_data, spread_table
from oilway.study.spread import FULL, spread


@pytest.fixture(scope="module")
def told():
    """Forty sets of the two-stage relief."""
    return spread(oilway.load("pilot relief"), number=40, limits={"override": "at most 13 psi"})


def test_the_words_name_the_part_that_matters_and_where_tolerances_come_from(told) -> None:
    full = next(o for o in told.outputs if o.name == FULL)
    assert ranking(full).startswith("pilot spring.rate matters most for the full-flow pressure")
    console = Console(file=io.StringIO(), width=110)
    print_spread(console, told, "shop")
    text = console.file.getvalue()
    assert "tolerances, common practice:" in text
    assert "Adjusters keep their turns" in text
    assert f"{100 * told.outputs[-1].accepted:.1f} % (at most 13 psi)" in text


def test_the_table_has_every_set(told) -> None:
    rows = list(csv.reader(io.StringIO(spread_table(told, "metric"))))
    assert rows[0] == ["set", "cracking pressure, bar", "full-flow pressure, bar", "override, bar"]
    assert len(rows) == 41
    assert float(rows[7][2]) == pytest.approx(number(told.outputs[1].values[6], "pressure", "metric"), rel=1e-8)


def test_a_set_without_a_result_has_an_empty_cell(told) -> None:
    values = told.outputs[0].values.copy()
    told.outputs[0].values[3] = np.nan
    try:
        assert spread_table(told, "shop").splitlines()[4].startswith("4,,")
    finally:
        told.outputs[0].values[:] = values


def test_the_data_has_outputs_band_and_failures(told) -> None:
    data = spread_data(told)
    assert [o["name"] for o in data["outputs"]] == ["cracking pressure", FULL, "override"]
    assert data["outputs"][2]["accepted"] == told.outputs[2].accepted
    assert len(data["band"]) == len(told.band.flows)
    assert data["failures"] == []
    assert sum(i["share"] for i in data["outputs"][1]["influences"]) == pytest.approx(1.0)


def test_what_no_part_moves_is_said_so() -> None:
    told = spread(oilway.load("examples/tipping_hoist.yaml"), number=10)
    speed = next(o for o in told.outputs if o.name.startswith("speed:"))
    assert ranking(speed) == f"no part that has a tolerance moves the {speed.name}"
