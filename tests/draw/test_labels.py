"""Places for labels: free where there is room, near, reachable; the least bad where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.draw.labels import CELL, Box, Floats, along, free_place, inside, spread

AREA = Box(0.0, 0.0, 300.0, 300.0)
FAR_AWAY = np.array([[1e4, 1e4]])


def covers(box: Box, points: Floats) -> bool:
    low, high = np.array([box.x, box.y]), np.array([box.x + box.width, box.y + box.height])
    return bool(((points > low) & (points < high)).all(axis=1).any())


def test_points_along_a_line_are_less_than_a_cell_apart_and_end_at_its_ends() -> None:
    points = along(np.array([[0.0, 0.0], [30.0, 40.0], [30.0, 41.0]]))
    assert np.hypot(*np.diff(points, axis=0).T).max() < CELL
    assert points[[0, -1]].tolist() == [[0.0, 0.0], [30.0, 41.0]]


def test_points_inside_a_box_leave_no_room_for_a_cell() -> None:
    points = inside(Box(10.0, 20.0, 40.0, 7.0))
    assert points.min(axis=0).tolist() == [10.0, 20.0]
    assert points.max(axis=0).tolist() == [50.0, 27.0]
    for axis in points.T:
        assert np.diff(np.unique(axis)).max() < CELL


def test_alone_on_the_page_a_label_stands_at_what_it_names() -> None:
    box = free_place(np.array([100.0, 50.0]), 60.0, 30.0, FAR_AWAY, AREA)
    assert np.hypot(*(box.nearest(np.array([100.0, 50.0])) - [100.0, 50.0])) <= CELL


@pytest.mark.parametrize("slope", [-2.0, -0.3, 0.0, 0.3, 2.0])
def test_a_label_keeps_off_a_curve_it_names(slope: float) -> None:
    curve = along(np.array([[0.0, 150.0 - 150 * slope], [300.0, 150.0 + 150 * slope]]))
    box = free_place(np.array([150.0, 150.0]), 80.0, 35.0, curve, AREA, reach=10.0)
    assert not covers(box, curve)
    assert np.hypot(*(box.nearest(np.array([150.0, 150.0])) - 150.0)) < 40.0


def test_a_line_to_a_label_crosses_no_curve_although_the_nearest_room_lies_behind_one() -> None:
    wall = along(np.array([[40.0, 180.0], [40.0, 300.0]]))
    anchor = np.array([35.0, 200.0])  # no room on this side of the wall, but the wall can be passed below

    def height_of_crossing(box: Box) -> float:
        end = box.nearest(anchor)
        return float(anchor[1] + (end[1] - anchor[1]) * (40.0 - anchor[0]) / (end[0] - anchor[0]))

    behind = free_place(anchor, 60.0, 30.0, wall, AREA, reach=np.inf)
    assert behind.x > 40.0
    assert height_of_crossing(behind) > 180.0
    box = free_place(anchor, 60.0, 30.0, wall, AREA)
    assert not covers(box, wall)
    assert box.nearest(anchor)[0] < 40.0 or height_of_crossing(box) < 180.0


def test_two_labels_of_one_point_do_not_overlap() -> None:
    anchor = np.array([150.0, 150.0])
    first = free_place(anchor, 80.0, 30.0, FAR_AWAY, AREA)
    second = free_place(anchor, 80.0, 30.0, inside(first), AREA)
    apart_x = second.x >= first.x + first.width or first.x >= second.x + second.width
    apart_y = second.y >= first.y + first.height or first.y >= second.y + second.height
    assert apart_x or apart_y


def test_on_a_full_page_a_label_covers_the_least() -> None:
    crowded, sparse = inside(Box(0.0, 0.0, 300.0, 200.0)), np.array([[150.0, y] for y in range(205, 300, 5)])
    box = free_place(np.array([10.0, 10.0]), 290.0, 60.0, np.concatenate([crowded, sparse]), AREA)
    assert box.y >= 200.0


@given(
    st.lists(st.tuples(st.floats(-50, 450), st.floats(5, 60)), min_size=1, max_size=6),
)
def test_labels_in_a_column_keep_apart_in_order_and_inside(labels: list[tuple[float, float]]) -> None:
    wanted, heights = zip(*labels, strict=True)
    tops = spread(wanted, heights, 0.0, 400.0)  # together they are never higher than the column
    order = sorted(range(len(tops)), key=lambda k: -wanted[k])
    ends = [400.0, *(tops[k] - heights[k] for k in order)]
    assert all(tops[k] <= end + 1e-9 for k, end in zip(order, ends, strict=False))
    assert ends[-1] >= -1e-9
