"""Where the oil of a chamber goes, on networks whose shares are known by hand."""

from __future__ import annotations

import pytest

from oilway.study.routes import called, routes, routes_of_pump, valve_of

GPM = 231 * 0.0254**3 / 60
# From the line, two equal holes: one to the tank, the other to a chamber that empties by holes of 1 and 2 areas.
SPLIT = """
    tank: {kind: tank}
    pit: {kind: tank}
    line: {kind: chamber}
    between: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    straight: {kind: orifice, from: line, to: tank, diameter: 2 mm}
    wide: {kind: orifice, from: line, to: between, diameter: 20 mm}
    one: {kind: orifice, from: between, to: tank, diameter: 2 mm}
    other: {kind: orifice, from: between, to: pit, diameter: 2 mm}
    """


def test_oil_is_shared_as_the_holes_share_it(solve) -> None:
    """Behind a wide hole stand two like the one beside it: a third each."""
    found = routes(solve(SPLIT), "line")
    assert {(r.parts, r.end): pytest.approx(r.share, rel=0.001) for r in found} == {
        (("straight",), "tank"): 1 / 3,
        (("one",), "tank"): 1 / 3,
        (("other",), "pit"): 1 / 3,
    }
    assert sum(r.flow for r in found) == pytest.approx(10 * GPM, rel=1e-6)


def test_ways_are_ranked(solve) -> None:
    found = routes(solve(SPLIT.replace("to: pit, diameter: 2 mm", "to: pit, diameter: 4 mm")), "line")
    assert found[0].end == "pit"
    assert [r.share for r in found] == sorted((r.share for r in found), reverse=True)


def test_a_part_is_named_where_it_takes_a_tenth_of_the_drop(solve) -> None:
    """Two holes of one size in a row take half each; of 20 and 2 mm, the wide one is only on the way."""
    row = """
    tank: {kind: tank}
    line: {kind: chamber}
    between: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 1 gpm}
    first: {kind: orifice, from: line, to: between, diameter: FIRST}
    second: {kind: orifice, from: between, to: tank, diameter: 2 mm}
    """
    assert routes(solve(row.replace("FIRST", "2 mm")), "line")[0].parts == ("first", "second")
    assert routes(solve(row.replace("FIRST", "20 mm")), "line")[0].parts == ("second",)


def test_a_way_ends_at_the_chambers_asked_for(solve) -> None:
    found = routes(solve(SPLIT), "line", ("between",))
    assert {r.end: pytest.approx(r.share, rel=0.001) for r in found} == {"between": 2 / 3, "tank": 1 / 3}


def test_oil_of_a_pump_is_its_own_where_another_feeds_the_same_line(solve) -> None:
    two = SPLIT + "helper: {kind: test pump, inlet: tank, outlet: line, flow: 30 gpm}\n"
    found = routes_of_pump(solve(two), "pump", "line")
    assert sum(r.flow for r in found) == pytest.approx(10 * GPM, rel=1e-6)
    assert sum(r.flow for r in routes(solve(two), "line")) == pytest.approx(40 * GPM, rel=1e-6)


def test_oil_that_moves_a_cylinder_ends_there(solve) -> None:
    jack = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 2 gpm}
    jack: {kind: cylinder, cap: line, rod: tank, bore: 50 mm, rod diameter: 20 mm, stroke: 1 m}
    box: {kind: load, on: jack, load force: 5 kN}
    """
    state = solve(jack)
    (way,) = routes_of_pump(state, "pump", "line")
    assert (way.parts, way.end) == ((), "jack")
    assert routes(state, "line", beside="jack") == []


def test_oil_that_goes_round_is_followed_once(solve) -> None:
    """A pump that draws from the chamber it fills through a hole: the round ends where it began."""
    ring = """
    tank: {kind: tank}
    line: {kind: chamber}
    suction: {kind: chamber}
    pump: {kind: test pump, inlet: suction, outlet: line, flow: 5 gpm}
    hole: {kind: orifice, from: line, to: suction, diameter: 3 mm}
    breather: {kind: orifice, from: suction, to: tank, diameter: 3 mm}
    """
    found = routes(solve(ring), "line")
    assert [(r.parts, r.end, r.share) for r in found] == [(("hole",), "line", pytest.approx(1.0))]


def test_a_valve_with_an_adjuster_goes_by_its_name(solve) -> None:
    state = solve(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
        relief: {kind: valve, valve: pilot relief, P: line, T: tank, setting: 1000 psi at 5 gpm}
        """
    )
    assert called(state, "relief.main seat") == "relief"
    assert called(state, "pump") == "pump"
    assert valve_of(state, "pump") is None
    assert {r.parts for r in routes(state, "line")} == {("relief",)}  # main and pilot flow are one way
