"""Every example file does its job from a copy in another place, by every verb that fits it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner, Result

from oilway import load
from oilway.cli import app
from oilway.study.run import read_change
from oilway.study.run import run as run_machine
from oilway.study.story import examples

FILES = sorted(p.name for p in examples().glob("*.yaml"))
VALVES = [name for name in FILES if "\nvalve:" in (examples() / name).read_text(encoding="utf-8")]
# A lever of each machine, moved from where its file has it.
STEPS = {
    "boom.yaml": "lever=1",
    "forklift_mast.yaml": "lever=-1",
    "log_splitter.yaml": "lever=0",
    "press.yaml": "lever=0.6",
    "relief_stands.yaml": "vent needle.position=1",
    "swing_drive.yaml": "lever=0",
    "tipping_hoist.yaml": "lever=0",
    "tractor_loader.yaml": "lift valve.spool.position=0",
}
PLACES_OF_ITS_AUTHOR = ("/home/", "/root/", "/work/", "C:\\")


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """All example files in a folder of their own, which is also where commands run."""
    folder = tmp_path / "copy"
    shutil.copytree(examples(), folder)
    monkeypatch.chdir(folder)
    return folder


@pytest.fixture
def run() -> Callable[..., Result]:
    def call(*words: str) -> Result:
        ended = CliRunner().invoke(app, list(words))
        assert ended.exit_code == 0, ended.output + repr(ended.exception)
        return ended

    return call


def test_there_are_examples_of_both_sorts() -> None:
    assert VALVES
    assert set(FILES) - set(VALVES) == set(STEPS)


@pytest.mark.parametrize("name", FILES)
@pytest.mark.parametrize("verb", ["check", "explain"])
def test_an_example_is_checked_and_explained(copy: Path, run: Callable[..., Result], name: str, verb: str) -> None:
    assert json.loads(run(verb, name, "--json").output)
    assert "LIMIT" not in run(verb, name).output


@pytest.mark.parametrize("name", FILES)
def test_an_example_stands_still_when_nudged(copy: Path, run: Callable[..., Result], name: str) -> None:
    assert all(item["stability"]["stable"] for item in json.loads(run("explain", name, "--json").output))


@pytest.mark.parametrize("name", sorted(STEPS))
def test_an_example_machine_runs_and_loses_no_oil(copy: Path, name: str) -> None:
    """Half a second with a step of the lever; what is missing is held against what the pumps gave (kg)."""
    change = f"0.1 s over 0.1 s: {STEPS[name]}"
    machine = load(name)
    done = run_machine(machine, 0.5, [read_change(machine, change)])
    assert done.course.complete
    told = CliRunner().invoke(app, ["run", name, "--for", "0.5 s", "--do", change, "-o", "run.csv"])
    assert told.exit_code == int(done.over_rating), told.output + repr(told.exception)
    assert len((copy / "run.csv").read_text(encoding="utf-8").splitlines()) > 100
    pumps = [part for part, item in machine.parts.items() if item.kind.endswith("pump")]
    flow = sum(done.series[f"flow through {pump}"].values for pump in pumps)
    given = np.trapezoid(flow, done.times) * machine.theta({})[machine.system.parameters["oil.rho0"]]
    assert given > 0.05
    assert abs(done.course.mass_left_over) <= 1e-4 * given


@pytest.mark.parametrize("name", VALVES)
def test_an_example_valve_has_a_curve(copy: Path, run: Callable[..., Result], name: str) -> None:
    (data,) = json.loads(run("curve", name, "--json").output)
    values = data["pressures"]["values"]
    assert 0 < values["reseating"] <= values["cracking"] < values["full"]
    run("curve", name, "direct relief", "-o", "chart.svg")
    assert (copy / "chart.svg").stat().st_size > 1000


@pytest.mark.parametrize("name", FILES)
def test_an_example_says_what_it_is_and_whose_it_is_not(name: str) -> None:
    text = (examples() / name).read_text(encoding="utf-8")
    assert text.startswith("# ")
    assert "Brackwater" in text
    assert not any(place in text for place in PLACES_OF_ITS_AUTHOR)


def test_the_demo_leaves_its_files_and_they_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run) -> None:
    monkeypatch.chdir(tmp_path)
    told = run("demo", "--folder", "mine").output
    left = sorted(p.name for p in (tmp_path / "mine").iterdir())
    assert set(FILES) <= set(left)
    assert [name for name in left if name.endswith(".svg")]
    assert not [name for name in left if name.endswith(".part")]
    for name in FILES:
        run("check", f"mine/{name}")
    assert "mine/tipping_hoist.yaml" in told
