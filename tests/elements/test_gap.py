"""Annular gap: clearance cubed, thinned by heat, zero at zero clearance."""

from __future__ import annotations

import pytest

GAP = "{{kind: annular gap, diameter: 25 mm, clearance: {c}, length: 15 mm, eccentricity: {e}}}"


def leak(between, c: str = "5 um", e: str = "0", **more: str) -> float:
    return between(GAP.format(c=c, e=e), **more).flow_through("part")


def test_flow_by_hand(between, oil) -> None:
    # The fit of CK10 (Fox & McDonald, example 8.1) at another drop and in this oil.
    by_hand = oil.mean(190e5, 0) * oil.gap_flow(25e-3, 5e-6, 15e-3, 190e5)
    assert leak(between, high="190 bar") == pytest.approx(by_hand, rel=1e-9)


def test_twice_the_clearance_leaks_eight_times(between) -> None:
    assert leak(between, "10 um") / leak(between, "5 um") == pytest.approx(8.0, rel=1e-12)


def test_a_part_against_the_wall_leaks_two_and_a_half_times(between) -> None:
    assert leak(between, e="1") / leak(between, e="0") == pytest.approx(2.5, rel=1e-12)
    assert leak(between, e="0.5") / leak(between, e="0") == pytest.approx(1.375, rel=1e-12)


def test_no_clearance_leaks_exactly_nothing(between) -> None:
    assert leak(between, "0 um") == 0.0


def test_thin_oil_leaks_more(machine) -> None:
    from oilway.solve.point import solve_point

    built = machine("""
        high: {kind: tank, pressure: 100 bar}
        low: {kind: tank}
        middle: {kind: chamber}
        first: {kind: annular gap, from: high, to: middle, diameter: 20 mm, clearance: 10 um, length: 10 mm}
        second: {kind: annular gap, from: middle, to: low, diameter: 20 mm, clearance: 10 um, length: 10 mm}
        """)
    cold, hot = (solve_point(built, built.point_from({"oil temperature": t})) for t in ("40 C", "80 C"))
    ratio = hot.flow_through("first") / cold.flow_through("first")
    assert ratio == pytest.approx(cold.parameter("oil.mu") / hot.parameter("oil.mu"), rel=0.03)
    assert ratio > 3  # VG 46 at 80 C has about a quarter of its viscosity at 40 C
    # Two equal gaps share the drop, but for the density, which is a little higher in the first.
    assert cold.pressures["middle"] == pytest.approx(50e5, rel=0.01)
