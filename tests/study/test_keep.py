"""A dictionary kept between runs: found again, solved anew when the machine changes or the file is spoilt."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import oilway
from oilway.study.keep import dictionary_of, fingerprint, folder


@pytest.fixture(autouse=True)
def own_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "kept"))


def test_the_second_time_it_is_read_and_says_the_same() -> None:
    machine = oilway.load("direct relief")
    bench, first, solved = dictionary_of(machine)
    again, second, solved_again = dictionary_of(machine)
    assert (solved, solved_again) == (True, False)
    np.testing.assert_array_equal(first.mean, second.mean)
    assert again.setups == bench.setups
    assert again.default == bench.default
    assert second.unsolved == first.unsolved


def test_another_number_in_the_file_is_another_machine() -> None:
    one, other = oilway.load("direct relief"), oilway.load("direct relief", {"seat.half angle": "40 deg"})
    assert fingerprint(one) != fingerprint(other)
    assert fingerprint(one) == fingerprint(oilway.load("direct relief"))


@pytest.mark.parametrize("spoilt", [b"", b"not a dictionary", None])
def test_a_spoilt_file_is_solved_anew_and_replaced(spoilt: bytes | None) -> None:
    machine = oilway.load("direct relief")
    dictionary_of(machine)
    (file,) = folder().glob("*.npz")
    whole = file.read_bytes()
    file.write_bytes(whole[: len(whole) // 2] if spoilt is None else spoilt)
    assert dictionary_of(machine)[2]
    assert not dictionary_of(machine)[2]


def test_a_folder_that_cannot_be_written_costs_only_time(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "file"))
    assert dictionary_of(oilway.load("direct relief"))[2]


def test_how_far_it_is_is_told_while_it_is_solved_and_not_when_it_is_read() -> None:
    machine = oilway.load("direct relief")
    told: list[float] = []
    bench, _, _ = dictionary_of(machine, progress=told.append)
    assert told == pytest.approx([(k + 1) / len(bench.faults) for k in range(len(bench.faults))])
    told.clear()
    dictionary_of(machine, progress=told.append)
    assert told == []
