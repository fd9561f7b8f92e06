"""Flow control: holds its flow above its least drop, an orifice below it and backwards."""

from __future__ import annotations

from itertools import pairwise

import pytest

from oilway.quantity import PSI

CONTROL = "{kind: flow control, flow: 12 L/min, least drop: 8 bar, rise: 0 %}"
Q = 12e-3 / 60  # m3/s


def volume_flow(state, oil, high: float, low: float = 0.0) -> float:
    return state.flow_through("part") / oil.mean(high * 1e5, low * 1e5)


@pytest.mark.parametrize(("high", "low"), [(8, 0), (50, 0), (200, 0), (200, 150)])
def test_it_holds_its_flow_whatever_the_pressures(between, oil, high: int, low: int) -> None:
    state = between(CONTROL, high=f"{high} bar", low=f"{low} bar")
    assert volume_flow(state, oil, high, low) == pytest.approx(Q, rel=1e-9)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_below_its_least_drop_it_is_an_orifice(between, oil, share: float) -> None:
    # dp = 8 bar (0.95 g^2 + 0.05 g) at the share g of its flow.
    drop = 8 * (0.95 * share**2 + 0.05 * share)
    state = between(CONTROL, high=f"{drop} bar")
    assert volume_flow(state, oil, drop) == pytest.approx(share * Q, rel=1e-9)


def test_backwards_it_is_an_orifice_at_any_drop(between, oil) -> None:
    drop = 8 * (0.95 * 4 + 0.05 * 2)
    state = between(CONTROL, low=f"{drop} bar", high="0 bar")
    assert volume_flow(state, oil, drop) == pytest.approx(-2 * Q, rel=1e-9)


def test_its_flow_rises_a_little(between, oil) -> None:
    rising = CONTROL.replace("rise: 0 %", "rise: 3 %")
    high = 8e5 + 2000 * PSI
    state = between(rising, high=f"{high} Pa")
    assert volume_flow(state, oil, high / 1e5) == pytest.approx(1.06 * Q, rel=1e-9)


def test_more_drop_never_gives_less(between) -> None:
    flows = [
        between(CONTROL, high=f"{p} bar", low="10 bar").flow_through("part") for p in (0, 9, 10, 11, 17, 19, 60)
    ]
    assert all(b > a for a, b in pairwise(flows))
    assert flows[2] == 0.0


def test_all_of_its_drop_becomes_heat(between, oil) -> None:
    state = between(CONTROL)
    heat = [e.value for e in state.power if e.part == "part"]
    assert heat == [pytest.approx(state.flow_through("part") * oil.work(100e5), rel=1e-9)]


def test_what_it_does_not_take_goes_over_the_load_valve(solve, oil) -> None:
    state = solve("""
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
        load valve: {kind: test load, from: line, to: tank, load pressure: 150 bar}
        control: {kind: flow control, from: line, to: tank, flow: 12 L/min, rise: 0 %}
        """)
    taken = oil.mean(state.pressures["line"], 0) * Q
    assert state.flow_through("control") == pytest.approx(taken, rel=1e-9)
    assert state.flow_through("load valve") == pytest.approx(oil.rho0 * 20e-3 / 60 - taken, rel=1e-8)
