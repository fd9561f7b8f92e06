"""Room for restrictions: free, apart from others, with the shortest ways from its mouths."""

from __future__ import annotations

import pytest

from oilway.draw.cutaway_place import CELL, FAR, Box, Field, shapes


def test_cells_of_a_box_lie_about_the_middles_of_cells() -> None:
    assert Box(2, 3, 2, 1).px == (1.5 * CELL, 2.5 * CELL, 2 * CELL, CELL)
    assert list(Box(2, 3, 2, 1).cells()) == [(2, 3), (3, 3)]
    assert Box(0, 0, 2, 2).meets(Box(1, 1, 1, 1))
    assert not Box(0, 0, 2, 2).meets(Box(2, 0, 1, 1))
    assert Box(2, 2, 1, 1).grown(1) == Box(1, 1, 3, 3)


def test_distances_go_round_what_is_taken() -> None:
    field = Field(5, 5)
    field.take(Box(2, 0, 1, 4))  # a wall with a gap at the foot
    steps = field.distances([(0, 0)])
    assert steps[0, 4] == 4
    assert steps[4, 0] == 4 + 4 + 4  # down, along, up again
    assert steps[2, 0] == FAR


def test_a_field_keeps_the_margin() -> None:
    field = Field(9, 9)
    field.take(Box(4, 4, 1, 1))
    fits = field.room_for(2, 2, 1)
    for i in range(9):
        for j in range(9):
            around = Box(i - 1, j - 1, 4, 4)
            inside = i >= 1 and j >= 1 and i + 3 <= 9 and j + 3 <= 9
            assert fits[i, j] == (inside and not around.meets(Box(4, 4, 1, 1)))


def test_the_best_place_lies_between_what_it_joins() -> None:
    field = Field(40, 20)
    for box in (Box(0, 8, 2, 3), Box(38, 8, 2, 3)):
        field.take(box)
    ways = [field.distances([(1, 9)]), field.distances([(38, 9)])]
    found = field.best(shapes(2, 3), ways, 1)
    assert found is not None
    shape, (_, j) = found
    assert not shape.upright
    assert {j + mouth[0][1] for mouth in shape.mouths} == {9}
    assert shape.mouths[0][0][0] < shape.mouths[1][0][0]  # its first port towards the first chamber


def test_there_is_no_place_in_a_full_field() -> None:
    field = Field(12, 12)
    field.take(Box(0, 6, 12, 1))
    assert field.best(shapes(2, 3), [field.distances([(0, 0)])] * 2, 2) is None


@pytest.mark.parametrize("ports", [0, 1, 2, 3, 4])
def test_mouths_lie_at_the_edge_and_look_out(ports: int) -> None:
    for shape in shapes(ports, 3):
        assert len({cell for cell, _ in shape.mouths}) == ports
        for (i, j), (di, dj) in shape.mouths:
            assert 0 <= i < shape.across
            assert 0 <= j < shape.down
            assert not (0 <= i + di < shape.across and 0 <= j + dj < shape.down)
