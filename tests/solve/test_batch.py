"""Many sets side by side: the same answers as one by one, and failures by name."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.solve.batch import marches, over_cores, rests
from oilway.solve.curve import march
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.study.sweep import on_its_stand

SETS = 60


@pytest.fixture(scope="module", params=["pilot relief", "direct relief", "counterbalance"])
def spread(request: pytest.FixtureRequest):
    """A valve on its stand, parameters of sets about its own, and its own rest."""
    machine = on_its_stand(oilway.load(request.param), {})[0]
    system, th = machine.system, pushed(machine.system, machine.theta(), "open")
    sets, draw = np.tile(th, (SETS, 1)), np.random.default_rng(3)
    for name, k in system.parameters.items():
        if name.rpartition(".")[2] in ("rate", "compression", "turns", "viscosity"):
            sets[:, k] *= draw.uniform(0.9, 1.1, SETS)
    return machine, sets, steady(system, th)


def test_rests_are_those_of_single_solves(spread) -> None:
    machine, sets, start = spread
    found = rests(machine.system, sets, start)
    assert not found.failures
    assert found.solved.all()
    one = np.array([steady(machine.system, th, start) for th in sets])
    assert np.ptp(one[:, machine.system.index[f"pressure in {machine.set_by[0]}"]]) > 1e5
    np.testing.assert_allclose(found.z / machine.system.scale, one / machine.system.scale, atol=1e-8)


def test_without_a_start_the_first_set_is_found_cold(spread) -> None:
    machine, sets, _ = spread
    np.testing.assert_allclose(rests(machine.system, sets[:3]).z[0], steady(machine.system, sets[0]), rtol=1e-9)


def test_a_march_remembers_friction_as_a_single_one_does(spread) -> None:
    machine, sets, _ = spread
    flows = np.linspace(0.1, 1.0, 5) * machine.theta()[machine.system.parameters[machine.set_by[1]]]
    flows = [*flows, *flows[::-1]]
    first = sets[:8].copy()
    first[:, machine.system.parameters[machine.set_by[1]]] = flows[0]
    starts = rests(machine.system, first).z
    found = marches(machine.system, sets[:8], machine.set_by[1], flows, starts)
    assert not found.failures
    for k in range(8):
        one = np.array(march(machine.system, sets[k], machine.set_by[1], flows, starts[k]))
        np.testing.assert_allclose(
            found.z[k] / machine.system.scale, one / machine.system.scale, atol=1e-8, err_msg=str(k)
        )


def test_a_set_that_cannot_rest_is_named_and_the_others_are_there(machine) -> None:
    built = machine("""
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 L/min}
    hole: {kind: orifice, from: line, to: tank, diameter: 2 mm}
    """)
    system = built.system
    sets = np.tile(built.theta(), (5, 1))
    sets[3, system.parameters["hole.diameter"]] = 0.0
    found = rests(system, sets, steady(system, sets[0]))
    assert [f.index for f in found.failures] == [3]
    assert "dead-headed" in str(found.failures[0])
    assert str(found.failures[0]).startswith("set 3: ")
    assert found.solved.tolist() == [True, True, True, False, True]
    assert np.isnan(found.z[3]).all()
    through = marches(system, sets, "pump.flow", [1e-4, 2e-4], found.z[0])
    assert [f.index for f in through.failures] == [3]
    assert np.isnan(through.z[3]).all()
    assert np.isfinite(np.delete(through.z, 3, axis=0)).all()


@pytest.mark.parametrize("sets", [1, 7, 1201])
def test_cores_take_every_set_once(sets: int) -> None:
    taken = np.zeros(sets, dtype=int)

    def work(part: slice) -> None:
        taken[part] += 1

    over_cores(work, sets)
    assert (taken == 1).all()
