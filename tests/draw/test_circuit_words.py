"""Places for plates: beside what they name, on nothing, with a line to it where they stand further off."""

from __future__ import annotations

import pytest

from oilway.draw.circuit_words import GAP, NEAR, Board, nearest


def test_a_plate_stands_beside_its_point() -> None:
    board = Board(400, 400)
    assert board.beside([(200, 200)], 100, 40) == ((200 + GAP, 180, 100, 40), None)


def test_the_wanted_side_comes_first() -> None:
    rect, _ = Board(400, 400).beside([(200, 200)], 100, 40, ("left",))
    assert rect[0] + rect[2] == 200 - GAP


def test_the_second_plate_leaves_the_first_alone() -> None:
    board = Board(400, 400)
    a, b = (board.beside([(200, 200)], 100, 40)[0] for _ in range(2))
    assert a[0] + a[2] <= b[0] or b[0] + b[2] <= a[0] or a[1] + a[3] <= b[1] or b[1] + b[3] <= a[1]


def test_the_next_point_is_better_than_a_place_further_off() -> None:
    board = Board(400, 400)
    board.take((120, 120, 160, 160))
    rect, lead = board.beside([(200, 200), (200, 300)], 60, 30)
    assert lead is None
    assert nearest(rect, (200, 300)) != nearest(rect, (200, 200))


def test_further_off_a_line_leads_from_the_point_and_crosses_nothing_solid() -> None:
    board = Board(400, 400)
    board.take((100, 100, 200, 200))
    board.solid.append((210, 100, 20, 200))  # to the right the way is barred
    rect, lead = board.beside([(200, 200)], 60, 30, ("right", "left"))
    assert lead == (200, 200)
    assert rect[0] + rect[2] <= 100
    assert 200 - (rect[0] + rect[2]) > NEAR


def test_a_full_board_says_so() -> None:
    board = Board(100, 100)
    board.take((0, 0, 100, 100))
    with pytest.raises(ValueError, match="no room"):
        board.beside([(50, 50)], 20, 20)
