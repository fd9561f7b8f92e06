"""Choices in words, as data and as a table."""

from __future__ import annotations

import csv
import io

import pytest
from rich.console import Console

import oilway
from oilway.size_text import print_sizing, sizing_data, sizing_table, verdict
from oilway.study.size import size

FREE = {"main orifice.diameter": "0.5..0.8 mm in drills"}

RATED = 22e6  # Pa


@pytest.fixture(scope="module")
def found():
    """Seven drills."""
    return size(oilway.load("pilot relief"), FREE, ["override<=13 psi"], rated=RATED)


def test_the_verdict_names_the_best_choice(found) -> None:
    best = found.values[found.best][0]
    assert f"main orifice.diameter {best / 0.0254:.4f} in" in verdict(found)
    assert verdict(found).startswith(f"{found.passed.sum()} of 7 combinations satisfy")
    console = Console(file=io.StringIO(), width=110)
    print_sizing(console, found, "metric")
    assert "drills, common practice" in console.file.getvalue()
    assert f"{1e3 * best:.4f} mm" in console.file.getvalue()


def test_the_table_has_every_combination(found) -> None:
    rows = list(csv.DictReader(io.StringIO(sizing_table(found, "metric"))))
    assert len(rows) == 7
    for row, passed in zip(rows, found.passed, strict=True):
        assert row["satisfies"] == ("yes" if passed else "no")
        assert float(row["full-flow pressure, bar"]) == pytest.approx(158.579, abs=0.01)  # 2300 psi


def test_the_data_says_what_satisfies(found) -> None:
    data = sizing_data(found)
    assert data["satisfy"] == found.passed.sum()
    assert data["free"][0]["steps"] == 7
    assert data["best"]["override"]["value"] <= 13


def test_two_targets_that_exclude_each_other() -> None:
    """A small orifice for the override, a large one for the flow: each alone can be had."""
    told = size(oilway.load("pilot relief"), FREE, ["override<=13 psi", "flow:pilot seat>=0.12 gpm"], rated=RATED)
    assert told.kept(0) > 0
    assert told.kept(1) > 0
    assert told.best is None
    assert "stands in the way: without it" in verdict(told)


def test_a_setting_out_of_reach_is_said_so() -> None:
    told = size(oilway.load("pilot relief"), {"pilot spring.rate": "4, 5 N/mm"}, ["override<=60 psi"], rated=RATED)
    assert "reaches the setting" in verdict(told)
