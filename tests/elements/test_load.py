"""Load: as a force or as the pressure it makes, never both."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

CAP = math.pi / 4 * 80e-3**2
PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}
    ram: {kind: cylinder, cap: line, rod: tank, bore: 80 mm, rod diameter: 45 mm, stroke: 500 mm}
    weight: {kind: load, on: ram, LOAD}
    """


def with_load(load: str) -> str:
    return PARTS.replace("LOAD", load)


def test_a_force_and_the_pressure_it_makes_are_the_same_load(solve) -> None:
    by_force = solve(with_load(f"load force: {150e5 * CAP:.9f} N"))
    by_pressure = solve(with_load("load pressure: 150 bar"))
    assert by_pressure.pressures["line"] == pytest.approx(150e5, rel=1e-9)
    assert by_force.pressures["line"] == pytest.approx(150e5, rel=1e-9)
    assert by_force.velocities == pytest.approx(by_pressure.velocities, rel=1e-9)


def test_an_operating_point_in_one_replaces_the_other(solve) -> None:
    state = solve(with_load("load force: 90 kN"), {"load pressure": "120 bar"})
    assert state.pressures["line"] == pytest.approx(120e5, rel=1e-9)
    state = solve(with_load("load pressure: 120 bar"), {"load force": "90 kN"})
    assert state.pressures["line"] == pytest.approx(90e3 / CAP, rel=1e-9)


def test_mass_alone_makes_no_pressure_at_rest(solve) -> None:
    state = solve(with_load("mass: 9000 kg"))
    assert state.pressures["line"] == pytest.approx(0.0, abs=1.0)


def test_its_pull_stands_in_the_force_ledger(solve, force) -> None:
    assert force(solve(with_load("load force: 50 kN")), "ram", "load") == -50e3


def test_two_loads_add(solve) -> None:
    second = "    second: {kind: load, on: ram, load force: 30 kN}\n"
    both = f"{with_load('load force: 20 kN').rstrip()}\n{second}"
    assert solve(both).pressures["line"] == pytest.approx(50e3 / CAP, rel=1e-9)


def test_force_and_pressure_together_are_refused(machine) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:9: weight: give the load force or the load pressure"):
        machine(with_load("load force: 20 kN, load pressure: 100 bar"))
    with pytest.raises(InputError, match="says again what 'load force' has said"):
        machine(with_load("mass: 1 kg")).point_from({"load force": "20 kN", "load pressure": "100 bar"})
