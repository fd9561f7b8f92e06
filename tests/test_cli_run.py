"""The verb run as it is used: figures, events, series and charts in files, progress, and how it ends."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from oilway.study.story import examples

MAST = str(examples() / "forklift_mast.yaml")
STEP = ("--at", "pump flow=9 gpm", "--for", "0.05 s", "--do", "0.01 s: pump flow=18 gpm")


def test_run_prints_figures_events_and_writes_the_series(run, tmp_path: Path) -> None:
    table = tmp_path / "step.csv"
    ended = run("run", "pilot relief", *STEP, "--step", "1 ms", "-o", str(table))
    assert (ended.status, ended.err) == (0, "")
    assert "two-stage relief: 0.05 s" in ended.out
    assert "Pressures (psi)" in ended.out
    assert "oil accounted for within" in ended.out
    lines = table.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith('"time, s","pressure in back chamber, psi",')
    assert len(lines) == 1 + 51


@pytest.mark.parametrize(("suffix", "signature"), [(".svg", b"<svg"), (".png", b"\x89PNG"), (".pdf", b"%PDF")])
def test_run_draws_a_chart(run, tmp_path: Path, suffix: str, signature: bytes) -> None:
    chart = tmp_path / f"step{suffix}"
    ended = run("run", "direct relief", *STEP, "-o", str(chart))
    assert (ended.status, ended.err) == (0, "")
    assert chart.read_bytes().startswith(signature)
    assert f"written: {chart}" in ended.out


def test_run_as_json_has_the_same_numbers(run) -> None:
    ended = run("run", "direct relief", *STEP, "--step", "1 ms", "--json", "--units", "metric")
    data = json.loads(ended.out)
    assert ended.status == 0
    assert data["complete"] is True
    inlet, peak = data["series"]["pressure in inlet"], data["figures"]["inlet"]["peak"]
    assert len(data["times s"]) == len(inlet["values"]) == 51
    assert (inlet["unit"], peak["unit"]) == ("bar", "bar")
    assert peak["value"] == pytest.approx(max(inlet["values"]))
    energy = data["energy"]
    assert energy["put in"]["unit"] == energy["left over"]["unit"] == "kJ"
    assert energy["put in"]["values"]["test pump"] > 0.1
    assert energy["not accounted for, share"] < 1e-4


def test_run_writes_parquet_with_the_words_said(run, tmp_path: Path) -> None:
    import pyarrow.parquet

    ended = run("run", "direct relief", *STEP, "--change", "poppet.mass=80 g", "-o", str(tmp_path / "run.parquet"))
    assert (ended.status, ended.err) == (0, ""), "and no bar where nobody watches"
    told = pyarrow.parquet.read_schema(tmp_path / "run.parquet").metadata
    assert told[b"file"] == b"direct_relief.yaml"
    assert told[b"change"] == b"poppet.mass=80 g"
    assert told[b"do"].decode() in STEP


def test_without_the_parquet_extra_nothing_is_written(
    run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("pyarrow", "pyarrow.parquet"):
        monkeypatch.setitem(sys.modules, name, None)
    ended = run("run", "direct relief", *STEP, "-o", str(tmp_path / "run.parquet"))
    assert (ended.status, ended.out) == (2, "")
    assert "pip install 'oilway[parquet]'" in ended.err
    assert list(tmp_path.iterdir()) == []


def test_a_long_run_is_told_to_whoever_watches(run, monkeypatch: pytest.MonkeyPatch) -> None:
    from oilway import progress

    told: list[float] = []

    @contextmanager
    def watched(end: float) -> Iterator[Callable[[float], None]]:
        yield told.append

    monkeypatch.setattr(progress, "shown_progress", watched)
    assert run("run", "direct relief", *STEP).status == 0
    assert told[-1] == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--for", "0 s"), "takes some time"),
        (("--for", "1 psi"), "is a pressure; a time is wanted"),
        (("--for", "1 s", "--do", "lever=1"), "does not say when"),
        (
            ("--for", "1 s", "--do", "0.5 s: pump flow=1 gpm", "-o", "a.xlsx"),
            "as .csv, .parquet, .svg, .png or .pdf",
        ),
        (("--for", "1 s", "--do", "0.5 s over 1 s: pump flow=1 gpm"), "ends after the run"),
    ],
)
def test_a_run_that_cannot_be_is_refused(run, words: tuple[str, ...], why: str) -> None:
    ended = run("run", "direct relief", *words)
    assert (ended.status, ended.out) == (2, "")
    assert why in ended.err


def test_a_stalled_run_ends_with_3_and_its_part_with_1(
    run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from oilway.solve import transient

    monkeypatch.setattr(transient, "MOST_STEPS", 2)
    ended = run("run", "direct relief", *STEP)
    assert (ended.status, ended.out) == (3, "")
    for words in ("the run stalled after", "rate of", "try:"):
        assert words in ended.err
    for file in ("part.csv", "part.svg"):
        part = run("run", "direct relief", *STEP, "--partial", "-o", str(tmp_path / file))
        assert part.status == 1
        assert "INCOMPLETE" in part.out
        assert (tmp_path / file).is_file()


def test_a_rating_exceeded_on_the_way_ends_with_1(run) -> None:
    """The series and figures are there all the same, and the limit with its time beside them."""
    thrown = run("run", MAST, "--for", "0.4 s", "--do", "0.1 s over 0.1 s: lever=-1")
    assert thrown.status == 1
    assert "LIMIT: lift cylinder foot: pressure above its rated pressure" in thrown.out
    data = json.loads(run("run", MAST, "--for", "0.4 s", "--do", "0.1 s over 0.1 s: lever=-1", "--json").out)
    told = next(f for f in data["findings"] if f["part"] == "lift cylinder foot")
    assert 0.2 < told["since s"] < data["figures"]["lift cylinder foot"]["peak at s"]
    assert run("run", MAST, "--for", "0.4 s", "--do", "0.1 s over 0.3 s: lever=-0.3").status == 0
