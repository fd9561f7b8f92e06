"""Oil shut in behind a check: where it stands whatever the solve began with, and what counts as shut in."""

from __future__ import annotations

import math

import numpy as np
import pytest

from oilway.solve.point import pushed, rest
from oilway.solve.shut_in import free_directions, isolated_chambers, off_edges, unfixed
from oilway.solve.steady import steady

BAR = 1e5
CRACKS = 0.5 * BAR
# A pump over an orifice makes a line pressure; behind a check stands oil with no way out.
BEHIND = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    way: {kind: orifice, from: line, to: tank, diameter: 3 mm}
    check: {kind: check valve, from: line, to: behind, diameter: 8 mm, cracking pressure: 0.5 bar,
            full open pressure: 1 bar%s}
    behind: {kind: chamber}
    %s
    """
TIGHT, DIRTY = BEHIND % ("", ""), BEHIND % (", leak: 0.01", "")
# The same oil under a load: the piston stands where it is told to, and dry friction of its seals holds some of it.
BORE, SEALS = 0.1, 1200.0
HELD = BEHIND % (
    "",
    f"""
    ram: {{kind: cylinder, cap: behind, rod: tank, bore: 100 mm, rod diameter: 56 mm, stroke: 1 m,
           position: 500 mm, seal friction: {SEALS} N}}
    box: {{kind: load, on: ram, load force: 400 kN}}""",
)


def at(built, z, chamber: str) -> float:
    return float(z[built.system.index[f"pressure in {chamber}"]])


@pytest.mark.parametrize("beginning", [None, 0.0, 30.0, 400.0])
def test_oil_behind_a_check_stands_where_the_check_just_shuts_whatever_it_began_with(machine, beginning) -> None:
    built = machine(TIGHT)
    th = pushed(built.system, built.theta(), "open")
    start = None
    if beginning is not None:
        start = steady(built.system, th)
        start[built.system.index["pressure in behind"]] = beginning * BAR
    z, isolated = rest(built, th, start)
    assert isolated == ["behind"]
    assert at(built, z, "behind") == pytest.approx(at(built, z, "line") - CRACKS, abs=10.0)


@pytest.mark.parametrize(("given", "stands"), [("300 bar", 300 * BAR), ("1 bar", None)])
def test_oil_trapped_at_more_than_the_check_lets_in_keeps_it(machine, given, stands) -> None:
    built = machine(TIGHT, top=f"trapped: {{behind: {given}}}\n")
    z, isolated = rest(built, pushed(built.system, built.theta(), "open"))
    assert isolated == ["behind"]
    assert at(built, z, "behind") == pytest.approx(stands or at(built, z, "line") - CRACKS, abs=10.0)


def test_oil_behind_a_check_that_leaks_back_is_not_shut_in(machine) -> None:
    built = machine(DIRTY)
    z, isolated = rest(built, pushed(built.system, built.theta(), "open"))
    assert isolated == []
    assert at(built, z, "behind") == pytest.approx(at(built, z, "line"), rel=1e-6)


def test_an_edge_is_seen_from_the_side_on_which_nothing_seems_shut(machine) -> None:
    built = machine(TIGHT)
    system, th = built.system, pushed(built.system, built.theta(), "open")
    z, _ = rest(built, th)
    behind = system.index["pressure in behind"]
    z[behind] = at(built, z, "line") - CRACKS - 1e-5  # the check lets in less oil than shows anywhere
    assert np.abs(system.scaled(z, th)[0]).max() < 1e-8
    assert isolated_chambers(system, z, th) == []
    inside, shut_in = off_edges(system, z, th, lambda beside: steady(system, th, beside))
    assert shut_in
    assert unfixed(system, free_directions(system, inside, th)) == [behind]


def test_a_load_held_within_its_seal_friction_fixes_the_pressure_all_the_same(machine) -> None:
    built = machine(HELD)
    area = math.pi / 4 * BORE**2
    z, isolated = rest(built, pushed(built.system, built.theta(), "open"))
    assert isolated == []  # 12 kN of seals would be another thing: 1.2 kN hold it within 3 bar
    least = (400e3 - SEALS) / area  # less than this, and it sinks
    assert at(built, z, "behind") == pytest.approx(least, rel=1e-4)
