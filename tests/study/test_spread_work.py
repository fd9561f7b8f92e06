"""Channels at a point: what is known by name, and its kind."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.solve.point import solve_point
from oilway.study.spread import spread
from oilway.study.spread_work import channel_kind, known_channels


@pytest.fixture(scope="module")
def hoist():
    """The tipping-trailer hoist."""
    return oilway.load("examples/tipping_hoist.yaml")


def test_a_reading_is_what_the_gauge_shows_and_not_the_pressure(hoist) -> None:
    machine = hoist.with_part("pump gauge", {"zero error": 1e5})
    told = spread(machine, channels=["reading:pump gauge", "pressure:pump line"], number=3)
    reading, pressure = told.outputs
    assert reading.kind == "pressure"
    assert reading.nominal - pressure.nominal == pytest.approx(1e5)
    assert reading.nominal == pytest.approx(solve_point(machine).readings["pump gauge"][1])


def test_every_channel_has_a_kind_and_a_symbol(hoist) -> None:
    known = known_channels(hoist)
    assert {"pressure:pump line", "speed:hoist cylinder", "flow:pump", "reading:load gauge"} <= set(known)
    kinds = {name.partition(":")[0]: channel_kind(hoist, name) for name in known}
    assert kinds == {
        "pressure": "pressure", "lift": "length", "speed": "velocity", "flow": "flow", "reading": "pressure",
    }  # fmt: skip


def test_the_curve_begins_shut_and_rises() -> None:
    band = spread(oilway.load("pilot relief"), number=30).band
    assert band is not None
    assert (np.diff(band.single, axis=1) > 0).all()
