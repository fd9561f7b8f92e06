"""Accumulator: oil stored by the gas law, nothing below the precharge, a given charge delivers."""

from __future__ import annotations

import math

import pytest

from oilway.errors import ImpossibleCircuit, InputError
from oilway.solve.point import solve_point
from oilway.solve.transient import Knot, resting_states, transient

AMBIENT = 101325.0
# 10 L precharged to 100 bar absolute, as in CK47, written in gauge pressure.
ACCUMULATOR = "kind: accumulator, at: line, size: 10 L, precharge: 9898675 Pa"
FLOATING = f"""
    tank: {{kind: tank}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}}
    load valve: {{kind: test load, from: line, to: tank, load pressure: 100 bar}}
    store: {{{ACCUMULATOR}}}
    """
CAUGHT = f"""
    tank: {{kind: tank}}
    line: {{kind: chamber}}
    hole: {{kind: orifice, from: line, to: tank, diameter: 2 mm}}
    store: {{{ACCUMULATOR}, charge: 150 bar}}
    """


def stored(solve, absolute_bar: float, n: float) -> float:
    """Litres of oil in it with its gas at a pressure (bar absolute)."""
    gauge = absolute_bar * 1e5 - AMBIENT - 1e6 * 20e-3 / 60  # less what the load valve rises at 20 L/min
    exponent = FLOATING.replace("size: 10 L", f"size: 10 L, polytropic exponent: {n}")
    state = solve(exponent, {"load pressure": f"{gauge} Pa"})
    return state.readings["store"][1] * 1e3


@pytest.mark.parametrize(("n", "litres"), [(1.0, 3.3333), (1.4, 2.6839)])
def test_delivered_volume_is_the_published_one(solve, n: float, litres: float) -> None:
    # CK47: from 200 to 120 bar absolute.
    assert stored(solve, 200, n) - stored(solve, 120, n) == pytest.approx(litres, rel=1e-4)


def test_afloat_it_neither_gives_nor_takes(solve) -> None:
    state = solve(FLOATING)
    assert [e for e in state.flows["line"] if e.part == "store"] == []


def test_below_its_precharge_it_is_empty_and_stiff(machine, oil) -> None:
    built = machine(FLOATING)
    state = solve_point(built, built.point_from({"load pressure": "90 bar"}))
    assert state.readings["store"] == ("volume", 0.0)
    p = state.pressures["line"]
    storage = built.system.storage(state.z, state.th)[built.system.index["pressure in line"]]
    assert storage == pytest.approx(100e-6 * oil.rho(p) / oil.modulus, rel=1e-9)


def test_what_it_stores_per_pressure_by_hand(machine, oil) -> None:
    built = machine(FLOATING)
    state = solve_point(built, built.point_from({"load pressure": "200 bar"}))
    p = state.pressures["line"]
    gas = 10e-3 * (100e5 / (p + AMBIENT)) ** (1 / 1.4)
    # Its oil is pressed together, and its gas gives way by V / (n p).
    by_hand = oil.rho(p) * ((100e-6 + 10e-3 - gas) / oil.modulus + gas / (1.4 * (p + AMBIENT)))
    storage = built.system.storage(state.z, state.th)[built.system.index["pressure in line"]]
    assert storage == pytest.approx(by_hand, rel=1e-9)


def test_caught_at_a_charge_it_delivers(solve, oil) -> None:
    state = solve(CAUGHT)
    assert state.pressures["line"] == pytest.approx(150e5, abs=1e3)
    rho = oil.mean(150e5, 0)
    out = rho * math.pi / 4 * 4e-6 * oil.orifice_speed(2e-3, 150e5, rho)
    given = sum(e.value for e in state.flows["line"] if e.part == "store")
    assert given == pytest.approx(out, rel=1e-4)
    # Its gas does the work: pressure x flow, all of it heat in the hole but for what pressed the oil.
    book = {e.label: e.value for e in state.power if e.part == "store"}
    assert book["work on the gas"] == pytest.approx(-150e5 * out / oil.rho(150e5), rel=1e-4)


def test_in_motion_its_charge_is_not_held(machine) -> None:
    built = machine(CAUGHT)
    system, state = built.system, solve_point(built)
    row = system.index["pressure in line"]
    held = system.residual(state.z, state.th)[1][row, row]
    free = system.motion_jacobian(state.z, state.th)[row, row]
    assert held < -1e-4  # kg/s per Pa: it holds its pressure
    assert -1e-6 < free < 0  # only the hole is left


def test_charge_below_the_precharge_is_refused(machine, solve) -> None:
    with pytest.raises(InputError, match=r"circuit.yaml:8: store: charge lies below the precharge"):
        machine(CAUGHT.replace("150 bar", "90 bar"))
    with pytest.raises(ImpossibleCircuit, match="charged below its precharge"):
        solve(CAUGHT, {"accumulator charge": "90 bar"})


def test_above_its_rating_is_reported(solve) -> None:
    state = solve(CAUGHT.replace("charge: 150 bar", "charge: 150 bar, rated pressure: 140 bar"))
    assert {f.part for f in state.findings} == {"store"}


def test_alone_on_a_shut_line_it_keeps_its_trapped_pressure(machine) -> None:
    parts = f"line: {{kind: chamber}}\nstore: {{{ACCUMULATOR}}}\n"
    state = solve_point(machine(parts, "trapped: {line: 120 bar}\n"))
    assert state.isolated == ["line"]
    assert state.pressures["line"] == pytest.approx(120e5)


def test_in_motion_it_empties_through_a_hole(machine, oil) -> None:
    built = machine(CAUGHT)
    state = solve_point(built)
    course = transient(built.system, resting_states(state), [Knot(0.0, state.th), Knot(4.0, state.th)], 0.5)
    # By hand, with oil that does not give way: gas p V^1.4, the hole's flow, small steps.
    charge, size = 100e5, 10e-3
    gas = size * (charge / (150e5 + AMBIENT)) ** (1 / 1.4)
    for _ in range(4_000):
        p = charge * (size / gas) ** 1.4 - AMBIENT
        gas += 1e-3 * math.pi / 4 * 4e-6 * oil.orifice_speed(2e-3, p, oil.mean(p, 0))
    assert course.states[-1, 0] == pytest.approx(charge * (size / gas) ** 1.4 - AMBIENT, rel=1e-2)
    assert course.states[-1, 0] < 120e5
    # what a run may lose of the oil that moved, at the default tolerance
    moved = (gas - size * (charge / (150e5 + AMBIENT)) ** (1 / 1.4)) * oil.rho0
    assert abs(course.mass_left_over) < 1e-4 * moved
