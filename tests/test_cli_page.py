"""The verbs open and draw, as they are used."""

from __future__ import annotations

import asyncio
import http.client
import json
import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner

import oilway
from oilway import cli_page, quantity
from oilway.cli import app
from oilway.errors import InputError, NoSolution
from oilway.page.session import Session
from oilway.solve.point import solve_point
from oilway.study.story import examples

HOIST = str(examples() / "tipping_hoist.yaml")


def ran(*words: str) -> tuple[int, str]:
    """Exit status and output of a command that ends by itself; an error on purpose is raised."""
    done = CliRunner().invoke(app, list(words))
    if isinstance(done.exception, InputError | NoSolution):
        raise done.exception
    return done.exit_code, done.output


@contextmanager
def opened(*words: str) -> Iterator[tuple[subprocess.Popen[str], int]]:
    """``oilway open`` in a process of its own, and the port it says."""
    command = [sys.executable, "-m", "oilway", "open", "--no-browser", *words]
    # Its own group where a console signal goes to all of it.
    flags = subprocess.CREATE_NEW_PROCESS_GROUP if sys.platform == "win32" else 0
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, creationflags=flags,
        env={**os.environ, "PYTHONPATH": str(Path(cli_page.__file__).parents[1])},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        said = process.stdout.readline()
        match = re.search(r"http://127\.0\.0\.1:(\d+)/", said)
        assert match, said + process.stdout.read()
        yield process, int(match[1])
    finally:
        process.kill()
        process.communicate()


def test_open_serves_both_sides_and_ends_cleanly_with_a_page_listening() -> None:
    with opened(HOIST, "--compare", "main relief.valve=direct relief") as (process, port):
        connection = http.client.HTTPConnection("127.0.0.1", port)
        for side, file in (("a", "pilot_relief.yaml"), ("b", "direct_relief.yaml")):
            connection.request("GET", f"/api/scene?side={side}")
            assert json.loads(connection.getresponse().read())["valves"]["main relief"]["file"] == file
        listening = http.client.HTTPConnection("127.0.0.1", port)
        listening.request("GET", "/api/events")
        assert listening.getresponse().readline().startswith(b":")
        process.send_signal(signal.CTRL_BREAK_EVENT if sys.platform == "win32" else signal.SIGINT)
        rest, _ = process.communicate(timeout=60)
        assert process.returncode == 0
        assert rest == "", "no traceback, no complaint"
        connection.close()
        listening.close()


def test_the_browser_is_shown_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    import uvicorn

    shown = threading.Event()
    addresses: list[str] = []
    monkeypatch.setattr("webbrowser.open", lambda address: (addresses.append(address), shown.set()))

    async def serve(self: object, sockets: object) -> None:
        await asyncio.to_thread(shown.wait, 30)

    monkeypatch.setattr(uvicorn.Server, "serve", serve)
    # In a thread of its own: the driver of the browser keeps a loop running in this one.
    with ThreadPoolExecutor(1) as pool:
        status, output = pool.submit(ran, "open", "direct relief").result()
    assert status == 0
    assert addresses[0] in output
    addresses.clear()
    shown.set()
    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(ran, "open", "direct relief", "--no-browser").result()[0] == 0
    assert addresses == []


def test_a_sealed_machine_opens_at_its_own_page(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path))
    served: dict[str, Any] = {}
    monkeypatch.setattr(
        "oilway.page.serving.serve", lambda _, taken, *__, **given: (taken.close(), served.update(given))
    )
    status, output = ran("open", "direct relief", "--sealed", "3")
    assert status == 0
    assert served["show"].endswith("/sealed")
    assert served["show"] in output
    game = served["game"]
    assert game.sealed.seed == 3
    assert game.sealed.fault.name not in output
    ran("open", "direct relief", "--no-browser")
    assert (served["show"], served["game"]) == ("", None)


def test_compare_takes_a_valve_or_changes_and_no_two_files() -> None:
    session = Session("pilot relief")
    cli_page._second_side(session, ["direct relief"])
    assert session.side("b").machine.title == "direct-acting relief"
    with pytest.raises(InputError, match="one file stands beside another, not 2"):
        cli_page._second_side(session, ["direct relief", "unloading"])


@pytest.mark.parametrize("words", [("open", "no_such.yaml"), ("draw", "no_such.yaml", "-o", "a.svg")])
def test_a_file_that_is_not_there_is_told(words: tuple[str, ...]) -> None:
    with pytest.raises(InputError, match="no such file"):
        ran(*words)


def plates(path: Path) -> list[str]:
    """The texts of a picture, a number and its smaller unit as one."""
    return ["".join(each.itertext()) for each in ET.parse(path).iter("{http://www.w3.org/2000/svg}text")]


def test_draw_writes_the_first_picture_with_the_numbers_of_the_point(tmp_path: Path) -> None:
    path = tmp_path / "relief.svg"
    status, output = ran("draw", "pilot relief", "--at", "load pressure=1000 psi", "-o", str(path))
    assert (status, output.strip()) == (0, f"written: {path}")
    machine = oilway.load("pilot relief")
    inlet = solve_point(machine, machine.point_from({"load pressure": "1000 psi"})).pressures["inlet"]
    assert quantity.show(inlet, "pressure") in plates(path)
    ran("draw", "pilot relief", "--at", "load pressure=1000 psi", "--units", "metric", "-o", str(path))
    assert quantity.show(inlet, "pressure", "metric") in plates(path)


def test_draw_lists_and_picks_pictures(tmp_path: Path) -> None:
    status, output = ran("draw", HOIST, "--picture", "list")
    assert status == 0
    names = output.split("\n")[:-1]
    assert names[0] == "circuit"
    assert "main relief" in names
    for name in names:
        ran("draw", HOIST, "--picture", name, "-o", str(tmp_path / f"{name}.svg"))
    written = {(tmp_path / f"{name}.svg").read_bytes() for name in names}
    assert len(written) == len(names)


def test_draw_hatches_for_a_gray_print(tmp_path: Path) -> None:
    plain, hatched = tmp_path / "a.svg", tmp_path / "b.svg"
    ran("draw", "pilot relief", "-o", str(plain))
    ran("draw", "pilot relief", "--hatched", "-o", str(hatched))
    used = [
        set(re.findall(r'fill="url\(#[^)]*-hatch-(\d)\)"', p.read_text(encoding="utf-8")))
        for p in (plain, hatched)
    ]
    assert used[0] == set()
    assert len(used[1]) >= 2, "more than one band: pump pressure and tank pressure differ"


def test_draw_ends_with_1_where_a_limit_is_broken(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    status, output = ran("draw", HOIST, "--change", "cap line.rated pressure=500 psi", "-o", str(path))
    assert status == 1
    assert "cap line: pressure above its rated pressure" in output
    assert path.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("draw", "pilot relief"), "add -o"),
        (("draw", "pilot relief", "-o", "a.gif"), r"\.svg, \.png or \.pdf"),
        (("draw", "pilot relief", "--picture", "circiut", "-o", "a.svg"), "did you mean 'circuit'"),
        (("draw", "pilot relief", "--at", "presure=3", "-o", "a.svg"), "unknown word"),
    ],
)
def test_draw_refuses_in_words(words: tuple[str, ...], said: str) -> None:
    with pytest.raises(InputError, match=said):
        ran(*words)
