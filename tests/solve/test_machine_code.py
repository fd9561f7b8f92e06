"""Machine code is kept on disk: nothing is compiled twice, and a folder that cannot be written is no error."""

from __future__ import annotations

import ctypes
import subprocess
import sys
from pathlib import Path

import pytest

from oilway.solve import machine_code

DOUBLED = """
define double @doubled(double %x) {
  %y = fadd double %x, %x
  ret double %y
}
"""


def doubled(x: float) -> float:
    """Twice the number, by machine code."""
    made = machine_code.engine(DOUBLED)
    return float(ctypes.CFUNCTYPE(ctypes.c_double, ctypes.c_double)(made.get_function_address("doubled"))(x))


def test_what_was_compiled_is_found_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("llvmlite")
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "kept"))
    assert doubled(1.5) == 3.0
    assert len(list((tmp_path / "kept").glob("*.o"))) == 1

    def never(*_: object) -> bytes:
        raise AssertionError("compiled again")

    monkeypatch.setattr(machine_code, "_compile", never)
    assert doubled(2.5) == 5.0


def test_a_folder_that_cannot_be_written_costs_only_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("llvmlite")
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("OILWAY_CACHE", str(tmp_path / "file" / "below"))
    assert doubled(1.5) == 3.0


@pytest.mark.parametrize(
    "work",
    [
        "from oilway.cli import app; app(['explain', 'pilot relief'], standalone_mode=False)",
        "import oilway.page.server",
    ],
)
def test_neither_explain_nor_the_page_waits_for_a_compiler(work: str) -> None:
    """Its import alone costs more than the answer."""
    asked = f"{work}\nimport sys; assert 'oilway' in sys.modules and 'llvmlite' not in sys.modules, 'imported'"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
