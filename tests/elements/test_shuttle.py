"""Shuttle: the higher pressure reaches the third port, the lower side is exactly shut."""

from __future__ import annotations

import math

import pytest

PARTS = """
    a: {kind: tank, pressure: 120 bar}
    b: {kind: tank, pressure: 80 bar}
    tank: {kind: tank}
    sensed: {kind: chamber}
    shuttle: {kind: shuttle, first: a, second: b, to: sensed, diameter: 3 mm, shift pressure: 0.2 bar}
    """
BLED = PARTS + "\n    bleed: {kind: orifice, from: sensed, to: tank, diameter: 0.6 mm}\n"


def sides(state) -> tuple[float, float]:
    """Mass flow out of either side, kg/s."""
    return tuple(-sum(e.value for e in state.flows[side] if e.part == "shuttle") for side in ("a", "b"))


@pytest.mark.parametrize(("a", "b"), [(120, 80), (80, 120), (120, 119.7), (0, 5), (-0.3, 0)])
def test_the_higher_of_two_is_passed_on_and_nothing_leaks(solve, a: float, b: float) -> None:
    text = PARTS.replace("120 bar", "A bar").replace("80 bar", f"{b} bar").replace("A bar", f"{a} bar")
    state = solve(text)
    assert state.pressures["sensed"] == pytest.approx(max(a, b) * 1e5, abs=1.0)
    assert sides(state)[0 if a < b else 1] == 0.0


def test_what_is_taken_comes_from_the_higher_side(solve, oil) -> None:
    state = solve(BLED)
    from_a, from_b = sides(state)
    p = state.pressures["sensed"]
    rho = oil.mean(p, 0)
    assert from_b == 0.0
    assert from_a == pytest.approx(rho * math.pi / 4 * 0.36e-6 * oil.orifice_speed(0.6e-3, p, rho), rel=1e-8)
    # Its open side is an orifice of 3 mm: 120 bar less a small drop.
    rho = oil.mean(120e5, p)
    assert from_a == pytest.approx(rho * math.pi / 4 * 9e-6 * oil.orifice_speed(3e-3, 120e5 - p, rho), rel=1e-6)


def test_oil_goes_back_through_the_open_side(solve) -> None:
    # A load-sense line comes down with the load: the ball stays where the higher pressure holds it.
    state = solve(PARTS + "\n    feed: {kind: test pump, inlet: tank, outlet: sensed, flow: 1 L/min}\n")
    assert sides(state)[0] < 0
    assert sides(state)[1] == 0.0


def test_equal_pressures_reach_it_from_both_sides(solve) -> None:
    state = solve(BLED.replace("80 bar", "120 bar"))
    from_a, from_b = sides(state)
    assert from_a == pytest.approx(from_b, rel=1e-9)
    assert from_a > 0
    assert state.pressures["sensed"] == pytest.approx(120e5, rel=1e-2)


def test_halfway_over_each_side_is_open_by_its_share(solve, oil) -> None:
    # 0.1 bar of 0.2: three quarters and one quarter.
    state = solve(BLED.replace("80 bar", "119.9 bar"))
    p, shares = state.pressures["sensed"], []
    for flow, high in zip(sides(state), (120e5, 119.9e5), strict=True):
        rho = oil.mean(high, p)
        way = 1 if high > p else -1
        speed = way * oil.orifice_speed(3e-3, abs(high - p), rho)
        shares.append(flow / (rho * math.pi / 4 * 9e-6 * speed))
    assert shares == pytest.approx([0.75, 0.25], rel=1e-5)


def test_power_closes(solve) -> None:
    state = solve(BLED)
    heat = sum(e.value for e in state.power if e.label == "heat")
    assert heat > 0
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-6 * heat)
