"""The verbs prove and log as they are used."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from oilway.cli import app
from oilway.errors import InputError
from oilway.study.story import examples


@pytest.fixture
def sheets(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the example readings, in which the commands run."""
    shutil.copytree(examples() / "readings", tmp_path / "readings")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def call(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


@pytest.mark.parametrize(
    ("name", "status", "verdict"),
    [("hoist_relief", 0, "accept"), ("press_coarse_gauge", 1, "not proven"), ("boom_bypass", 1, "reject")],
)
def test_the_status_is_0_for_accept_alone(sheets: Path, name: str, status: int, verdict: str) -> None:
    ended = call("prove", f"readings/{name}.yaml", "--json")
    assert ended.exit_code == status
    assert json.loads(ended.output)["verdict"] == verdict


def test_a_sheet_is_printed_drawn_written_and_logged(sheets: Path) -> None:
    one = "readings/hoist_relief.yaml"
    ended = call("prove", one, "-o", "sheet.pdf", "--paper", "a4", "--log", "bench.db")
    assert ended.exit_code == 0
    assert "written: sheet.pdf" in ended.output
    assert "bench.db: sheet 1" in ended.output
    assert "stored before" in call("prove", one, "--log", "bench.db").output
    assert call("prove", one, "-o", "curve.svg").exit_code == 0
    assert call("prove", one, "-o", "sheet.txt").output == ""
    assert (sheets / "sheet.pdf").read_bytes().startswith(b"%PDF")
    assert (sheets / "curve.svg").read_text(encoding="utf-8").startswith("<svg")
    assert "ACCEPT" in (sheets / "sheet.txt").read_text(encoding="utf-8")


def test_a_log_is_listed_compared_and_exported(sheets: Path) -> None:
    for name in ("hoist_relief", "press_coarse_gauge", "loader_two_stalls"):
        call("prove", f"readings/{name}.yaml", "--log", "bench.db")
    assert "Brackwater press" in call("log", "list", "bench.db").output
    listed = json.loads(call("log", "list", "bench.db", "--machine", "Brackwater press", "--json").output)
    assert [sheet["verdict"] for sheet in listed] == ["not proven"]
    said = call("log", "compare", "bench.db", "--figure", "full-flow pressure").output
    assert "Brackwater tipping hoist, main relief: full-flow pressure as found" in said
    assert call("log", "export", "bench.db", "-o", "all.csv").exit_code == 0
    assert (sheets / "all.csv").read_text(encoding="utf-8").startswith("sheet,stored,date")
    assert call("log", "export", "bench.db").output.count("\n") > 10


def test_what_is_wrong_ends_with_an_error_that_names_it(sheets: Path) -> None:
    for words, said in (
        (("prove", "readings/hoist.yaml"), "no such file"),
        (("prove", "readings/hoist_logger.csv"), "a table alone"),
        (("log", "list", "none.db"), "no such bench log"),
        (("prove", "readings/press_precharge.yaml", "-o", "c.svg"), "no curve to draw"),
    ):
        ended = call(*words)
        assert isinstance(ended.exception, InputError)
        assert said in str(ended.exception)


def test_either_module_may_be_imported_first() -> None:
    for first in ("oilway.cli", "oilway.cli_shop"):
        code = f"import {first}; from oilway.cli import main; import sys; sys.argv = ['oilway', '--help']; main()"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        assert "\n  prove " in done.stdout
        assert "\n  log " in done.stdout
