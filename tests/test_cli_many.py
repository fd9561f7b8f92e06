"""The verbs spread and size as they are used."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from oilway.cli import app
from oilway.errors import InputError


def call(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def test_spread_ends_with_1_where_a_limit_is_broken(tmp_path: Path) -> None:
    chart = tmp_path / "band.svg"
    kept = call("spread", "direct relief", "--number", "20", "--json", "-o", str(chart))
    assert kept.exit_code == 0
    assert json.loads(kept.stdout)["number"] == 20
    assert chart.read_text().startswith("<svg")
    broken = call("spread", "direct relief", "--number", "20", "--limit", "override=at most 1 psi")
    assert broken.exit_code == 1
    assert "0.0 %" in broken.stdout


def test_spread_writes_a_table(tmp_path: Path) -> None:
    table = tmp_path / "sets.csv"
    words = ["--tolerance", "main spring.rate=5 %", "--of", "pressure:outlet", "--at", "oil temperature=60 F"]
    assert call("spread", "direct relief", "--number", "5", *words, "-o", str(table)).exit_code == 0
    assert len(table.read_text().splitlines()) == 6


def test_size_ends_with_1_where_no_choice_satisfies(tmp_path: Path) -> None:
    free = ["--free", "main orifice.diameter=0.5, 0.6 mm"]
    table = tmp_path / "choices.csv"
    good = call("size", "pilot relief", *free, "--target", "override<=60 psi", "-o", str(table))
    assert good.exit_code == 0
    assert len(table.read_text().splitlines()) == 3
    bad = call("size", "pilot relief", *free, "--target", "override<=1 psi", "--json")
    assert bad.exit_code == 1
    assert json.loads(bad.stdout)["best"] is None


@pytest.mark.parametrize("verb", ["spread", "size"])
def test_an_ending_that_cannot_be_written_is_refused_before_anything_is_solved(verb: str) -> None:
    refused = call(verb, "pilot relief", "-o", "chart.doc")
    assert isinstance(refused.exception, InputError)
    assert "as '.doc'" in str(refused.exception)
