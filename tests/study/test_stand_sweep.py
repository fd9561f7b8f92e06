"""Where to read next on a sweep, and what is odd about where was read."""

from __future__ import annotations

import pytest

from oilway.study.branches import branches
from oilway.study.conditions import POINTS
from oilway.study.forms import FORMS
from oilway.study.rows import Floats
from oilway.study.stand_sweep import out_of_order, places, still_to_read, turned

RELIEF = FORMS["relief"]
GIVEN = {"rated flow": 20.0, "cracking flow": 0.01}


def test_a_sweep_read_as_it_is_asked_has_points_enough_each_way() -> None:
    read: list[float] = []
    while ahead := still_to_read(places(RELIEF, GIVEN), read, both_ways=True):
        read.append(ahead[0][0])
    assert (read[0], max(read), read[-1]) == pytest.approx((0.2, 20.0, 0.2))
    found = branches(_floats(read))
    assert [branch.rising for branch in found] == [True, False]
    assert all(len(branch.rows) >= POINTS for branch in found)


def test_one_way_ends_at_the_top() -> None:
    given = {"low pressure": 1e6, "rated pressure": 2e7}
    way = places(FORMS["pump flow"], given)
    assert (way[0], way[-1]) == (1e6, 2e7)
    assert still_to_read(way, way, both_ways=False) == []


def test_who_reads_elsewhere_goes_on_from_there() -> None:
    way = places(RELIEF, GIVEN)
    ahead = still_to_read(way, [0.2, 19.0], both_ways=True)
    assert ahead[0] == (20.0, True)
    down = still_to_read(way, [0.2, 19.9, 5.0], both_ways=True)
    assert all(place < 5.0 and not up for place, up in down)


def test_without_the_number_it_needs_no_place_is_told() -> None:
    assert places(RELIEF, {"cracking flow": 0.01}) == []
    assert places(FORMS["precharge"], {}) == []
    assert still_to_read([], [], both_ways=True) == []


def test_the_sweep_has_turned_near_its_top() -> None:
    assert turned([1.0, 19.8], 20.0)
    assert not turned([1.0, 15.0], 20.0)


@pytest.mark.parametrize(
    ("read", "said"),
    [
        ([5.0], ""),
        ([1.0, 5.0], ""),
        ([5.0, 1.0], "back on the way up"),
        ([5.0, 20.0, 12.0], ""),
        ([5.0, 20.0, 12.0, 16.0], "up again on the way down"),
        ([5.0, 20.0, 20.1], ""),
    ],
)
def test_what_is_out_of_order_is_told(read: list[float], said: str) -> None:
    assert out_of_order(read, 20.0, both_ways=True) == said


def _floats(values: list[float]) -> Floats:
    import numpy as np

    return np.array(values)
