"""A run in files: the same columns in each table, and a Parquet file says where it comes from."""

from __future__ import annotations

import csv
import hashlib
import io
import sys
from dataclasses import replace
from pathlib import Path

import pyarrow.parquet
import pytest

import oilway
from oilway.errors import InputError
from oilway.run_files import check_ending, origin, run_parquet, write_run
from oilway.run_text import run_table
from oilway.study.run import Run, read_change, run
from oilway.study.story import examples

SWING = examples() / "swing_drive.yaml"


@pytest.fixture(scope="module")
def swing() -> Run:
    """The swing drive, started."""
    machine = oilway.load(str(SWING))
    change = read_change(machine, "0.1 s over 0.1 s: lever=1")
    return run(machine, 0.4, [change], point=machine.point_from({"lever": "0"}), step=0.01)


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_parquet_has_the_columns_and_numbers_of_the_csv(swing: Run, units) -> None:
    table = pyarrow.parquet.read_table(io.BytesIO(run_parquet(swing, units)))
    head, *body = csv.reader(io.StringIO(run_table(swing, units)))
    assert table.column_names == head
    assert table.num_rows == len(body) == len(swing.times)
    for k, name in enumerate(head):
        assert table.column(name).to_pylist() == pytest.approx(
            [float(row[k]) for row in body], rel=1e-8, abs=1e-12
        )


def test_the_speed_of_a_shaft_is_a_column(swing: Run) -> None:
    table = pyarrow.parquet.read_table(io.BytesIO(run_parquet(swing, "shop")))
    speed = swing.series["speed of motor"]
    assert table.column("speed of motor, rpm").to_pylist()[-1] == pytest.approx(60 * speed.values[-1])
    assert speed.values[-1] > speed.values[0] + 1


def test_its_metadata_says_where_it_comes_from(swing: Run, tmp_path: Path) -> None:
    said = {"do": "0.1 s over 0.1 s: lever=1\n0.3 s: lever=0", "for": "0.4 s"}
    write_run(swing, tmp_path / "run.parquet", "shop", said)
    told = pyarrow.parquet.read_schema(tmp_path / "run.parquet").metadata
    assert told[b"file"] == b"swing_drive.yaml"
    assert told[b"file sha256"].decode() == hashlib.sha256(SWING.read_bytes()).hexdigest()
    assert told[b"oilway version"].decode() == oilway.__version__
    assert told[b"do"].decode() == said["do"]
    assert told[b"complete"] == b"yes"


def test_a_machine_from_text_has_no_file_to_sum(swing: Run) -> None:
    told = origin(replace(swing, machine=oilway.loads(SWING.read_text(encoding="utf-8"), "typed.yaml")))
    assert "file sha256" not in told
    assert told["title"] == swing.machine.title


def test_an_incomplete_run_says_so(swing: Run) -> None:
    assert origin(replace(swing, course=replace(swing.course, complete=False)))["complete"].startswith("no")


@pytest.mark.parametrize("ending", ["csv", "parquet", "svg"])
def test_a_run_is_written_as_its_ending_says(swing: Run, tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"run.{ending.upper()}"
    write_run(swing, path, "metric")
    assert path.read_bytes().startswith({"csv": b'"time, s"', "parquet": b"PAR1", "svg": b"<svg"}[ending])


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    monkeypatch.setitem(sys.modules, "pyarrow.parquet", None)
    check_ending(Path("run.csv"))
    with pytest.raises(InputError, match=r"pip install 'oilway\[parquet\]'"):
        check_ending(Path("run.parquet"))


@pytest.mark.parametrize(
    ("name", "why"),
    [("run.parqet", "did you mean '.parquet'"), ("run", "write 'run.csv'"), ("run.xlsx", "not as '.xlsx'")],
)
def test_another_ending_is_refused(name: str, why: str) -> None:
    with pytest.raises(InputError, match=why):
        check_ending(Path(name))
