"""The stand: every answer is in the file at once, and what is shown is what ``oilway prove`` says of that file."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from oilway.errors import InputError
from oilway.log import BenchLog
from oilway.page.stand import Stand
from oilway.study.proof import prove
from oilway.study.proof_data import proof_data
from oilway.study.readings import read_readings
from oilway.study.story import examples

HOIST = examples() / "readings" / "hoist_relief.yaml"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A copy of the hoist's readings."""
    return Path(shutil.copy(HOIST, tmp_path / "hoist.yaml"))


def put(stand: Stand, name: str, typed: str) -> dict[str, Any]:
    return stand.put(name, typed, stand.state("shop")["was"], "shop")


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_what_is_shown_is_what_prove_says(own: Path, units: Any) -> None:
    shown = Stand(own).state(units)
    assert shown["proof"] == proof_data(prove(read_readings(own), units), units)
    assert (shown["at"], shown["problems"], shown["odd"]) == (len(shown["prompts"]), [], [])


def test_an_answer_is_in_the_file_and_in_the_figures_at_once(own: Path) -> None:
    stand = Stand(own)
    for row in ("9", "10"):
        shown = put(stand, f"as left/rows/{row}/P", "2450")
    assert own.read_text(encoding="utf-8").count("18.1     2450    25") == 2
    assert shown["proof"] == proof_data(prove(read_readings(own)))
    assert shown["proof"]["verdict"] == "reject"


def test_a_check_writes_nothing_and_tells_what_would_be_odd(own: Path) -> None:
    stand, before = Stand(own), own.read_bytes()
    (look,) = stand.check("as left/rows/4/P", "227", "shop")["odd"]
    assert "far from both its neighbours" in look["said"]
    assert stand.check("as left/rows/4/P", "2275", "shop")["odd"] == []
    with pytest.raises(InputError, match="twelve"):
        stand.check("as left/rows/4/P", "twelve", "shop")
    assert own.read_bytes() == before


def test_answers_are_taken_back_one_by_one(own: Path) -> None:
    stand, before = Stand(own), own.read_bytes()
    put(stand, "as left/rows/4/P", "2275")
    between = own.read_bytes()
    put(stand, "hours", "4121 h")
    assert stand.undo("shop")["undo"]
    assert own.read_bytes() == between
    assert not stand.undo("shop")["undo"]
    assert own.read_bytes() == before
    with pytest.raises(InputError, match="nothing to take back"):
        stand.undo("shop")


def test_what_an_editor_wrote_meanwhile_is_not_lost(own: Path) -> None:
    stand = Stand(own)
    seen = put(stand, "hours", "4121 h")["was"]
    own.write_text(own.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
    with pytest.raises(InputError, match="changed meanwhile"):
        stand.put("hours", "4122 h", seen, "shop")
    with pytest.raises(InputError, match="nothing to take back"):
        stand.undo("shop")
    assert own.read_text(encoding="utf-8").endswith("# by hand\n")
    assert put(stand, "hours", "4122 h")["undo"]


def test_another_stand_goes_on_where_this_one_stopped(own: Path) -> None:
    text = own.read_text(encoding="utf-8")
    own.write_text(text[: text.index("    12       2280    14")], encoding="utf-8")
    put(Stand(own), "as left/rows/7/Q", "12")
    shown = Stand(own).state("shop")
    assert shown["prompts"][shown["at"]]["id"] == "as left/rows/7/P"


def test_only_what_is_asked_is_written(own: Path) -> None:
    stand, before = Stand(own), own.read_bytes()
    for name in ("format", "as found/file", "../up", "as found/rows/99/P", "parts/pump", ""):
        with pytest.raises(InputError, match="is not asked here"):
            put(stand, name, "1")
    assert own.read_bytes() == before


def test_a_new_file_is_begun_by_its_first_answer(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    stand = Stand(path)
    assert stand.state("shop")["proof"] is None
    assert not path.exists()
    put(stand, "readings", "Mast, main relief")
    put(stand, "test", "relief")
    assert path.read_text(encoding="utf-8").startswith("format: 1\nreadings:")


def test_a_machine_is_no_readings_file() -> None:
    with pytest.raises(InputError, match="no readings file"):
        Stand(examples() / "tipping_hoist.yaml")


def test_the_sheet_goes_into_the_log_once(own: Path, tmp_path: Path) -> None:
    stand = Stand(own, tmp_path / "bench.db")
    assert stand.store() == {"sheet": 1, "new": True, "log": "bench.db"}
    assert stand.store()["new"] is False
    with BenchLog(tmp_path / "bench.db") as log:
        assert log.data(1) == proof_data(prove(read_readings(own)))
    with pytest.raises(InputError, match="no bench log"):
        Stand(own).store()


def test_it_is_printed_and_drawn_when_there_is_something_to_prove(own: Path, tmp_path: Path) -> None:
    stand = Stand(own)
    assert stand.pdf("shop", "a4").startswith(b"%PDF")
    assert "<svg" in stand.chart("metric")
    with pytest.raises(InputError, match="missing"):
        Stand(tmp_path / "new.yaml").pdf("shop", "letter")
