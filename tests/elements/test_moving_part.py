"""Moving part: seat, stop and dry friction, each by hand; and one rest for both forms of contact."""

from __future__ import annotations

import math

import numpy as np
import pytest

import oilway
from oilway.elements.network import MOTION
from oilway.quantity import PSI
from oilway.solve.curve import march
from oilway.solve.point import solve_point
from oilway.study.run import read_change, run

AREA = math.pi / 4 * 10e-3**2
LEAST = "0.00001 gpm"
# 20 N/mm x 40 mm = 800 N on 78.54 mm2: cracks at 101.86 bar.
DIRECT = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    load: {kind: test load, from: line, to: tank, load pressure: 600 bar}
    poppet: {kind: moving part, mass: 50 g, travel: 2 mm, dry friction: 0 N}
    face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
    seat: {kind: poppet seat, on: poppet, from: line, to: tank, diameter: 10 mm}
    spring: {kind: spring, on: poppet, rate: 20 N/mm, compression: 40 mm}
    """
RUBBING = DIRECT.replace("dry friction: 0 N", "dry friction: 6 N")


def test_a_seat_force_or_a_lift_never_both(machine, force) -> None:
    built = machine(DIRECT)
    seen = set()
    for load in range(5, 400, 15):
        state = solve_point(built, built.point_from({"load pressure": f"{load} bar"}))
        status, seat = state.statuses["poppet"], force(state, "poppet", "seat")
        seen.add(status.word)
        assert seat >= 0
        assert status.lift == 0 or seat == 0
        assert status.word != "seated" or status.lift == 0.0
    assert seen == {"seated", "open"}


def test_the_seat_carries_what_the_spring_has_left(solve, force) -> None:
    state = solve(DIRECT, {"load pressure": "60 bar"})
    held = 20e3 * 40e-3 - AREA * state.pressures["line"]
    assert force(state, "poppet", "seat") == pytest.approx(held, rel=1e-9)


def test_at_the_stop_lift_is_the_travel_and_the_stop_takes_the_rest(solve, force) -> None:
    state = solve(DIRECT.replace("travel: 2 mm", "travel: 0.05 mm"))
    status = state.statuses["poppet"]
    assert (status.word, status.lift) == ("at its stop", 0.05e-3)
    others = sum(e.value for e in state.forces["poppet"] if e.label != "stop")
    assert others > 0
    assert force(state, "poppet", "stop") == pytest.approx(-others, rel=1e-9)
    spring = 20e3 * (40e-3 + 0.05e-3)
    jet = -force(state, "poppet", "flow force")
    assert others == pytest.approx(AREA * state.pressures["line"] - spring - jet, rel=1e-9)


def test_every_ledger_line_has_its_hand_value(solve, force) -> None:
    state = solve(DIRECT)
    lift, p = state.statuses["poppet"].lift, state.pressures["line"]
    assert state.statuses["poppet"].word == "open"
    by_label = {
        "pressure": AREA * p,
        "spring preload": -800.0,
        "spring rate x lift": -20e3 * lift,
        "seat": 0.0,
        "stop": 0.0,
        "dry friction": 0.0,
        "viscous friction": 0.0,
    }
    for label, value in by_label.items():
        assert force(state, "poppet", label) == pytest.approx(value, rel=1e-9, abs=1e-9), label
    assert sum(by_label.values()) + force(state, "poppet", "flow force") == pytest.approx(0.0, abs=1e-4)


def test_rising_and_falling_differ_by_twice_the_friction_over_the_area(solve) -> None:
    rising, falling = (solve(RUBBING, {"pump flow": LEAST}, push=p).pressures["line"] for p in ("open", "shut"))
    assert rising - falling == pytest.approx(2 * 6.0 / AREA, rel=1e-4)  # 1.53 bar
    assert (rising + falling) / 2 == pytest.approx(800.0 / AREA, rel=1e-4)


def marched(machine, flows):
    """Inlet pressures (Pa) over flows (m3/s) with dry friction, on the way up and on the way down."""
    system = machine.system
    th = machine.theta()
    up = march(system, th, "pump.flow", flows)
    down = march(system, th, "pump.flow", flows[::-1], start=up[-1])[::-1]
    line = system.index["pressure in line"]
    return np.array([z[line] for z in up]), np.array([z[line] for z in down])


def test_the_march_remembers_which_way_it_came(machine) -> None:
    flows = np.linspace(0.01, 1.0, 12) * 6.3e-4
    up, down = marched(machine(RUBBING), flows)
    # At equal flow q ~ x sqrt(p): spring k x falls, and the jet's force rises, by half their share per share of
    # pressure.  So 12 N = gap x (A + (k x - jet) / 2p).
    for k in (0, 5, 10):
        p = (up[k] + down[k]) / 2
        x = flows[k] / (0.77 * math.pi * 10e-3 * math.sin(math.pi / 4) * math.sqrt(2 * p / 860))
        jet = 2 * 0.77 * 0.98 * math.pi * 10e-3 * x * math.sin(math.pi / 4) * p * math.cos(math.pi / 4)
        assert up[k] - down[k] == pytest.approx(2 * 6.0 / (AREA + (20e3 * x - jet) / (2 * p)), rel=0.005)
    # Where the way turns, the last state up and the first one down are the same.
    assert up[-1] == pytest.approx(down[-1], rel=1e-9)


def test_inside_the_band_the_lift_stays_and_the_pressure_gives(machine) -> None:
    # 0.1 % less flow through the same opening is 0.2 % less pressure, 0.21 bar or 1.7 N: inside the 12 N band.
    full = 6.3e-4
    up, down = marched(machine(RUBBING), np.array([0.9, 0.999, 1.0]) * full)
    assert down[1] / down[2] == pytest.approx(0.999**2, rel=1e-4)
    assert up[1] / up[2] > 0.9995  # on the way up the same step moves the part, and the pressure hardly changes


@pytest.mark.parametrize(
    ("parts", "word"),
    [
        (DIRECT.replace("600 bar", "50 bar"), "seated"),
        (DIRECT, "open"),
        (DIRECT.replace("travel: 2 mm", "travel: 0.05 mm"), "at its stop"),
    ],
)
def test_both_forms_of_contact_rest_in_the_same_place(machine, parts: str, word: str) -> None:
    built = machine(parts)
    state = solve_point(built)
    assert state.statuses["poppet"].word == word
    system = built.system
    moving = state.th.copy()
    moving[system.parameters[MOTION]] = 1.0
    residual, _ = system.residual(state.z, moving)
    assert np.max(np.abs(residual) / system.row_scale) < 1e-9
    at_rest, in_motion = (system.ledger(state.z, th) for th in (state.th, moving))
    assert in_motion[0] == pytest.approx(at_rest[0], rel=1e-12, abs=1e-12)  # every force and every flow
    assert in_motion[1] == at_rest[1]  # the same lift, on the same side of seat and stop


def test_friction_does_not_depend_on_contact_stiffness(solve) -> None:
    soft, stiff = (
        solve(RUBBING.replace("travel: 2 mm", f"travel: 2 mm, contact stiffness: {k} N/mm"))
        for k in ("1000", "1000000")
    )
    for chamber, p in soft.pressures.items():
        assert stiff.pressures[chamber] == pytest.approx(p, rel=1e-9, abs=1e-3)


def test_viscous_friction_and_mass_do_not_move_the_rest(solve) -> None:
    light = solve(DIRECT)
    heavy = solve(DIRECT.replace("mass: 50 g", "mass: 5 kg, viscous friction: 2000 N s/m"))
    assert heavy.pressures["line"] == pytest.approx(light.pressures["line"], rel=1e-9)


def test_cracking_pressure_of_the_file_in_psi(solve) -> None:
    cracked = solve(DIRECT, {"pump flow": LEAST}).pressures["line"]
    assert cracked / PSI == pytest.approx(800 / 78.5398e-6 / 6894.757, rel=1e-4)


@pytest.mark.parametrize(("load", "lift"), [("200 psi", 0.0), ("500 psi", 0.7e-3), ("10000 psi", 0.7e-3)])
def test_a_seized_part_stands_where_it_is_whatever_pushes_it(load: str, lift: float) -> None:
    machine = oilway.load("direct relief")
    load_pressure = oilway.load("direct relief").point_from({"load pressure": load})
    state = solve_point(machine, {**load_pressure, "poppet.stuck": 1.0, "poppet.stuck at": lift})
    assert state.statuses["poppet"].lift == pytest.approx(lift, abs=1e-12)
    assert sum(e.value for e in state.forces["poppet"]) == pytest.approx(0.0, abs=1e-4)
    assert (state.flow_through("seat") > 1e-6) == (lift > 0)


def test_a_seized_part_stays_in_motion_too() -> None:
    machine = oilway.load("direct relief")
    point = {"poppet.stuck": 1.0, "poppet.stuck at": 0.7e-3}
    done = run(machine, 0.05, [read_change(machine, "0.01 s: pump flow=5 gpm")], point=point)
    lifts = done.course.states[:, done.course.names.index("lift of poppet")]
    spring = sum(e.value for e in solve_point(machine, point).forces["poppet"] if e.label.startswith("spring"))
    assert (
        max(abs(lifts - 0.7e-3)) < 1.05 * abs(spring) / 1e8
    )  # the give of the clamp: force over contact stiffness
