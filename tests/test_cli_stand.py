"""The verb stand, as it is used."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from oilway import cli_stand
from oilway.cli import app
from oilway.errors import InputError
from oilway.study.story import examples


def test_it_serves_this_computer_and_the_room_and_ends_cleanly(tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    command = [sys.executable, "-m", "oilway", "stand", str(file), "--no-browser", "--word", "gravel"]
    flags = subprocess.CREATE_NEW_PROCESS_GROUP if sys.platform == "win32" else 0
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, creationflags=flags,
        env={**os.environ, "PYTHONPATH": str(Path(cli_stand.__file__).parents[1])},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        here, room = (process.stdout.readline() for _ in range(2))
        assert "the door word 'gravel'" in room
        ports = [int(match[1]) for said in (here, room) if (match := re.search(r"http://[\d.]+:(\d+)/", said))]
        statuses = []
        for port in ports:
            connection = http.client.HTTPConnection("127.0.0.1", port)
            connection.request("GET", "/api/stand")
            answer = connection.getresponse()
            statuses.append(answer.status)
            if answer.status == 200:
                assert json.loads(answer.read())["file"] == "new.yaml"
            connection.close()
        assert statuses == [200, 403]
        process.send_signal(signal.CTRL_BREAK_EVENT if sys.platform == "win32" else signal.SIGINT)
        rest, _ = process.communicate(timeout=60)
        assert (process.returncode, rest) == (0, "")
        assert not file.exists()
    finally:
        process.kill()
        process.communicate()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((str(examples() / "tipping_hoist.yaml"),), "no readings file"),
        (("readings.csv",), "ends in .yaml"),
        (("new.yaml", "--word", " "), "the door word is empty"),
    ],
)
def test_what_cannot_be_is_refused_before_anything_is_served(words: tuple[str, ...], said: str) -> None:
    done = CliRunner().invoke(app, ["stand", *words, "--no-browser"])
    assert isinstance(done.exception, InputError)
    assert said in str(done.exception)
