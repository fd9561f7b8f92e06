"""Hose: the drop of a line, and what it stores: its oil and its swelling, half at each end."""

from __future__ import annotations

import math

import pytest

from oilway.solve.point import solve_point

HOSE = "length: 10 m, diameter: 20 mm, wall modulus: 280 MPa"
PARTS = f"""
    tank: {{kind: tank}}
    near end: {{kind: chamber, volume: 1 mm3}}
    far end: {{kind: chamber, volume: 1 mm3}}
    pump: {{kind: test pump, inlet: tank, outlet: near end, flow: 60 L/min}}
    load valve: {{kind: test load, from: far end, to: tank, load pressure: 0.5 bar}}
    hose: {{kind: hose, from: near end, to: far end, {HOSE}}}
    """
VOLUME = math.pi / 4 * 20e-3**2 * 10


def test_it_drops_what_a_line_drops(solve) -> None:
    hose = PARTS.replace(", volume: 1 mm3", "")
    line = hose.replace("kind: hose", "kind: line").replace(", wall modulus: 280 MPa", "")
    assert solve(hose).pressures == pytest.approx(solve(line).pressures, rel=1e-9)


def test_oil_and_wall_give_way_together(machine, oil) -> None:
    built = machine(PARTS)
    state = solve_point(built)
    storage = built.system.storage(state.z, state.th)
    # Form of CK21: 1 / Be = 1 / B oil + 1 / B wall, here 235.96 MPa of 1500 and 280.
    together = 1 / (1 / 1.5e9 + 1 / 280e6)
    assert together == pytest.approx(235.96e6, rel=1e-4)
    for end in ("near end", "far end"):
        half = oil.rho(state.pressures[end]) * VOLUME / 2 / together
        assert storage[built.system.index[f"pressure in {end}"]] == pytest.approx(half, rel=1e-6)


def test_the_oil_column_has_its_inertia(machine) -> None:
    built = machine(PARTS)
    state = solve_point(built)
    storage = built.system.storage(state.z, state.th)[built.system.index["flow in hose"]]
    assert storage == pytest.approx(10 / (math.pi / 4 * 20e-3**2))


def test_between_tanks_nothing_is_stored(between) -> None:
    state = between(f"{{kind: hose, {HOSE}}}", high="0.5 bar")
    assert state.flow_through("part") > 0


def test_above_its_rating_is_reported(solve) -> None:
    state = solve(PARTS.replace("wall modulus: 280 MPa", "rated pressure: 0.9 bar"))
    assert {f.part for f in state.findings} == {"hose"}
