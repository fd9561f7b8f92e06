"""Fixtures for the reader: a sound file to spoil, and what is said about it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from oilway.errors import InputError
from oilway.model.load import read_machine_text

SOUND = """\
format: 1
machine: bench
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
  hole: {kind: orifice, from: line, to: tank, diameter: 3 mm}
"""
DIRECT = (Path(__file__).parents[2] / "src/oilway/valves/direct_relief.yaml").read_text(encoding="utf-8")


@pytest.fixture
def sound() -> str:
    """A machine file that reads; seven lines long."""
    return SOUND


@pytest.fixture
def direct() -> str:
    """The text of the shipped direct relief."""
    return DIRECT


@pytest.fixture
def refused() -> Callable[..., list[str]]:
    """``refused(text)``: the problems told about a file, one text each; it must be refused with status 2."""

    def lines(text: str, folder: Path | None = None, changes: dict[str, str] | None = None) -> list[str]:
        with pytest.raises(InputError) as caught:
            read_machine_text(text, "m.yaml", folder, changes)
        assert caught.value.exit_status == 2
        return [str(problem) for problem in caught.value.problems]

    return lines


@pytest.fixture
def line_of() -> Callable[[str, str], int]:
    """``line_of(text, "worn gap")``: the line on which a piece of text first stands."""

    def find(text: str, piece: str) -> int:
        return text[: text.index(piece)].count("\n") + 1

    return find
