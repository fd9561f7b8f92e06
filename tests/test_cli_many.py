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
    free = ["--rated", "3200 psi", "--free", "main orifice.diameter=0.5, 0.6 mm"]
    table = tmp_path / "choices.csv"
    good = call("size", "pilot relief", *free, "--target", "override<=60 psi", "-o", str(table))
    assert good.exit_code == 0
    assert len(table.read_text().splitlines()) == 3
    bad = call("size", "pilot relief", *free, "--target", "override<=1 psi", "--json")
    assert bad.exit_code == 1
    assert json.loads(bad.stdout)["best"] is None


def test_which_orifice_and_spring_give_override_under_60_psi_and_no_chatter(tmp_path: Path) -> None:
    chart = tmp_path / "choice.svg"
    free = ["--free", "main orifice.diameter=0.5..1.2 mm in drills", "--free", "main spring.rate=5, 9 N/mm"]
    wanted = ["--target", "override<=60 psi", "--target", "no chatter"]
    told = call("size", "pilot relief", "--rated", "3200 psi", *free, *wanted, "--json", "-o", str(chart))
    assert told.exit_code == 0
    data = json.loads(told.stdout)
    assert 0 < data["satisfy"] < data["combinations"]
    assert data["best"]["override"]["value"] <= 60
    assert data["best"]["damping ratio"]["value"] >= 0
    assert (
        f"{data['satisfy']} of {data['combinations']} combinations satisfy override at most" in chart.read_text()
    )


def test_a_valve_in_a_machine_is_sized_in_its_machine() -> None:
    words = [
        "--free",
        "main relief.main orifice.diameter=0.5, 0.6 mm",
        "--target",
        "override of main relief<=60 psi",
    ]
    told = call("size", "examples/tipping_hoist.yaml", *words, "--at", "load pressure=1200 psi", "--json")
    assert told.exit_code == 0
    assert json.loads(told.stdout)["set anew"] == ["main relief"]


def test_a_spread_is_kept_and_taken_up_again(tmp_path: Path) -> None:
    folder = tmp_path / "sets"
    words = ["spread", "direct relief", "--number", "10", "--keep", str(folder), "--json"]
    first = call(*words)
    (block,) = folder.glob("*.parquet")
    written = block.stat().st_mtime_ns
    assert call(*words).stdout == first.stdout
    assert block.stat().st_mtime_ns == written
    asked = json.loads((folder / "_manifest.json").read_text())["asked with"]
    assert asked == {"file": "direct relief", "number": "10", "seed": "1"}
    other = call(*words, "--set-anew")
    assert isinstance(other.exception, InputError)
    assert "another spread" in str(other.exception)


def test_a_spread_on_the_workers_of_this_computer_has_the_same_answer() -> None:
    words = ["spread", "direct relief", "--number", "10", "--json"]
    assert call(*words, "--dask", "local").stdout == call(*words).stdout


def test_a_spread_in_time_from_the_command_line() -> None:
    run = ["--for", "0.1 s", "--do", "0.02 s over 0.01 s: test pump.flow=9 gpm", "--of", "peak pressure:inlet"]
    told = call("spread", "direct relief", "--number", "5", *run, "--set-anew", "--json")
    assert told.exit_code == 0
    names = [output["name"] for output in json.loads(told.stdout)["outputs"]]
    assert names == ["peak pressure:inlet", "turns"]
    assert "say how long" in str(call("spread", "direct relief", "--do", "0.02 s: turns=2").exception)


@pytest.mark.parametrize("verb", ["spread", "size"])
def test_an_ending_that_cannot_be_written_is_refused_before_anything_is_solved(verb: str) -> None:
    refused = call(verb, "pilot relief", "-o", "chart.doc")
    assert isinstance(refused.exception, InputError)
    assert "as '.doc'" in str(refused.exception)
