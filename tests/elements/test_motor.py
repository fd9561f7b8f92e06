"""Motor: pressure from torque, speed from flow, slip, overrunning load, standing still, all by hand."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from rich.console import Console

from oilway.solve.point import solve_point
from oilway.solve.transient import Knot, transient
from oilway.study.explain import explain
from oilway.study.export import explained_data
from oilway.text import print_explained

V = 100e-6  # m3/rev
MOTOR = """
      kind: motor
      inlet: line
      outlet: back
      case: tank
      displacement: 100 cc/rev
      inertia: 0.5 kg m2
      volumetric efficiency: 95 %
      test pressure: 140 bar
      test speed: 600 rpm
      test viscosity: 46 cSt
      case share: 40 %
      mechanical efficiency: 90 %
      load torque: 200 N m
    """
PARTS = f"""
    tank: {{kind: tank}}
    back: {{kind: tank}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 60 L/min}}
    relief: {{kind: test load, from: line, to: tank, load pressure: 300 bar}}
    swing:{MOTOR}"""
TIGHT = PARTS.replace("95 %", "100 %")
# The load drives it: oil is drawn from the tank and pressed through a hole.
OVERRUN = f"""
    tank: {{kind: tank}}
    line: {{kind: tank}}
    back: {{kind: chamber}}
    hole: {{kind: orifice, from: back, to: tank, diameter: 4 mm}}
    swing:{MOTOR.replace("200 N m", "-200 N m")}"""


def speed(state) -> float:
    """Shaft speed, rev/s."""
    kind, value = state.readings["swing"]
    assert kind == "rotation"
    return value


def book(state) -> dict[str, float]:
    """What the motor does with power, W, by label."""
    out: dict[str, float] = {}
    for e in state.power:
        if e.part == "swing":
            out[e.label] = out.get(e.label, 0.0) + e.value
    return out


def test_pressure_carries_load_and_friction(solve) -> None:
    # T = V dp / (2 pi), of which 90 % reach the shaft.
    assert solve(PARTS).pressures["line"] == pytest.approx(2 * math.pi * 200 / 0.9 / V, rel=1e-9)


def test_speed_is_flow_over_displacement(solve, oil) -> None:
    state = solve(TIGHT)
    assert speed(state) == pytest.approx(oil.rho0 * 1e-3 / oil.rho(state.pressures["line"]) / V, rel=1e-9)
    # rpm = 231 gpm / (in3/rev) (CK32), but for the compressed oil.
    assert speed(state) * 60 == pytest.approx(600, rel=0.01)


def test_slip_at_the_test_point_is_what_the_efficiency_says(solve, oil) -> None:
    at_test = (
        PARTS.replace("line: {kind: chamber}", "line: {kind: tank, pressure: 140 bar}")
        .replace("    pump: {kind: test pump, inlet: tank, outlet: line, flow: 60 L/min}\n", "")
        .replace("    relief: {kind: test load, from: line, to: tank, load pressure: 300 bar}\n", "")
    )
    state = solve(at_test, {"load torque": "210 N m"})  # of 222.8 N m: inside its friction it stands
    slip = -sum(e.value for e in state.flows["line"] if e.law == "laminar slip")
    # 95 % = V n / (V n + slip) at 10 rev/s.
    assert slip == pytest.approx(oil.mean(140e5, 0) * V * 10 * (1 / 0.95 - 1), rel=1e-9)
    across = sum(e.value for e in state.flows["back"] if e.law == "laminar slip")
    assert across == pytest.approx(0.6 * slip, rel=1e-9)
    case = sum(e.value for e in state.flows["tank"] if e.law == "laminar slip")
    assert case == pytest.approx(0.4 * slip, rel=1e-9)


def test_torques_and_power_by_hand(solve, oil) -> None:
    state = solve(TIGHT)
    torques = {e.label: e.value for e in state.torques["swing"]}
    assert torques["load"] == -200.0
    assert torques["friction"] == pytest.approx(-200 * (1 / 0.9 - 1), rel=1e-9)
    assert sum(torques.values()) == pytest.approx(0.0, abs=1e-6)
    turning, power = 2 * math.pi * speed(state), book(state)
    assert power["work on the load"] == pytest.approx(200 * turning, rel=1e-12)
    assert power["torque loss"] == pytest.approx(200 * (1 / 0.9 - 1) * turning, rel=1e-9)
    # What pressed the oil together springs back unused: rho (w1 - w0) V n - dp V n.
    p, n = state.pressures["line"], speed(state)
    assert power["heat"] == pytest.approx((oil.rho(p) * oil.work(p) - p) * V * n, rel=1e-6)
    assert 0 < power["heat"] < 0.01 * power["work on the load"]
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-3)


def test_case_and_back_pressure_count_where_they_act(solve) -> None:
    state = solve(PARTS.replace("back: {kind: tank}", "back: {kind: tank, pressure: 20 bar}"))
    assert state.pressures["line"] - 20e5 == pytest.approx(2 * math.pi * 200 / 0.9 / V, rel=1e-9)
    out = sum(e.value for e in state.flows["tank"] if e.part == "swing")
    assert out > sum(e.value for e in solve(PARTS).flows["tank"] if e.part == "swing")


def test_too_heavy_a_load_stalls_it(solve) -> None:
    state = solve(PARTS, {"load torque": "460 N m"})
    # 300 bar on 100 cc/rev is 477 N m, less a tenth: it stands, and only slip passes.
    assert speed(state) == 0.0
    assert state.pressures["line"] == pytest.approx(300e5, rel=1e-4)
    friction = next(e.value for e in state.torques["swing"] if e.label == "friction")
    oil_torque = V * state.pressures["line"] / (2 * math.pi)
    assert friction == pytest.approx(460 - oil_torque, abs=1e-6)
    assert abs(friction) < 0.1 * oil_torque


def test_an_overrunning_load_makes_a_pump_of_it(solve, oil) -> None:
    state = solve(OVERRUN)
    p, n = state.pressures["back"], speed(state)
    # Friction now helps to hold: V dp / (2 pi) = 200 / 1.1.
    assert p == pytest.approx(2 * math.pi * 200 / 1.1 / V, rel=1e-9)
    assert n > 0
    rho = oil.mean(p, 0)
    hole = rho * math.pi / 4 * 16e-6 * oil.orifice_speed(4e-3, p, rho)
    slip = V * 10 * (1 / 0.95 - 1) / 140e5 * p
    assert oil.rho0 * V * n == pytest.approx(hole + oil.mean(p, 0) * slip, rel=1e-8)
    assert book(state)["work on the load"] == pytest.approx(-200 * 2 * math.pi * n, rel=1e-12)
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-3)


def test_shut_in_it_creeps_by_its_slip_alone(solve, oil) -> None:
    held = OVERRUN.replace("    hole: {kind: orifice, from: back, to: tank, diameter: 4 mm}\n", "")
    state = solve(held)
    p = state.pressures["back"]
    slip = oil.mean(p, 0) * V * 10 * (1 / 0.95 - 1) / 140e5 * p
    assert oil.rho0 * V * speed(state) == pytest.approx(slip, rel=1e-8)


def test_it_turns_back_the_same_way(solve) -> None:
    there = solve(PARTS)
    back = solve(PARTS.replace("inlet: line", "inlet: back").replace("outlet: back", "outlet: line"),
                 {"load torque": "-200 N m"})  # fmt: skip
    assert speed(back) == pytest.approx(-speed(there), rel=1e-9)
    assert back.pressures["line"] == pytest.approx(there.pressures["line"], rel=1e-9)


def test_its_inertia_is_stored(machine) -> None:
    built = machine(PARTS)
    state = solve_point(built)
    storage = built.system.storage(state.z, state.th)[built.system.index["speed of swing"]]
    assert storage == pytest.approx(2 * math.pi * 0.5)  # N m per rev/s2


def test_above_its_rating_is_reported(solve) -> None:
    rated = PARTS.replace("case share: 40 %", "case share: 40 %\n      rated pressure: 100 bar")
    assert {f.part for f in solve(rated).findings} == {"swing"}


@pytest.mark.parametrize(("rpm", "told"), [(590, ["turns faster than its rated speed"]), (610, [])])
def test_overspeed_is_reported_either_way(solve, rpm: int, told: list[str]) -> None:
    rated = TIGHT.replace("case share: 40 %", f"case share: 40 %\n      rated speed: {rpm} rpm")
    back = rated.replace("inlet: line", "inlet: back").replace("outlet: back", "outlet: line")
    for state in (solve(rated), solve(back, {"load torque": "-200 N m"})):
        assert [f.what for f in state.findings] == told


def test_its_torques_are_told(machine, capsys) -> None:
    explained = explain(machine(PARTS))[0]
    told = explained_data(explained, "metric")["torques"]
    assert told["unit"] == "N m"
    assert sum(e["value"] for e in told["values"]["swing"]) == pytest.approx(0.0, abs=1e-6)
    print_explained(Console(width=110), [explained], "metric")
    assert re.search(r"Torques on swing.*load\s+-200\.0.*sum\s+0\.0", capsys.readouterr().out, re.S)


def test_in_motion_it_speeds_up_by_torque_over_inertia(machine) -> None:
    free = (
        TIGHT.replace("line: {kind: chamber}", "line: {kind: tank, pressure: 140 bar}")
        .replace("    pump: {kind: test pump, inlet: tank, outlet: line, flow: 60 L/min}\n", "")
        .replace("    relief: {kind: test load, from: line, to: tank, load pressure: 300 bar}\n", "")
    )
    built = machine(free)
    system, th = built.system, built.theta(built.point_from({"load torque": "100 N m"}))
    course = transient(system, np.zeros(system.size), [Knot(0.0, th), Knot(0.8, th)], 0.1)
    # V dp / (2 pi), less a tenth, less 100 N m, on 0.5 kg m2.
    torque = 0.9 * V * 140e5 / (2 * math.pi) - 100
    assert course.states[-1, 0] == pytest.approx(torque / 0.5 * 0.8 / (2 * math.pi), rel=1e-3)


def test_a_brake_adds_to_the_friction_that_holds_it(solve) -> None:
    # The load alone would drive it; without oil pressure only the brake holds.
    assert speed(solve(OVERRUN)) > 1
    held = solve(OVERRUN.replace("load torque", "brake torque: 201 N m\n      load torque"))
    assert speed(held) == 0
    assert {e.label: e.value for e in held.torques["swing"]}["friction"] == pytest.approx(-200, rel=1e-6)
    # One that slips takes its own torque, and the oil has the rest.
    slipping = solve(OVERRUN.replace("load torque", "brake torque: 50 N m\n      load torque"))
    torques = {e.label: e.value for e in slipping.torques["swing"]}
    assert abs(torques["friction"]) == pytest.approx(50 + 0.1 * abs(torques["pressure"]), rel=1e-9)
    assert abs(torques["pressure"]) == pytest.approx(150 / 1.1, rel=1e-6)


def test_a_brake_holds_it_where_both_pressures_are_equal(solve) -> None:
    held = solve(PARTS, {"load torque": "0 N m", "swing.brake torque": "1000000 N m"})
    assert speed(held) == 0
    assert held.pressures["line"] > 299e5  # all of the pump goes over the relief and through its slip
