"""One operating point: which way friction acts, oil that is shut in, and words that are not known."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError
from oilway.solve.point import pushed, solve_point
from oilway.solve.shut_in import isolated_chambers

BAR = 1e5
# A pump that runs free to tank in neutral, and a chamber between two edges that are shut then, without clearance.
SHUT_IN = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    spool: {kind: lever, stroke: 5 mm}
    centre: {kind: spool edge, on: spool, from: line, to: tank, opens: near the middle, diameter: 20 mm,
             overlap: -1 mm}
    boom: {kind: chamber}
    way in: {kind: spool edge, on: spool, from: line, to: boom, diameter: 20 mm, overlap: 2 mm}
    way out: {kind: orifice, from: boom, to: far, diameter: 2 mm}
    far: {kind: chamber}
    end: {kind: spool edge, on: spool, from: far, to: tank, diameter: 20 mm, overlap: 2 mm}
    """


def blocked(force: str, suffix: str = "") -> str:
    """A cylinder with both ports shut under a load: 100 mm bore, 56 mm rod."""
    return f"""
    cap{suffix}: {{kind: chamber}}
    rod{suffix}: {{kind: chamber}}
    cylinder{suffix}: {{kind: cylinder, cap: cap{suffix}, rod: rod{suffix}, bore: 100 mm, rod diameter: 56 mm,
               stroke: 1 m, position: 0.5 m}}
    box{suffix}: {{kind: load, on: cylinder{suffix}, load force: {force}}}
    """


CAP, RING = math.pi / 4 * 0.1**2, math.pi / 4 * (0.1**2 - 0.056**2)
STUCK = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 1 cc/min}
    poppet: {kind: moving part, mass: 50 g, travel: 5 mm, dry friction: 10 N}
    face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
    seat: {kind: poppet seat, on: poppet, from: line, to: tank, diameter: 10 mm}
    spring: {kind: spring, on: poppet, rate: 10 N/mm, compression: 50 mm}
    """


# -- oil that is shut in ----------------------------------------------------------------------------------
def test_shut_in_oil_stands_at_no_pressure_unless_told(solve) -> None:
    state = solve(SHUT_IN)
    assert sorted(state.isolated) == ["boom", "far"]
    assert state.pressures["boom"] == pytest.approx(0.0, abs=1e-3)
    assert state.pressures["far"] == pytest.approx(0.0, abs=1e-3)


@pytest.mark.parametrize("named", ["boom", "far"])
def test_shut_in_oil_keeps_its_trapped_pressure(machine, named: str) -> None:
    built = machine(SHUT_IN, top=f"trapped: {{{named}: 70 bar}}\n")
    state = solve_point(built)
    assert sorted(state.isolated) == ["boom", "far"]
    # the two are joined by a hole through which nothing flows, so both stand at what is trapped in one
    assert state.pressures["boom"] == pytest.approx(70 * BAR, rel=1e-9)
    assert state.pressures["far"] == pytest.approx(70 * BAR, rel=1e-9)
    assert state.flow_through("way out") == pytest.approx(0.0, abs=1e-12)


def test_with_the_lever_open_nothing_is_isolated(machine) -> None:
    built = machine(SHUT_IN, top="trapped: {boom: 70 bar}\n")
    state = solve_point(built, built.point_from({"lever": "1"}))
    assert state.isolated == []
    assert 0 < state.pressures["far"] < state.pressures["boom"]
    assert abs(state.pressures["boom"] - 70 * BAR) > 10 * BAR


@pytest.mark.parametrize(
    ("trapped", "cap", "rod"),
    [
        ("", 80e3 / CAP, 0.0),
        ("trapped: {rod: 10 bar}\n", (80e3 + 10 * BAR * RING) / CAP, 10 * BAR),
        ("trapped: {cap: 150 bar}\n", 150 * BAR, (150 * BAR * CAP - 80e3) / RING),
    ],
)
@pytest.mark.parametrize("position", ["0.01 m", "0.5 m", "0.99 m"])
def test_a_blocked_cylinder_carries_its_load_over_what_is_trapped(
    machine, trapped: str, cap: float, rod: float, position: str
) -> None:
    state = solve_point(machine(blocked("80 kN").replace("0.5 m", position), top=trapped))
    assert sorted(state.isolated) == ["cap", "rod"]
    assert state.pressures["cap"] == pytest.approx(cap, rel=1e-6)
    assert state.pressures["rod"] == pytest.approx(rod, rel=1e-6, abs=1.0)
    assert state.velocities["cylinder"] == pytest.approx(0.0, abs=1e-9)
    assert state.findings == []


def test_two_blocked_cylinders_do_not_mix(machine) -> None:
    two = blocked("80 kN") + blocked("20 kN", " 2")
    state = solve_point(machine(two, top="trapped: {rod 2: 30 bar}\n"))
    assert sorted(state.isolated) == ["cap", "cap 2", "rod", "rod 2"]
    assert state.pressures["rod"] == pytest.approx(0.0, abs=1.0)
    assert state.pressures["cap"] == pytest.approx(80e3 / CAP, rel=1e-6)
    assert state.pressures["rod 2"] == pytest.approx(30 * BAR, rel=1e-6)
    assert state.pressures["cap 2"] == pytest.approx((20e3 + 30 * BAR * RING) / CAP, rel=1e-6)


def test_isolation_ends_with_the_smallest_leak(machine) -> None:
    built = machine(
        SHUT_IN.replace("diameter: 20 mm, overlap: 2 mm", "diameter: 20 mm, overlap: 2 mm, clearance: 1 um")
    )
    state = solve_point(built)
    assert state.isolated == []
    assert isolated_chambers(built.system, state.z, state.th) == []
    # both ends leak through the same gap, so the chamber stands midway between line and tank
    assert state.pressures["boom"] == pytest.approx(state.pressures["line"] / 2, rel=1e-3)


# -- dry friction ------------------------------------------------------------------------------------------
def test_pushed_open_and_pushed_shut_differ_by_twice_the_friction(solve) -> None:
    area = math.pi / 4 * 0.01**2
    opened, shut = (solve(STUCK, push=push) for push in ("open", "shut"))
    assert opened.pressures["line"] == pytest.approx((500 + 10) / area, rel=1e-4)
    assert shut.pressures["line"] == pytest.approx((500 - 10) / area, rel=1e-4)


def test_friction_acts_against_the_push(machine, force) -> None:
    built = machine(STUCK)
    for push, sign in (("open", -1), ("shut", 1)):
        assert force(solve_point(built, push=push), "poppet", "dry friction") == pytest.approx(sign * 10.0)


def test_pushing_leaves_the_parameters_alone(machine) -> None:
    built = machine(STUCK)
    th = built.theta()
    before = th.copy()
    assert not (pushed(built.system, th, "open") == th).all()
    assert (th == before).all()


# -- the point ---------------------------------------------------------------------------------------------
def test_a_parameter_that_is_not_there_is_told(machine) -> None:
    with pytest.raises(InputError, match=r"there is no parameter 'pump\.floww' in this machine"):
        solve_point(machine(STUCK), {"pump.floww": 1e-3})


def test_the_point_is_kept_with_the_state(machine) -> None:
    built = machine(STUCK, top="operating point: {pump flow: 2 cc/min}\n")
    state = solve_point(built, built.point_from({"oil temperature": "60 C"}))
    assert state.point["oil temperature"] == pytest.approx(60.0)
    assert state.point["pump.flow"] == pytest.approx(2e-6 / 60)
    assert state.parameter("pump.flow") == pytest.approx(2e-6 / 60)
