"""The verbs find and fit as they are used: files, exit statuses, JSON, and a class at the keyboard."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.conftest import Ended
from typer.testing import CliRunner

import oilway
from benchmarks.fit_trials import FLOWS, GPM, NOISE, TRUTH, readings
from oilway import cli
from oilway.errors import InputError
from oilway.study.sealed import Sealed
from oilway.study.story import examples

VALVE, HOIST = "pilot relief", str(examples() / "tipping_hoist.yaml")


@pytest.fixture(autouse=True)
def own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory) -> None:
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path_factory.getbasetemp() / "kept"))


def called(*words: str, stdin: str | None = None) -> tuple[int, str]:
    done = CliRunner().invoke(cli.app, list(words), input=stdin)
    if done.exception is not None and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done.exit_code, done.output


def test_find_as_text_and_as_json(tmp_path: Path) -> None:
    seen = "pressure at inlet = 700 psi @ full flow"
    status, text = called("find", VALVE, "--readings", seen)
    assert status == 0
    assert "What is left" in text
    file = tmp_path / "seen.txt"
    file.write_text(seen)
    status, text = called("find", VALVE, "--readings", str(file), "--json")
    assert status == 0
    assert json.loads(text)["readings"][0]["value"] == pytest.approx(700)


def test_offers_and_what_is_missing() -> None:
    assert "full flow (as in the file)" in called("find", VALVE, "--offers")[1]
    with pytest.raises(InputError, match="one of --readings"):
        called("find", VALVE)
    with pytest.raises(InputError, match="did you mean"):
        called("find", VALVE, "--readings", "pressure at inlit=700 psi")


def test_readings_that_contradict_each_other_name_the_suspect(run: Callable[..., Ended]) -> None:
    """Oil runs from the pump to the cap side: the gauge there cannot show more than the pump's."""
    seen = "pump gauge = 1528 psi; load gauge = 1900 psi"
    told = run("find", HOIST, "--readings", seen)
    assert told.status == 0
    said = " ".join(told.out.split())
    assert "SUSPECT: load gauge is wrong with probability" in said
    assert "SUSPECT: pump gauge" not in said
    data = json.loads(run("find", HOIST, "--readings", seen, "--json").out)
    assert data["suspects"] == ["load gauge"]
    agree = run("find", HOIST, "--readings", "pump gauge = 1528 psi; load gauge = 1505 psi")
    assert "SUSPECT" not in agree.out


def test_a_reading_at_a_port_the_machine_lacks_says_where_and_did_you_mean(
    run: Callable[..., Ended], tmp_path: Path
) -> None:
    file = tmp_path / "seen.txt"
    file.write_text("pump gauge = 1528 psi\n\npressure at rod lime = 40 psi  # it has a rod line\n")
    told = run("find", HOIST, "--readings", str(file))
    assert told.status == 2
    said = " ".join(told.err.split())
    assert "seen.txt:3:" in said
    assert "rod lime" in said
    assert "did you mean 'pressure at rod line'" in said
    other = run("find", HOIST, "--readings", "pump gauge = 1528 psi @ lever valve +1, stalld")
    assert other.status == 2
    assert "lever valve +1, stalled" in " ".join(other.err.split())


def test_a_sealed_machine_by_script_and_by_hand(on_stand: tuple[object, object]) -> None:
    asks = ("find", VALVE, "--sealed", "3", "--ask", "pressure at inlet", "--ask", "plug the drain")
    status, text = called(*asks)
    assert status == 0
    assert "REFUSED" in text
    assert "still sealed" in text
    cause = Sealed(*on_stand, 3).fault.name  # type: ignore[arg-type]
    assert json.loads(called(*asks, "--guess", cause, "--json")[1])["found"]
    lines = f"ask pressure at inlet\nask nothing\nguess nothing\noffers\nhelp\nguess {cause}\n"
    status, text = called("find", VALVE, "--sealed", "3", stdin=lines)
    assert "FOUND" in text
    assert "ask READING" in text


def test_fit_writes_your_own_valve(tmp_path: Path) -> None:
    machine = oilway.load("direct relief")
    table = readings(machine, TRUTH, FLOWS, NOISE, 0)
    csv, own = tmp_path / "bench.csv", tmp_path / "mine.yaml"
    rows = zip(table.columns["Q"] / GPM, table.columns["P"] / 6894.757, table.columns["turns"], strict=True)
    csv.write_text("Q (gpm), P (psi), turns (turns)\n" + "".join(f"{q:.5f}, {p:.2f}, {t:g}\n" for q, p, t in rows))
    names = [word for name in TRUTH for word in ("--for", name)]
    status, text = called("fit", str(csv), "--valve", "direct relief", *names, "-o", str(own))
    assert status == 0
    assert f"written: {own}" in text
    assert oilway.load(own).parts["main spring"].values["rate"] == pytest.approx(430e3, rel=0.1)
    status, text = called("fit", str(csv), "--valve", "direct relief", "--json")
    assert {"internals", "correlation"} <= set(json.loads(text))
