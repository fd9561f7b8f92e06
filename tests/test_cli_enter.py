"""The verb enter, as it is used: a killed process has lost nothing that was entered."""

from __future__ import annotations

import http.client
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.classroom import HEAD, INLET
from typer.testing import CliRunner

from oilway import cli_enter
from oilway.cli import app
from oilway.errors import InputError


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "w.yaml").write_text(HEAD + INLET, encoding="utf-8")
    (tmp_path / "r.csv").write_text("student_id,name\nA,Ann\nB,Bo\nB,Ben\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def ask(port: int, method: str, path: str, said: object = None) -> dict[str, Any]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    headers = {"Content-Type": "application/json"} if said is not None else {}
    connection.request(method, path, json.dumps(said) if said is not None else None, headers)
    told: dict[str, Any] = json.loads(connection.getresponse().read())
    connection.close()
    return told


def test_what_was_entered_outlives_a_killed_process(room: Path) -> None:
    words = ["answers.csv", "--worksheet", "w.yaml", "--students", "r.csv", "--no-browser"]
    process = subprocess.Popen(
        [sys.executable, "-m", "oilway", "enter", *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(Path(cli_enter.__file__).parents[1])},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        found = re.search(r"http://[\d.]+:(\d+)/", process.stdout.readline())
        assert found
        state = ask(int(found[1]), "GET", "/api/enter?student=B")
        for field in ("item/inlet", "item/lost"):
            question = {"student": "B", "field": field, "typed": "7", "was": state["was"]}
            state = ask(int(found[1]), "POST", "/api/enter/put", question)
    finally:
        process.kill()
        _, said = process.communicate()
    assert "r.csv:4" in said  # who is left out of the roster is told
    text = (room / "answers.csv").read_text(encoding="utf-8")
    assert [line.partition(",")[0] + "," + line.split(",", 2)[2] for line in text.splitlines()[1:]] == [
        "B,inlet,7,psi,", "B,lost,7,gpm,",
    ]  # fmt: skip
    ended = CliRunner().invoke(app, ["mark", "answers.csv", *words[1:5], "-o", "marks"])
    assert "1 sheets marked" in ended.output


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("answers.txt",), "ends in .csv"),
        (("away/answers.csv",), "no such folder"),
        (("answers.csv", "--overrides", "o.yaml"), "ends in .csv"),
        (("r.csv",), "no column 'item'"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_served(
    room: Path, words: tuple[str, ...], said: str
) -> None:
    done = CliRunner().invoke(
        app, ["enter", *words, "--worksheet", "w.yaml", "--students", "r.csv", "--no-browser"]
    )
    assert isinstance(done.exception, InputError)
    assert said in str(done.exception)
