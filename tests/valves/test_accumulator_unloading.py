"""Accumulator unloading valve: unloads at its setting, charges again 15 % lower; the difference is two areas."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from oilway.quantity import PSI

SEVEN = {"pilot spring.turns": "7 turns"}  # 40 N/mm x 7 mm = 280 N


def walk(valve, at, pressures: Iterable[float], start=None, **more: str):
    """States while the accumulator moves slowly, each from where the last one stood."""
    for pressure in pressures:
        start = at(valve, {**SEVEN, **more, "accumulator.pressure": f"{pressure} psi"}, start)
        yield pressure, start


def idles(state) -> bool:
    return state.pressures["pump line"] < 60 * PSI


@pytest.fixture
def unloads_at(circle) -> float:
    """Seat balance while charging, in psi: 280 N on 24.02 mm2; the check's drop pulls on the piston."""
    seat, piston = circle(5.53), circle(6)
    drop = 11.5 * PSI  # over the check at 14 gpm, shown in its own test below
    pump = (280 + drop * piston) / seat
    return (pump - drop) / PSI


def test_on_the_way_up_it_unloads_where_the_seat_balances(smooth, at, unloads_at: float) -> None:
    assert unloads_at == pytest.approx(1692.7, abs=0.5)
    valve = smooth("accumulator unloading")
    steps = list(walk(valve, at, [1000, 1500, 1650, *range(1680, 1710)]))
    first = next(pressure for pressure, state in steps if idles(state))
    assert first == pytest.approx(unloads_at, abs=3)
    for pressure, state in steps:
        assert idles(state) == (pressure >= first)


def test_on_the_way_down_it_charges_where_the_piston_lets_go(smooth, at, circle) -> None:
    lets_go = 280 / circle(6) / PSI  # 280 N on 28.27 mm2: 1436 psi, 85 % of the seat's 1691
    assert lets_go == pytest.approx(1436.3, abs=0.1)
    valve = smooth("accumulator unloading")
    _, charged = list(walk(valve, at, [1600, 1800]))[-1]
    assert idles(charged)
    steps = list(walk(valve, at, [1700, 1600, 1500, 1460, *range(1450, 1425, -1)], charged))
    last = min(pressure for pressure, state in steps if idles(state))
    # a little earlier: the pilot chokes its own flow at its last 0.1 mm or so, and 40 N/mm x 0.1 mm are 20 psi
    assert lets_go < last < lets_go + 30
    assert not idles(steps[-1][1])


def test_the_differential_is_the_ratio_of_the_areas(circle) -> None:
    assert 1 - circle(5.53) / circle(6) == pytest.approx(0.15, abs=0.001)


def test_charging_both_ends_of_the_piston_read_the_same_but_for_the_check(smooth, at) -> None:
    state = at(smooth("accumulator unloading"), {**SEVEN, "accumulator.pressure": "1200 psi"})
    drop = state.pressures["pump line"] - state.pressures["accumulator"]
    assert drop == pytest.approx(11.5 * PSI, abs=0.2 * PSI)
    assert state.pressures["back chamber"] == pytest.approx(state.pressures["pump line"], abs=0.1 * PSI)
    # all oil of the pump but none over the main seat
    assert state.flow_through("main seat") == 0.0
    assert state.flow_through("check") == pytest.approx(state.flow_through("test pump"), rel=1e-4)


def test_idling_the_check_keeps_the_accumulator(smooth, at) -> None:
    state = at(smooth("accumulator unloading"), {**SEVEN, "accumulator.pressure": "1800 psi"})
    assert idles(state)
    assert state.flow_through("check") == 0.0
    # main spring 5 N/mm x 16 mm = 80 N on 380.1 mm2 is 30.5 psi; rate, jet and pilot line add the rest
    assert 30.5 * PSI < state.pressures["pump line"] < 40 * PSI


def test_the_tank_line_adds_one_to_one(smooth, at, unloads_at: float) -> None:
    valve = smooth("accumulator unloading")
    way = [1000, 1500, 1650, *range(1730, 1770, 2)]
    steps = list(walk(valve, at, way, **{"tank.pressure": "60 psi"}))
    first = next(pressure for pressure, state in steps if state.statuses["pilot poppet"].word != "seated")
    assert first == pytest.approx(unloads_at + 60, abs=4)
