"""Curves of the reliefs in a machine, and the point that walks along them."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway import quantity
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.study.curve import relief_curve
from oilway.study.frame import channels, frame
from oilway.study.story import examples
from oilway.study.valve_curves import Benches


def on_curve(machine: Machine, point: dict[str, float]) -> list[tuple[float, float]]:
    """Inlet pressure of each relief, and what its curve says at the flow over it."""
    state = solve_point(machine, point)
    row = dict(zip((c.name for c in channels(state)), frame(state).values, strict=True))
    return [
        (row[c.pressure], float(np.interp(-sum(row[f] for f in c.flows), c.curve.flows, c.curve.rising)))
        for c in Benches(machine).curves(state)
    ]


@pytest.mark.parametrize("valve", ["pilot relief", "direct relief", "port relief"])
@pytest.mark.parametrize("flow", [0.2, 0.6, 1.0])
def test_the_point_of_a_valve_on_its_stand_lies_on_its_curve(valve: str, flow: float) -> None:
    machine = oilway.load(valve)
    point = machine.points.get("a blow from outside, full flow over it", {}) if machine.points else {}
    name = next(n for n in machine.system.parameters if n.endswith("pump.flow"))
    full = float(machine.theta(point)[machine.system.parameters[name]])
    [(pressure, expected)] = on_curve(machine, point | {name: flow * full})
    # Straight lines between the points of the curve are off by less than a gauge shows.
    assert pressure == pytest.approx(expected, abs=quantity.parse("5 psi", "pressure"))


def test_the_point_of_a_relief_in_a_machine_lies_on_its_curve_but_for_back_pressure() -> None:
    machine = oilway.load(examples() / "tipping_hoist.yaml")
    point = machine.point_from({"load pressure": "2600 psi"})
    [(pressure, expected)] = on_curve(machine, point)
    behind = solve_point(machine, point).pressures["return line"]
    assert behind > 0
    assert pressure - behind == pytest.approx(expected, abs=quantity.parse("10 psi", "pressure"))


def test_a_curve_follows_what_was_changed_inside() -> None:
    machine = oilway.load(examples() / "tipping_hoist.yaml")
    benches = Benches(machine)
    turned = {"main relief.pilot spring.turns": 4.0}
    [before], [after] = (benches.curves(solve_point(machine, point)) for point in ({}, turned))
    alone = oilway.load("pilot relief")
    wanted = relief_curve(alone, point={"pilot spring.turns": 4.0, "oil temperature": machine.temperature})
    assert before.adjuster == "main relief.pilot spring.turns"
    assert after.curve.full == pytest.approx(wanted.full, rel=1e-3)
    assert after.curve.full < 0.8 * before.curve.full


def test_a_shared_adjuster_has_one_curve_and_a_lever_valve_none() -> None:
    vented = oilway.load("solenoid vented relief")
    assert [c.valve for c in Benches(vented).curves(solve_point(vented))] == [vented.title]
    lever = oilway.load("lever valve")
    assert Benches(lever).curves(solve_point(lever)) == []
