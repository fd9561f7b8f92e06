"""The chart of a choice: what is drawn, and its words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import oilway
from oilway.draw.size_chart import alt_text, draw_sizing, save_sizing, shown_sets
from oilway.study.size import size

FREE = {
    "damping orifice.diameter": "0.8, 0.9 mm",
    "main orifice.diameter": "0.5..0.8 mm in drills",
    "main spring.rate": "5, 6, 7 N/mm",
}

RATED = 22e6  # Pa


@pytest.fixture(scope="module")
def found():
    """Three free parts."""
    return size(oilway.load("pilot relief"), FREE, ["override<=13 psi"], rated=RATED)


def test_two_parts_are_drawn_and_the_third_stays_as_in_the_best_choice(found) -> None:
    drawn, third = shown_sets(found), found.matter[2]
    assert drawn.sum() == len(found.values) / len(found.free[third].values)
    assert np.unique(found.values[drawn, third]) == found.values[found.best, third]
    assert drawn[found.best]


def test_picture_and_words(found, tmp_path: Path) -> None:
    svg = draw_sizing(found)
    assert alt_text(found) in svg
    assert f"{found.passed.sum()} of {len(found.values)} combinations satisfy" in alt_text(found)
    save_sizing(found, tmp_path / "size.png", "metric")
    assert (tmp_path / "size.png").read_bytes().startswith(b"\x89PNG")


def test_one_free_part_is_a_line_of_marks() -> None:
    alone = {"main orifice.diameter": "0.5, 0.6 mm"}
    assert "<svg" in draw_sizing(size(oilway.load("pilot relief"), alone, ["override<=13 psi"], rated=RATED))
