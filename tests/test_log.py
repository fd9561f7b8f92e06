"""The bench log: kept through a kill, between two writers, and refused untouched when it is a newer one."""

from __future__ import annotations

import csv
import io
import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.shop import PSI, line_rows, proof_of, sheet

from oilway.errors import InputError
from oilway.log import SCHEMA, BenchLog
from oilway.study.proof import Proof

WRITER = """
import sys
from pathlib import Path
from oilway.log import BenchLog
from tests.shop import line_rows, proof_of, sheet

path, name, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
proofs = [
    proof_of(sheet(line_rows(), more=f"machine: {name}\\nvalve: relief\\nremarks: {k}")) for k in range(count)
]
print("ready", flush=True)
sys.stdin.readline()
with BenchLog(path, create=True) as log:
    for proof in proofs:
        number, new = log.store(proof)
        assert new
        print(number, flush=True)  # only what is committed is told
"""


def writer(path: Path, name: str, count: int) -> subprocess.Popen[str]:
    """A process that stores sheets and prints each number once it is stored; it waits for a line to begin."""
    root = Path(__file__).resolve().parents[1]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(root / "src"), str(root)])}
    started = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), name, str(count)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=env,
        cwd=root,
    )
    assert started.stdout is not None
    assert started.stdout.readline() == "ready\n"
    return started


def begin(*writers: subprocess.Popen[str]) -> None:
    for started in writers:
        assert started.stdin is not None
        started.stdin.write("go\n")
        started.stdin.flush()


def proof(remark: str = "", machine: str = "hoist", date: str = "2026-11-01", psi: float = 3000) -> Proof:
    more = f"machine: {machine}\nvalve: main relief\ndate: {date}\nremarks: {remark}"
    return proof_of(sheet(line_rows(psi), more=more))


@pytest.mark.parametrize("after", [2, 120])
def test_kill_during_200_writes_loses_no_committed_sheet(tmp_path: Path, after: int) -> None:
    path = tmp_path / "bench.db"
    with writer(path, "hoist", 200) as process:
        begin(process)
        assert process.stdout is not None
        told = [int(process.stdout.readline()) for _ in range(after)]
        process.send_signal(signal.SIGKILL)
        told += [int(line) for line in process.stdout.read().split("\n")[:-1]]
    assert process.returncode == -signal.SIGKILL
    with BenchLog(path) as log:
        kept = {item.id for item in log.sheets()}
        assert set(told) <= kept
        assert len(kept) - len(told) <= 1  # the one under way may have been committed and not told
        assert log.db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        figures = {entry.sheet for entry in log.entries(figure="full-flow pressure")}
        assert figures == kept  # no sheet without its figures
        assert log.store(proof("after the kill"))[1]


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "bench.db"
    with writer(path, "one", 30) as one, writer(path, "two", 30) as two:
        begin(one, two)
        for process in (one, two):
            out, _ = process.communicate(timeout=120)
            assert process.returncode == 0
            assert len(out.split()) == 30
    with BenchLog(path) as log:
        assert len(log.sheets("one")) == len(log.sheets("two")) == 30


def test_a_writer_waits_for_another(tmp_path: Path) -> None:
    path = tmp_path / "bench.db"
    with BenchLog(path, create=True) as log:
        log.store(proof("first"))
    holding = sqlite3.connect(path, isolation_level=None)
    with writer(path, "hoist", 1) as process:
        holding.execute("BEGIN IMMEDIATE")
        begin(process)
        time.sleep(0.5)
        assert process.poll() is None
        holding.execute("ROLLBACK")
        holding.close()
        process.communicate(timeout=60)
    assert process.returncode == 0


def test_a_newer_log_is_refused_untouched(tmp_path: Path) -> None:
    path = tmp_path / "bench.db"
    with BenchLog(path, create=True) as log:
        log.store(proof())
        log.db.execute(f"PRAGMA user_version = {SCHEMA + 1}")
    before = path.read_bytes()
    for create in (True, False):
        with pytest.raises(InputError, match="written by a newer Oilway"):
            BenchLog(path, create=create)
    assert path.read_bytes() == before


def test_a_newer_number_still_in_the_write_ahead_log_is_seen(tmp_path: Path) -> None:
    path = tmp_path / "bench.db"
    with BenchLog(path, create=True) as log:
        log.store(proof())
    newer = sqlite3.connect(path, isolation_level=None)
    newer.execute("PRAGMA wal_autocheckpoint = 0")
    newer.execute(f"PRAGMA user_version = {SCHEMA + 1}")
    before = path.read_bytes()
    with pytest.raises(InputError, match="written by a newer Oilway"):
        BenchLog(path)
    assert path.read_bytes() == before
    newer.close()


@pytest.mark.parametrize("content", [b"not a database at all, but long enough" * 9, b"x"])
def test_another_file_is_refused_untouched(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.txt"
    path.write_bytes(content)
    with pytest.raises(InputError, match="this is no bench log"):
        BenchLog(path, create=True)
    assert path.read_bytes() == content


def test_another_program_s_database_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE mine (x)")
        other.execute("PRAGMA user_version = 7")
    other.close()
    with pytest.raises(InputError, match="another program"):
        BenchLog(path, create=True)


def test_a_log_that_is_not_there_is_begun_only_when_asked(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such bench log"):
        BenchLog(tmp_path / "bench.db")
    with pytest.raises(InputError):
        BenchLog(tmp_path / "no folder" / "bench.db", create=True)


def test_the_same_readings_are_stored_once(tmp_path: Path) -> None:
    with BenchLog(tmp_path / "bench.db", create=True) as log:
        assert log.store(proof("a")) == (1, True)
        assert log.store(proof("a")) == (1, False)
        assert log.store(proof("b")) == (2, True)
        (first, _) = log.sheets()
    assert first.machine == "hoist"
    assert "1.6 % of span" in first.instruments
    assert len(first.sha256) == 64
    assert first.version


def test_figures_over_time_and_the_whole_sheet_come_back(tmp_path: Path) -> None:
    with BenchLog(tmp_path / "bench.db", create=True) as log:
        for date, psi in (("2026-11-20", 2950), ("2024-03-02", 3010), ("2025-06-09", 2990)):
            log.store(proof(date=date, psi=psi))
        log.store(proof(machine="press"))
        entries = log.entries("hoist", "main relief", "full-flow pressure", "as found")
        assert [entry.date for entry in entries] == ["2024-03-02", "2025-06-09", "2026-11-20"]
        assert [entry.value / PSI for entry in entries] == pytest.approx([3010, 2990, 2950])
        assert log.data(1)["facts"]["machine"] == "hoist"
        with pytest.raises(InputError, match="there is no sheet 99"):
            log.data(99)


def test_export_is_one_row_a_figure_and_no_cell_a_formula(tmp_path: Path) -> None:
    with BenchLog(tmp_path / "bench.db", create=True) as log:
        log.store(proof(machine="'=1+1'"))
        rows = list(csv.DictReader(io.StringIO(log.export("metric"))))
    full = next(row for row in rows if row["figure"] == "full-flow pressure")
    assert float(full["value"]) == pytest.approx(206.843, rel=1e-5)
    assert full["unit"] == "bar"
    assert full["machine"] == "'=1+1"
