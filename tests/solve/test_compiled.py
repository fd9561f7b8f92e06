"""Machine code is kept on disk: nothing is compiled twice, and a folder that cannot be written is no error."""

from __future__ import annotations

from pathlib import Path

import casadi as ca
import numpy as np
import pytest

pytest.importorskip("llvmlite")
from oilway.solve import compiled
from oilway.solve.tape import listed

X = ca.SX.sym("x")
LISTING = listed(ca.Function("f", [X], [X**2 + 1]))
NUMBERS = np.array([[1.0, 2.0, 3.0, 4.0]])


def test_what_was_compiled_is_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "kept"))
    assert compiled.runner(LISTING)(NUMBERS)[0].tolist() == [[2.0, 5.0, 10.0, 17.0]]
    assert len(list((tmp_path / "kept").glob("*.o"))) == 1

    def never(*_: object) -> bytes:
        raise AssertionError("compiled again")

    monkeypatch.setattr(compiled, "_compile", never)
    assert compiled.runner(LISTING)(NUMBERS)[0].tolist() == [[2.0, 5.0, 10.0, 17.0]]


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "file" / "below"))
    assert compiled.runner(LISTING)(NUMBERS)[0].tolist() == [[2.0, 5.0, 10.0, 17.0]]


def test_another_function_is_other_code() -> None:
    other = listed(ca.Function("f", [X], [X**2 + 2]))
    assert compiled.assembly(other) != compiled.assembly(LISTING)
