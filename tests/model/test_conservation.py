"""Mass, force and power of the whole hoist, added up here from the ledgers and not by the program."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest

import oilway
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State

HOIST = Path(__file__).parents[2] / "examples" / "tipping_hoist.yaml"
DIRECT = {
    "main relief.valve": "direct relief",
    "main relief.setting": "cracks 1900 psi, 2300 psi at 18 gpm",
}
POINTS = [
    {"load pressure": load, "lever": lever, "engine speed": speed}
    for load, lever, speed in product(
        ("300 psi", "1500 psi", "2200 psi", "2800 psi"), ("1", "0.4", "0"), ("2000 rpm", "800 rpm")
    )
] + [
    {"lever": "-1", "load pressure": "0 psi"},
    {"lever": "-1", "load pressure": "1200 psi"},
    {"stroke": "1200 mm"},
    {"oil temperature": "20 F"},
    {"oil temperature": "190 F", "load pressure": "2200 psi"},
]


@pytest.fixture(scope="module", params=[{}, DIRECT], ids=["two-stage", "direct"])
def hoist(request) -> Machine:
    """The shipped hoist with each of the two reliefs."""
    return oilway.load(HOIST, request.param)


@pytest.fixture(params=POINTS, ids=lambda p: ", ".join(p.values()))
def state(request, hoist: Machine) -> State:
    return solve_point(hoist, hoist.point_from(request.param))


def test_mass_closes_at_every_node(state: State) -> None:
    for chamber, entries in state.flows.items():
        if state.machine.parts[chamber].kind == "chamber":
            through = sum(abs(e.value) for e in entries)
            assert sum(e.value for e in entries) == pytest.approx(0.0, abs=1e-9 + 1e-8 * through), chamber


def test_what_leaves_one_node_reaches_the_other(state: State) -> None:
    booked: dict[tuple[str, frozenset[str]], float] = {}
    for place, entries in state.flows.items():
        for e in entries:
            if e.other in state.flows:
                key = (f"{e.part} {e.law}", frozenset((place, e.other)))
                booked[key] = booked.get(key, 0.0) + e.value
    assert booked
    assert max(map(abs, booked.values())) < 1e-12


def test_oil_of_the_tank_goes_into_cylinders_and_voids_only(state: State) -> None:
    tank = sum(e.value for e in state.flows["tank"])
    taken = sum(e.value for entries in state.flows.values() for e in entries if e.other not in state.flows)
    assert tank == pytest.approx(taken, abs=1e-8)


def test_forces_close_on_every_part(state: State) -> None:
    for part, entries in state.forces.items():
        size = sum(abs(e.value) for e in entries)
        assert sum(e.value for e in entries) == pytest.approx(0.0, abs=1e-5 + 1e-8 * size), part


def test_power_of_the_machine_closes(state: State) -> None:
    size = sum(abs(e.value) for e in state.power)
    assert size > 0
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-6 * size)


def test_no_restriction_gives_power_and_no_pressure_is_below_vacuum(state: State) -> None:
    assert min(e.value for e in state.power if e.label == "heat") >= -1e-9
    assert min(state.pressures.values()) >= 0.05e5 - 101325


def test_shaft_power_goes_into_load_heat_and_little_else(state: State) -> None:
    book: dict[str, float] = {}
    for e in state.power:
        book[e.label] = book.get(e.label, 0.0) + e.value
    shaft = -book.pop("shaft power")
    # Lowering, the load itself drives.
    driven = shaft + max(0.0, -book.get("work on the load", 0.0))
    used = book["heat"] + book["torque loss"] + max(0.0, book.get("work on the load", 0.0))
    assert used == pytest.approx(driven, rel=0.03)
