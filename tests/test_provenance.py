"""Hashes of every file a machine was read from."""

from __future__ import annotations

import builtins
import hashlib
from pathlib import Path

import pytest

import oilway
from oilway.errors import InputError
from oilway.provenance import check_parquet, sources


def test_a_nested_valve_file_counts(tmp_path: Path) -> None:
    hoist = Path("examples/tipping_hoist.yaml").read_text()
    own = tmp_path / "valves" / "own.yaml"
    own.parent.mkdir()
    own.write_text(Path("src/oilway/valves/pilot_relief.yaml").read_text())
    file = tmp_path / "hoist.yaml"
    file.write_text(hoist.replace("valve: pilot relief", "valve: valves/own.yaml"))
    before = sources(oilway.load(str(file)))
    assert before["hoist.yaml"] == hashlib.sha256(file.read_bytes()).hexdigest()
    assert {"own.yaml", "lever_valve.yaml"} < set(before)
    own.write_text(own.read_text() + "# a word more\n")
    after = sources(oilway.load(str(file)))
    assert [name for name in before if before[name] != after[name]] == ["own.yaml"]


def test_without_the_library_the_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: object) -> object:
        if name.startswith("pyarrow"):
            raise ImportError
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(InputError, match=r"oilway\[parquet\]"):
        check_parquet(Path("x.parquet"))
