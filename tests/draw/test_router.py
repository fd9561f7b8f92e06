"""Lines at right angles: short, round what is in the way, crossing others only straight across."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.draw.router import Point, Router


def length(corners: list[Point]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(corners))


def cells(corners: list[Point], step: float = 10.0) -> set[Point]:
    out = set()
    for (xa, ya), (xb, yb) in pairwise(corners):
        n = max(round(max(abs(xb - xa), abs(yb - ya)) / step), 1)
        out |= {(round(xa + (xb - xa) * k / n), round(ya + (yb - ya) * k / n)) for k in range(n + 1)}
    return out


def test_a_free_line_is_straight_or_has_one_bend() -> None:
    assert Router(200, 200).line("a", (10, 10), [(150, 10)]) == [(10, 10), (150, 10)]
    assert len(Router(200, 200).line("a", (10, 10), [(150, 90)])) == 3


@given(st.integers(0, 19), st.integers(0, 19), st.integers(0, 19), st.integers(0, 19))
def test_lines_run_at_right_angles_and_no_longer_than_they_must(i: int, j: int, k: int, m: int) -> None:
    corners = Router(200, 200).line("a", (10.0 * i, 10.0 * j), [(10.0 * k, 10.0 * m)])
    assert corners[0] == (10 * i, 10 * j)
    assert corners[-1] == (10 * k, 10 * m)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(corners))
    assert length(corners) == 10 * (abs(i - k) + abs(j - m))


def test_it_goes_round_what_is_blocked_with_its_margin() -> None:
    router = Router(300, 300)
    router.block(100, 0, 40, 200, margin=10)
    corners = router.line("a", (50, 50), [(250, 50)])
    assert not {p for p in cells(corners) if 90 <= p[0] <= 150 and p[1] <= 210}
    assert length(corners) == 200 + 2 * 170


def test_a_mouth_opens_a_blocked_cell() -> None:
    router = Router(100, 100)
    router.block(50, 0, 0, 100)
    with pytest.raises(ValueError, match="no way for a line of 'a'"):
        router.line("a", (0, 50), [(100, 50)])
    router.free([(50, 50)])
    assert router.line("a", (0, 50), [(100, 50)]) == [(0, 50), (100, 50)]


def test_the_nearest_pair_of_ends_is_joined() -> None:
    router = Router(300, 300)
    assert router.between("a", [(0, 0), (100, 100)], [(300, 300), (140, 100)]) == [(100, 100), (140, 100)]
    assert router.line("a", (0, 0), [(300, 0), (20, 0)]) == [(0, 0), (20, 0)]


def test_two_nets_cross_straight_and_never_share_a_way() -> None:
    router = Router(200, 200)
    first = router.line("a", (0, 100), [(200, 100)])
    second = router.line("b", (100, 0), [(100, 200)])
    assert cells(first) & cells(second) == {(100, 100)}
    third = router.line("c", (0, 100), [(200, 100)])
    shared = cells(first) & cells(third)
    assert shared <= {(0, 100), (200, 100)}  # its own ends, which count as open


def test_lines_of_one_net_join() -> None:
    router = Router(200, 200)
    first = router.line("a", (0, 100), [(200, 100)])
    again = router.line("a", (50, 60), [(200, 100)])
    assert len(cells(first) & cells(again)) > 5


def test_a_line_keeps_off_what_it_should_shun_where_that_costs_little() -> None:
    router = Router(200, 200)
    router.shun(40, 0, 100, 60, price=5.0)
    around = router.line("a", (0, 50), [(200, 50)])
    assert not {p for p in cells(around) if 40 <= p[0] <= 140 and p[1] <= 60}
    walled = Router(200, 200)
    walled.shun(100, 0, 0, 200, price=5.0)
    assert walled.line("a", (0, 50), [(200, 50)]) == [(0, 50), (200, 50)]


def test_the_same_lines_give_the_same_corners() -> None:
    def lay() -> list[list[Point]]:
        router = Router(300, 300)
        router.block(120, 80, 60, 60)
        return [router.line(net, (0, y), [(300, 300 - y)]) for net, y in (("a", 50), ("b", 100), ("c", 150))]

    assert lay() == lay()
