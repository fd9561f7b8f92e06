"""Rows of a fit: from a table of its own, or from a readings file with its instruments."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.errors import InputError
from oilway.quantity import PSI
from oilway.study.fit_rows import table_of
from oilway.study.story import examples


def test_rows_come_from_a_table_or_from_a_readings_file(tmp_path: Path) -> None:
    csv = tmp_path / "own.csv"
    csv.write_text("Q (gpm), P (psi)\n1, 2000\n2, 2010\n")
    table, instruments = table_of(csv)
    assert len(table) == 2
    assert not instruments
    table, instruments = table_of(examples() / "readings" / "hoist_relief.yaml")
    assert len(table) > 10
    assert instruments["P"].limit(0.0) == pytest.approx(0.006 * 4000 * PSI)


def test_a_readings_file_without_rows_is_asked_back(tmp_path: Path) -> None:
    bare = tmp_path / "bare.yaml"
    bare.write_text("format: 1\nreadings: none\ntest: relief\nrated flow: 18 gpm\nas found:\n  remarks: none\n")
    with pytest.raises(InputError):
        table_of(bare)
