"""A spread in words, as data and as a table: the numbers of the result, in the units asked for."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

import oilway
from oilway.quantity import number
from oilway.spread_text import print_spread, ranking, spread_data, spread_table
from oilway.study.run import read_change
from oilway.study.spread import spread
from oilway.study.spread_work import FULL


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
    override = told.outputs[2]
    assert f"override at most 13 psi: {round(40 * override.accepted)} of 40 sets" in text
    low, high = override.accepted_between
    assert f"{100 * low:.1f} to {100 * high:.1f} %" in " ".join(text.split())


def test_the_table_has_every_set(told) -> None:
    rows = list(csv.reader(io.StringIO(spread_table(told, "metric"))))
    assert rows[0] == [
        "set",
        "cracking pressure, bar",
        "full-flow pressure, bar",
        "override, bar",
        "reseating pressure, bar",
    ]
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
    assert [o["name"] for o in data["outputs"]] == ["cracking pressure", FULL, "override", "reseating pressure"]
    assert data["outputs"][2]["accepted"] == told.outputs[2].accepted
    assert len(data["band"]) == len(told.band.over.x)
    assert data["failures"] == []
    assert sum(i["share"] for i in data["outputs"][1]["influences"]) == pytest.approx(1.0)


def test_what_no_part_moves_is_said_so() -> None:
    told = spread(oilway.load("examples/tipping_hoist.yaml"), number=10)
    speed = next(o for o in told.outputs if o.name.startswith("speed:"))
    assert ranking(speed) == f"no part that has a tolerance moves the {speed.name}"


def test_what_was_done_with_the_adjusters_is_said() -> None:
    anew = spread(oilway.load("pilot relief"), number=5, anew=True)
    console = Console(file=io.StringIO(), width=110)
    print_spread(console, anew, "shop")
    said = " ".join(console.file.getvalue().split())
    assert "Set anew at full flow to the setting of the file: two-stage relief." in said
    assert "no part that has a tolerance moves the full-flow pressure" in said
    assert spread_data(anew)["adjusters"] == "set anew"


def test_a_figure_that_no_set_has_is_a_dash_and_no_number_in_the_data() -> None:
    machine = oilway.load("direct relief")
    change = read_change(machine, "0.008 s over 0.002 s: test pump.flow=5 gpm")
    names = ["peak pressure:inlet", "time to settle:inlet"]
    told = spread(machine, number=4, duration=0.1, changes=[change], channels=names[:1])
    told.outputs.append(replace(told.outputs[0], name=names[1], kind="time", values=np.full(4, np.nan)))
    data = spread_data(told)
    assert data["outputs"][1]["sets without"] == 4
    assert set(data["outputs"][1]["quantiles"].values()) == {None}
    console = Console(file=io.StringIO(), width=110)
    print_spread(console, told, "shop")
    assert "difference between the runs" in " ".join(console.file.getvalue().split())
    assert data["run"] is not None


def test_what_compiling_took_is_told_where_it_took_time(told) -> None:
    for prepared, said in ((12.8, True), (0.1, False)):
        console = Console(file=io.StringIO(), width=110)
        print_spread(console, replace(told, prepared=prepared), "shop")
        assert ("Made ready in 12.8 s" in console.file.getvalue()) == said


def test_an_output_that_no_slope_is_known_of_has_no_worst(told) -> None:
    console = Console(file=io.StringIO(), width=110)
    print_spread(console, replace(told, outputs=[replace(told.outputs[0], influences=[])]), "shop")
    assert "+- 0" not in console.file.getvalue()
