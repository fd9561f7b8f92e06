"""Check valve: exactly shut below cracking and backwards, proportional between, an orifice when open."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

CHECK = "{kind: check valve, diameter: 8 mm, cracking pressure: 1 bar, full open pressure: 3 bar}"


def orifice(oil, dp: float) -> float:
    rho = oil.mean(dp, 0)
    return rho * math.pi / 4 * 64e-6 * oil.orifice_speed(8e-3, dp, rho)


@pytest.mark.parametrize(
    ("high", "low"), [("0 bar", "300 bar"), ("5 bar", "5 bar"), ("5.9 bar", "5 bar"), ("1 bar", "0 bar")]
)
def test_shut_it_leaks_exactly_nothing(between, high: str, low: str) -> None:
    assert between(CHECK, high=high, low=low).flow_through("part") == 0.0


def test_half_open_half_way_between_the_two_pressures(between, oil) -> None:
    assert between(CHECK, high="2 bar").flow_through("part") == pytest.approx(0.5 * orifice(oil, 2e5), rel=1e-9)


@pytest.mark.parametrize("dp", [3, 20])
def test_fully_open_it_is_an_orifice(between, oil, dp: int) -> None:
    assert between(CHECK, high=f"{dp} bar").flow_through("part") == pytest.approx(orifice(oil, dp * 1e5), rel=1e-9)


def test_it_holds_oil_behind_it(solve) -> None:
    state = solve("""
        tank: {kind: tank}
        line: {kind: chamber}
        held: {kind: chamber}
        load: {kind: tank, pressure: 80 bar}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 L/min}
        spill: {kind: orifice, from: line, to: tank, diameter: 3 mm}
        check: {kind: check valve, from: line, to: held, diameter: 8 mm}
        passage: {kind: orifice, from: held, to: load, diameter: 5 mm}
        """)
    assert state.pressures["line"] < 10e5
    assert state.pressures["held"] == pytest.approx(80e5)
    assert state.flow_through("check") == 0.0


def test_it_opens_fully_above_where_it_cracks(machine) -> None:
    with pytest.raises(InputError, match="full open pressure is not above cracking pressure"):
        machine(f"""
            a: {{kind: tank}}
            b: {{kind: chamber}}
            check: {CHECK[:-1].replace("3 bar", "1 bar")}, from: a, to: b}}
            """)


@pytest.mark.parametrize("dp", [-150, 0.5])
def test_with_dirt_under_it_it_passes_its_leak_both_ways(between, oil, dp: float) -> None:
    high, low = (f"{max(dp, 0)} bar", f"{max(-dp, 0)} bar")
    leaks = between(CHECK.replace("}", ", leak: 2 %}"), high=high, low=low).flow_through("part")
    full = between("{kind: orifice, diameter: 8 mm}", high=high, low=low).flow_through("part")
    assert leaks == pytest.approx(0.02 * full, rel=1e-9)
