"""The bench log on the terminal."""

from __future__ import annotations

import io

import pytest
from rich.console import Console
from tests.shop import PSI

from oilway.log import Entry, Sheet
from oilway.log_text import change_words, print_history, print_sheets


def entry(date: str, psi: float, doubt: float = 10.0) -> Entry:
    return Entry(
        1, date, "hoist", "relief", "as found", "full-flow pressure", "pressure", psi * PSI, doubt * PSI, "accept"
    )


@pytest.mark.parametrize(
    ("psi", "said"),
    [
        (2950, "-50 psi"),
        (2990, "-10 psi, within U of both"),
        (3030, "+30 psi"),
        (3014, "+14 psi, within U of both"),
    ],
)
def test_a_change_is_told_with_whether_it_shows(psi: float, said: str) -> None:
    """Two doubts of 10 psi make 14.1 psi."""
    assert change_words(entry("2025", 3000), entry("2026", psi), "shop") == said


def test_tables_and_an_empty_log() -> None:
    out = io.StringIO()
    console = Console(file=out, width=140)
    print_sheets(console, [])
    print_history(console, [entry("2025-01-01", 3000), entry("2026-01-01", 2900)], "shop")
    sheet = Sheet(7, "now", "2026-01-01", "hoist", "relief", "R. A.", "relief", "t", "reject", "P", "f", "0", "1")
    print_sheets(console, [sheet])
    text = out.getvalue()
    assert "no sheets match" in text
    assert "-100 psi" in text
    assert "reject" in text
