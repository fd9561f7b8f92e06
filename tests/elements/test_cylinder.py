"""Cylinder: speed from flow, pressure from load, friction, end stops and bypass, all by hand."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

CAP = math.pi / 4 * 80e-3**2
ROD = math.pi / 4 * (80e-3**2 - 45e-3**2)
CYLINDER = "kind: cylinder, bore: 80 mm, rod diameter: 45 mm, stroke: 500 mm"
EXTENDING = f"""
    tank: {{kind: tank}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}}
    load valve: {{kind: test load, from: line, to: tank, load pressure: 300 bar}}
    ram: {{{CYLINDER}, cap: line, rod: tank, position: 100 mm}}
    weight: {{kind: load, on: ram, load force: 50 kN}}
    """
RETRACTING = EXTENDING.replace("cap: line, rod: tank", "cap: tank, rod: line").replace("50 kN", "-50 kN")
CLOSED = f"""
    cap end: {{kind: chamber}}
    rod end: {{kind: chamber}}
    ram: {{{CYLINDER}, cap: cap end, rod: rod end, position: 100 mm, seal clearance: 20 um}}
    weight: {{kind: load, on: ram, load force: 50 kN}}
    """


def test_extending_pressure_is_load_over_cap_area(solve) -> None:
    assert solve(EXTENDING).pressures["line"] == pytest.approx(50e3 / CAP, rel=1e-9)


def test_extending_speed_is_flow_over_cap_area(solve, oil) -> None:
    state = solve(EXTENDING)
    in_line = oil.rho0 * 30e-3 / 60 / oil.rho(state.pressures["line"])  # the pump's oil, compressed
    assert state.velocities["ram"] == pytest.approx(in_line / CAP, rel=1e-9)
    assert state.velocities["ram"] == pytest.approx(30e-3 / 60 / CAP, rel=0.01)


def test_retracting_uses_the_ring_area(solve, oil) -> None:
    state = solve(RETRACTING)
    p = state.pressures["line"]
    assert p == pytest.approx(50e3 / ROD, rel=1e-9)
    assert state.velocities["ram"] == pytest.approx(-oil.rho0 * 30e-3 / 60 / oil.rho(p) / ROD, rel=1e-9)


def test_return_oil_leaves_the_other_end(solve, oil) -> None:
    state = solve(EXTENDING)
    back = next(e.value for e in state.flows["tank"] if e.part == "ram" and e.law == "area x velocity")
    assert back == pytest.approx(oil.rho0 * ROD * state.velocities["ram"], rel=1e-9)


def test_work_on_the_load_is_force_times_velocity(solve) -> None:
    state = solve(EXTENDING)
    work = next(e.value for e in state.power if e.label == "work on the load")
    assert work == pytest.approx(50e3 * state.velocities["ram"], rel=1e-12)


@pytest.mark.parametrize(
    ("parts", "position", "load", "sign"),
    [(EXTENDING, "500 mm", "load force: 50 kN", -1), (RETRACTING, "0 mm", "load force: -50 kN", 1)],
)
def test_at_the_end_of_its_stroke_it_stands_and_the_stop_takes_the_rest(
    solve, force, parts: str, position: str, load: str, sign: int
) -> None:
    state = solve(parts.replace("position: 100 mm", f"position: {position}"))
    assert state.velocities["ram"] == 0.0
    assert state.pressures["line"] == pytest.approx(300e5, rel=1e-3)  # everything goes over the load valve
    area = CAP if sign < 0 else ROD
    stop = sign * (state.pressures["line"] * area - 50e3)
    assert force(state, "ram", "end stop") == pytest.approx(stop, rel=1e-9)


def test_it_leaves_its_end_stop_the_other_way(solve) -> None:
    state = solve(EXTENDING.replace("position: 100 mm", "position: 0 mm"))
    assert state.velocities["ram"] > 0


def test_seal_friction_adds_on_the_way_out(solve) -> None:
    rubbing = EXTENDING.replace("position: 100 mm", "position: 100 mm, seal friction: 3 kN")
    assert solve(rubbing).pressures["line"] == pytest.approx(53e3 / CAP, rel=1e-9)


def test_seal_friction_holds_back_on_the_way_in(solve) -> None:
    lowering = f"""
        tank: {{kind: tank}}
        line: {{kind: chamber}}
        hole: {{kind: orifice, from: line, to: tank, diameter: 2 mm}}
        ram: {{{CYLINDER}, cap: line, rod: tank, position: 100 mm, seal friction: 3 kN}}
        weight: {{kind: load, on: ram, load force: 50 kN}}
        """
    state = solve(lowering)
    assert state.velocities["ram"] < 0
    assert state.pressures["line"] == pytest.approx(47e3 / CAP, rel=1e-9)


@pytest.mark.parametrize("bar", [94, 99, 105])
def test_inside_its_friction_it_stands_still(solve, force, bar: int) -> None:
    # 50 kN on 50.27 cm2 is 99.5 bar; 3 kN of friction hold it 6 bar to either side.
    parts = EXTENDING.replace("position: 100 mm", "position: 100 mm, seal friction: 3 kN")
    state = solve(parts.replace("load pressure: 300 bar", f"load pressure: {bar} bar"))
    assert state.velocities["ram"] == 0.0
    push = state.pressures["line"] * CAP - 50e3
    assert abs(push) < 3e3
    assert force(state, "ram", "seal friction") == pytest.approx(-push, rel=1e-6)


def test_bypass_past_the_piston_by_hand(solve, oil) -> None:
    leaking = EXTENDING.replace(
        "position: 100 mm", "position: 500 mm, seal clearance: 20 um, piston length: 40 mm"
    )
    state = solve(leaking)
    p = state.pressures["line"]
    by_hand = oil.mean(p, 0) * oil.gap_flow(80e-3, 20e-6, 40e-3, p)
    leak = next(-e.value for e in state.flows["line"] if e.part == "ram" and e.law == "annular gap law")
    assert leak == pytest.approx(by_hand, rel=1e-9)


def test_tight_seals_leak_exactly_nothing(solve) -> None:
    state = solve(EXTENDING.replace("position: 100 mm", "position: 500 mm"))
    assert [e.value for e in state.flows["line"] if e.law == "annular gap law"] == [0.0]


def test_both_ports_shut_a_leaking_piston_raises_the_pressure_and_holds(solve) -> None:
    # Common practice: with both ports truly shut the load hangs on force over rod cross-section, and stays up.
    state = solve(CLOSED)
    assert state.pressures["cap end"] == pytest.approx(50e3 / (CAP - ROD), rel=1e-6)
    assert state.pressures["rod end"] == pytest.approx(state.pressures["cap end"], rel=1e-6)
    assert state.velocities["ram"] == pytest.approx(0.0, abs=1e-9)


def test_blocked_rod_port_intensifies_by_the_ratio_of_areas(solve) -> None:
    # CK35 (statics): p2 = p1 A1 / A2 without load.
    state = solve(f"""
        tank: {{kind: tank}}
        line: {{kind: chamber}}
        rod end: {{kind: chamber}}
        pump: {{kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}}
        load valve: {{kind: test load, from: line, to: tank, load pressure: 100 bar}}
        ram: {{{CYLINDER}, cap: line, rod: rod end, position: 100 mm}}
        """)
    assert state.pressures["rod end"] == pytest.approx(state.pressures["line"] * CAP / ROD, rel=1e-9)
    assert state.velocities["ram"] == pytest.approx(0.0, abs=1e-9)


def test_above_its_rating_is_reported(solve) -> None:
    state = solve(EXTENDING.replace("position: 100 mm", "position: 100 mm, rated pressure: 90 bar"))
    assert {f.part for f in state.findings} == {"ram"}


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("rod diameter: 45 mm", "rod diameter: 80 mm", "rod diameter is not smaller than the bore"),
        ("position: 100 mm", "position: 501 mm", "position lies beyond the stroke"),
    ],
)
def test_contradictions_are_told_with_their_line(machine, old: str, new: str, what: str) -> None:
    with pytest.raises(InputError, match=rf"^circuit.yaml:9: ram: {what}"):
        machine(EXTENDING.replace(old, new))
