"""The verbs set, inspect and choose as they are used: answers, files, exit statuses."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from oilway import cli
from oilway.study.story import examples

BOOM = str(examples() / "boom.yaml")


@pytest.fixture
def run(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., tuple[int, str, str]]:
    """Status, output and errors of one command."""

    def call(*words: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["oilway", *words])
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            cli.main()
        out, err = capsys.readouterr()
        return int(ended.value.code or 0), out, err

    return call


# -- set ---------------------------------------------------------------------------------------------------
def test_a_plan_as_text_as_data_and_as_print(run, tmp_path: Path) -> None:
    status, out, _ = run("set", BOOM)
    assert status == 0
    assert "1. counterbalance (counterbalance), on the bench" in out
    status, out, _ = run("set", BOOM, "--json", "--units", "metric")
    assert [s["control"] for s in json.loads(out)["steps"]] == ["counterbalance", "main relief"]
    file = tmp_path / "plan.pdf"
    status, out, _ = run("set", BOOM, "-o", str(file), "--paper", "a4")
    assert (status, out) == (0, f"plan: {file}\n")
    assert file.read_bytes().startswith(b"%PDF-")


def test_idle_cold_and_back_pressure_are_taken(run) -> None:
    assert "idle is taken as a third of rated speed" in run("set", BOOM)[1]
    _, out, _ = run("set", BOOM, "--idle", "800 rpm", "--cold", "40 F", "--back-pressure", "150 psi")
    assert "at idle, with 3.37 gpm over it" in out  # 8 gpm x 800 / 1900
    assert "idle is taken" not in out
    assert "in cold oil (40 °F)" in out
    assert "with 150 psi of back-pressure: it reads 2450 psi, 150 psi too low" in out


def test_a_missing_rating_is_refused_with_the_line_to_add(run) -> None:
    status, out, err = run("set", "pilot relief")
    assert (status, out) == (2, "")
    assert "pilot_relief.yaml:14: two-stage relief: no rated pressure" in err
    assert run("set", "pilot relief", "--rated", "3500 psi")[0] == 0


def test_a_setting_above_the_lowest_rating_is_refused(run) -> None:
    status, _, err = run("set", BOOM, "--change", "main relief.setting=3700 psi at 8 gpm")
    assert status == 2
    assert "main relief: set to 3700 psi" in err


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (("--idle", "2500 rpm"), "--idle: an idle speed of 2500 rpm is not below"),
        (("--back-pressure", "-3 psi"), "--back-pressure"),
        (("--rated", "3000 psi"), "--rated: a machine has its ratings in its file"),
        (("--idle", "fast"), "'fast'"),
        (("--cold", "60 psi"), "is a pressure; a temperature is wanted"),
        (("-o", "plan.pdf", "--paper", "a3"), "there is no paper 'a3'"),
    ],
)
def test_bad_options_of_set(run, words: tuple[str, ...], what: str) -> None:
    status, _, err = run("set", BOOM, *words)
    assert status == 2
    assert what in err


# -- inspect -----------------------------------------------------------------------------------------------
def test_the_status_says_replace(run) -> None:
    found = ("--found", "main spring.rate=370 N/mm")
    assert run("inspect", "direct relief", *found)[0] == 0
    assert run("inspect", "direct relief", *found, "--limit", "override=at most 450 psi")[0] == 0
    status, out, _ = run("inspect", "direct relief", *found, "--limit", "override=at most 200 psi", "--json")
    assert status == 1
    assert json.loads(out)["verdict"] == "replace"


def test_findings_come_from_a_file_and_from_the_line(run, tmp_path: Path) -> None:
    file = tmp_path / "found.yaml"
    file.write_text(
        "format: 1\nfound: {main spring.rate: 380 N/mm}\nlimits: {override: at most 450 psi}\n"
        "source of limits: shop manual\n",
        encoding="utf-8",
    )
    status, out, _ = run("inspect", "direct relief", "--findings", str(file), "--found", "seat.worn gap=1 um")
    assert status == 0
    assert "found: seat.worn gap: 1 um" in out
    assert "limits from: shop manual" in out


def test_mistakes_of_inspect_name_where_and_what(run) -> None:
    status, _, err = run("inspect", "direct relief", "--found", "main sprin.rate=370 N/mm")
    assert status == 2
    assert "--found: main sprin.rate: there is no part 'main sprin'" in err
    assert run("inspect", "direct relief")[0] == 2
    assert run("inspect", "direct relief", "--findings", "none.yaml")[0] == 2
    assert run("inspect", "direct relief", "--found", "main spring.rate")[0] == 2


# -- choose ------------------------------------------------------------------------------------------------
def test_a_duty_is_answered(run) -> None:
    words = ("choose", "--job", "limit a pump line", "--pressure", "2500 psi", "--flow", "22 gpm")
    status, out, _ = run(*words, "--steady", "200 psi")
    assert status == 0
    assert "Fit: pilot relief" in out
    status, out, _ = run(*words, "--steady", "1 psi", "--json")
    assert status == 1  # something goes wrong with every kind
    assert json.loads(out)["chosen"] is None


def test_without_a_job_the_jobs_are_listed(run) -> None:
    status, out, _ = run("choose")
    assert status == 0
    assert '"hold and lower a load"' in out


def test_a_mistyped_job_is_named(run) -> None:
    status, _, err = run("choose", "--job", "unload a pmp", "--pressure", "800 psi", "--flow", "15 gpm")
    assert status == 2
    assert "did you mean 'unload a pump'" in err
