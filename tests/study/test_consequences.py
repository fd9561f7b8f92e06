"""What the operator feels, worked by hand: forces at standstill, drift and its ways, stall, heat, cavitation."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.elements.chamber import AIR
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.consequences import Actuator, Felt, consequences, has_actuator, levers_of, sort_of
from oilway.study.explain import explain
from oilway.study.story import hoist

PSI, GPM, BAR, LITRE = 6894.757293168361, 231 * 0.0254**3 / 60, 1e5, 1e-3
CAP, RING = math.pi / 4 * 0.100**2, math.pi / 4 * (0.100**2 - 0.056**2)
STEM = CAP - RING

# A lever valve by hand: blocked centre, a relief on the pump line, every land of its own clearance.
LIFT = """
    tank: {kind: tank, pressure: 0 psi}
    pump line: {kind: chamber}
    cap: {kind: chamber}
    rod: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: pump line, flow: 15 gpm}
    relief: {kind: valve, valve: direct relief, P: pump line, T: tank, setting: 2000 psi at 15 gpm}
    spool: {kind: lever, stroke: 8 mm}
    P to A: {kind: spool edge, on: spool, from: pump line, to: cap, opens: as the part lifts, diameter: 20 mm,
             overlap: 2.5 mm}
    A to T: {kind: spool edge, on: spool, from: cap, to: tank, opens: as the part drops, diameter: 20 mm,
             overlap: 2.5 mm, clearance: 10 um}
    P to B: {kind: spool edge, on: spool, from: pump line, to: rod, opens: as the part drops, diameter: 20 mm,
             overlap: 2.5 mm}
    B to T: {kind: spool edge, on: spool, from: rod, to: tank, opens: as the part lifts, diameter: 20 mm,
             overlap: 2.5 mm}
    cylinder: {kind: cylinder, cap: cap, rod: rod, bore: 100 mm, rod diameter: 56 mm, stroke: 1.2 m,
               position: 0.4 m, seal friction: 500 N}
    box: {kind: load, on: cylinder, load force: 60 kN}
    """


def plus(parts: str, *more: str) -> str:
    """Parts with more of them, one a line."""
    return parts + "".join(f"{line}\n    " for line in more)


@pytest.fixture
def feel(solve):
    """``feel(parts, {"lever": "1"})``: the state and what is felt of it."""

    def run(parts: str, point: dict[str, str] | None = None):
        state = solve(parts, point)
        return state, consequences(state)

    return run


def one(felt: Felt) -> Actuator:
    (actuator,) = felt.actuators
    return actuator


# -- force ---------------------------------------------------------------------------------------------------
def test_the_force_at_standstill_is_pressure_times_area(feel) -> None:
    """Full flow over the relief is 2000 psi: on the cap area one way, on the ring the other, less 500 N."""
    _, felt = feel(LIFT, {"lever": "1"})
    out, back = one(felt).pushes
    assert (out.way, out.lever, out.now) == ("extends", 1.0, True)
    assert (back.way, back.lever, back.now) == ("retracts", -1.0, False)
    assert out.most == pytest.approx(2000 * PSI * CAP - 500, rel=1e-3)
    assert back.most == pytest.approx(2000 * PSI * RING - 500, rel=1e-3)
    assert out.spare == pytest.approx(2000 * PSI * CAP - 500 - 60e3, rel=2e-3)
    assert back.needed == pytest.approx(-60e3)  # the load helps
    assert not one(felt).stalls


@pytest.mark.parametrize(("load", "moves"), [(-50.0, True), (50.0, False)])
def test_it_is_the_load_at_which_it_just_stops(feel, load: float, moves: bool) -> None:
    """The same number by varying the load: a little below it extends, a little above it no longer does."""
    most = one(feel(LIFT, {"lever": "1"})[1]).pushes[0].most
    state, felt = feel(LIFT, {"lever": "1", "load force": f"{most + load} N"})
    assert (state.velocities["cylinder"] > 1e-6) is moves
    assert one(felt).stalls is not moves


def test_a_partly_moved_lever_is_mirrored(feel) -> None:
    places = [push.lever for push in one(feel(LIFT, {"lever": "-0.5"})[1]).pushes]
    assert places == [0.5, -0.5]
    assert [push.now for push in one(feel(LIFT, {"lever": "-0.5"})[1]).pushes] == [False, True]


def test_checks_in_the_way_do_not_hide_the_force(feel) -> None:
    """Behind a tight check the braked cap has no leak to feed; a trace past the piston keeps the check open."""
    checked = plus(
        LIFT.replace("from: pump line, to: cap, opens", "from: pump line, to: behind, opens"),
        "behind: {kind: chamber}",
        "check: {kind: check valve, from: behind, to: cap, diameter: 16 mm, cracking pressure: 5 psi, "
        "full open pressure: 12 psi}",
    ).replace("clearance: 10 um", "clearance: 0 um")
    assert one(feel(checked, {"lever": "1"})[1]).pushes[0].most == pytest.approx(1995 * PSI * CAP - 500, rel=2e-3)


def test_a_pump_that_nothing_relieves_has_no_force_and_says_why(feel) -> None:
    bare = "\n".join(line for line in LIFT.splitlines() if "relief:" not in line)
    _, felt = feel(bare, {"lever": "1"})
    assert [push.way for push in one(felt).pushes] == []
    assert any("no force at standstill" in note and "dead-headed" in note for note in one(felt).notes)


def test_a_motor_has_its_torque_both_ways(feel) -> None:
    """dp V / 2 pi less what friction takes: 1500 psi on 100 cc at 90 per cent."""
    motor = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
    relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: 1500 psi at 10 gpm}
    motor: {kind: motor, inlet: line, outlet: tank, case: tank, displacement: 100 cc/rev, inertia: 1 kg m2,
            load torque: 50 N m, volumetric efficiency: 100 %, mechanical efficiency: 90 %}
    """
    _, felt = feel(motor)
    (push,) = one(felt).pushes
    assert (push.way, push.lever, push.now) == ("forwards", None, True)
    assert push.most == pytest.approx(0.9 * 1500 * PSI * 100e-6 / (2 * math.pi), rel=1e-3)
    assert one(felt).kind == "rotation"
    assert one(felt).speed == pytest.approx(10 * GPM / 100e-6, rel=0.01)


def test_the_nearest_lever_is_its_own(machine) -> None:
    """Two functions on one pump: the return line leads to the other lever too, but not first."""
    two = plus(
        LIFT.replace("to: tank, opens", "to: return line, opens"),
        "return line: {kind: chamber}",
        "hose: {kind: line, from: return line, to: tank, length: 3 m, diameter: 25 mm}",
        "tilt spool: {kind: lever, stroke: 8 mm}",
        "tilt cap: {kind: chamber}",
        "tilt port: {kind: spool edge, on: tilt spool, from: tilt cap, to: return line, diameter: 20 mm, "
        "overlap: 2.5 mm}",
    )
    built = machine(two)
    assert levers_of(built, built.elements["cylinder"]) == ["spool"]


# -- drift ---------------------------------------------------------------------------------------------------
def test_drift_is_the_leak_over_the_area_and_all_of_it_by_the_worn_land(feel, oil) -> None:
    state, felt = feel(LIFT, {"lever": "0"})
    actuator, leak = one(felt), oil.gap_flow(0.020, 10e-6, 2.5e-3, state.pressures["cap"])
    assert actuator.neutral
    assert actuator.speed == pytest.approx(-leak / CAP, rel=0.01)
    drift = actuator.drift
    assert drift is not None
    assert drift.creeping
    assert drift.loaded == "cap"
    (way,) = drift.routes
    assert (way.parts, way.end) == (("A to T",), "tank")
    assert way.share == pytest.approx(1.0)
    assert way.flow == pytest.approx(leak, rel=0.01)
    assert drift.idle == ["relief", "cylinder"]  # neither the main relief nor the piston seal lose any


@pytest.mark.parametrize("valve", ["direct-acting", "two-stage"])
def test_in_neutral_the_main_relief_has_no_share(valve: str) -> None:
    """The truth table: lever in neutral, the spool loses the oil, to the tank and to the rod end."""
    built = hoist(valve)
    state = solve_point(built, built.point_from({"lever": "0", "load pressure": "2150 psi"}))
    drift = one(consequences(state)).drift
    assert drift is not None
    assert "main relief" in drift.idle
    assert "lever valve.load check" in drift.idle
    p, tank, rod = (state.pressures[c] for c in ("cap line", "return line", "rod line"))
    # Equal lands: one to the tank over the whole drop, two in a row to the rod end over half of theirs each.
    by_hand = {"tank": p - tank, "rod line": (p - rod) / 2}
    for route in drift.routes:
        assert route.share == pytest.approx(by_hand[route.end] / sum(by_hand.values()), rel=0.01)
        assert all(sort_of(state, part) == "spool" for part in route.parts)
    assert [route.end for route in drift.routes] == ["tank", "rod line"]
    assert one(consequences(state)).pushes  # told for the lever fully over


def test_with_the_lever_open_and_no_check_the_main_relief_takes_the_load_s_oil() -> None:
    """At idle a direct relief that has begun to crack passes more than the pump brings: the box sinks."""
    built = hoist("direct-acting", "left out")
    point = {"lever": "1", "engine speed": "800 rpm", "load pressure": "2150 psi"}
    state = solve_point(built, built.point_from(point))
    actuator = one(consequences(state))
    assert actuator.stalls
    assert actuator.drift is not None
    assert not actuator.drift.creeping
    # Behind the relief some of it fills the rod end; what slips back through the pump takes its share too.
    relief = sum(route.share for route in actuator.drift.routes if route.parts == ("main relief",))
    lost = {e.part: -e.value for e in state.flows["pump line"] if e.value < 0}
    assert relief == pytest.approx(lost["main relief.seat"] / sum(lost.values()), rel=0.01)
    assert relief > 0.9
    assert "main relief" not in actuator.drift.idle


def test_with_the_check_the_same_relief_takes_the_pump_s_oil_only() -> None:
    built = hoist("direct-acting")
    point = {"lever": "1", "engine speed": "800 rpm", "load pressure": "2150 psi"}
    felt = consequences(solve_point(built, built.point_from(point)))
    assert one(felt).stalls
    assert one(felt).drift is not None
    assert "main relief" in one(felt).drift.idle
    assert felt.pumped["pump"][0].parts == ("main relief",)


def test_a_leaking_piston_loses_to_the_other_end_only(feel, oil) -> None:
    """Rod end open to the tank: all of it goes past the piston; with the land shut tight nothing else can."""
    leaking = "seal clearance: 20 um, piston length: 60 mm"
    parts = plus(
        LIFT.replace("clearance: 10 um", "clearance: 0 um").replace("seal friction: 500 N", leaking),
        "drain: {kind: orifice, from: rod, to: tank, diameter: 6 mm}",
    )
    state, felt = feel(parts, {"lever": "0"})
    drift = one(felt).drift
    assert drift is not None
    (way,) = drift.routes
    assert (way.parts, way.end) == (("cylinder",), "rod")
    assert sort_of(state, "cylinder") == "piston seal"
    assert way.flow == pytest.approx(oil.gap_flow(0.1, 20e-6, 0.06, 60e3 / CAP), rel=0.01)


def test_a_port_relief_below_the_load_ranks_above_the_spool(feel) -> None:
    weak = plus(
        LIFT, "port relief: {kind: valve, valve: direct relief, P: cap, T: tank, setting: 1000 psi at 10 gpm}"
    )
    state, felt = feel(weak, {"lever": "0"})
    drift = one(felt).drift
    assert drift is not None
    assert drift.routes[0].parts == ("port relief",)
    assert sum(route.share for route in drift.routes) == pytest.approx(1.0, abs=2e-3)
    assert sort_of(state, "port relief") == "direct-acting relief"


def test_oil_is_followed_through_a_hose_that_loses_nothing(feel) -> None:
    """A hose between the cap and the land is on the way of all of it, but the land holds it back."""
    hosed = plus(
        LIFT.replace("from: cap, to: tank", "from: behind, to: tank"),
        "behind: {kind: chamber}",
        "bore: {kind: orifice, from: cap, to: behind, diameter: 10 mm}",
    )
    drift = one(feel(hosed, {"lever": "0"})[1]).drift
    assert drift is not None
    assert [route.parts for route in drift.routes] == [("A to T",)]


def test_task_9_a_parked_box_that_sinks(feel, oil) -> None:
    """Trade, invented: 100/56 mm, 80 kN, 25 mm in 5 min: 39 mL/min at 102 bar by the worn land; shut 325 bar."""
    flow = CAP * 25e-3 / 300
    assert flow * 60e6 == pytest.approx(39, abs=0.5)
    clearance = (flow * 12 * oil.mu * 2.5e-3 / (math.pi * 0.020 * 80e3 / CAP)) ** (1 / 3)
    worn = LIFT.replace("10 um", f"{clearance * 1e6} um").replace("60 kN", "80 kN").replace("500 N", "0 N")
    state, felt = feel(worn, {"lever": "0"})
    assert state.pressures["cap"] / BAR == pytest.approx(102, rel=0.06)  # the void in the rod end pulls with 5 bar
    drift = one(felt).drift
    assert drift is not None
    assert drift.routes[0].flow * 60e6 == pytest.approx(39, rel=0.06)
    assert one(felt).speed * 300 == pytest.approx(-25e-3, rel=0.06)
    # Both ports shut, the piston leaking: nothing drifts, and both ends climb to the force over the rod.
    shut = worn.replace(f"{clearance * 1e6} um", "0 um").replace("seal friction: 0 N", "seal clearance: 20 um")
    state, felt = feel(shut, {"lever": "0"})
    assert state.pressures["cap"] / BAR == pytest.approx(325, abs=0.5)
    assert one(felt).drift is None
    assert abs(one(felt).speed) < 1e-9


def test_a_load_let_down_by_the_lever_is_no_drift(feel) -> None:
    drift = one(feel(LIFT, {"lever": "-1"})[1]).drift
    assert drift is not None
    assert not drift.creeping
    assert drift.routes[0].parts == ("A to T",)


# -- stall ---------------------------------------------------------------------------------------------------
def test_a_stall_sends_the_pump_s_oil_over_the_relief(feel) -> None:
    _, felt = feel(LIFT, {"lever": "1", "load force": "150 kN"})
    assert one(felt).stalls
    (way,) = felt.pumped["pump"]
    assert (way.parts, way.end) == (("relief",), "tank")
    assert way.flow == pytest.approx(15 * GPM, rel=1e-3)


def test_at_its_end_stop_it_is_no_stall(feel) -> None:
    _, felt = feel(LIFT.replace("position: 0.4 m", "position: 1.2 m"), {"lever": "1"})
    assert one(felt).at_stop
    assert not one(felt).stalls


def test_oil_of_the_pump_is_shared_between_the_load_and_the_relief() -> None:
    """A direct relief close to its setting takes its share; the rest lifts the box."""
    built = hoist("direct-acting")
    state = solve_point(built, built.point_from({"lever": "1", "load pressure": "2150 psi"}))
    ways = consequences(state).pumped["pump"]
    shares = {way.parts[-1]: way.share for way in ways}
    assert sum(shares.values()) == pytest.approx(1.0, abs=2e-3)
    lifts = next(way for way in ways if way.end == "hoist cylinder")
    assert lifts.flow == pytest.approx(CAP * state.velocities["hoist cylinder"], rel=0.02)  # counted at 0 psi
    assert 11 * GPM < next(way.flow for way in ways if way.parts == ("main relief",)) < 12 * GPM


# -- heat ----------------------------------------------------------------------------------------------------
BENCH = """format: 1
machine: bench
oil: {grade: ISO VG 46, air temperature: 68 F}
parts:
  tank: {kind: tank, TANK}
  line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 gpm}
  relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: 2500 psi at 20 gpm}
"""


def bench(tank: str) -> Felt:
    return consequences(solve_point(oilway.loads(BENCH.replace("TANK", tank), "bench.yaml")))


def test_task_1_heat_over_a_relief() -> None:
    """20 gpm over 2500 psi: 2500 x 20 / 1714 = 29.2 hp, 74 200 BTU/h; 1.5 % for oil that gives way."""
    felt = bench("pressure: 0 psi")
    assert pytest.approx(29.2, abs=0.05) == 2500 * 20 / 1714
    assert felt.warming.heat == pytest.approx(parse("29.2 hp", "power"), rel=0.015)
    assert felt.warming.heat == pytest.approx(parse("74200 BTU/h", "power"), rel=0.015)
    assert felt.heat["relief"] == pytest.approx(felt.warming.heat, rel=1e-6)
    assert felt.pumped["pump"][0].parts == ("relief",)


def test_the_oil_warms_by_heat_over_mass_and_settles_by_heat_over_wall() -> None:
    """21.5 kW into 200 L of 850 kg/m3: 3.8 K a minute; 4 m2 at 30 W/m2K: 179 K over 20 C."""
    felt = bench("oil volume: 200 L, cooling area: 4 m2, heat transfer: 30 W/m2K")
    heat, warming = felt.warming.heat, felt.warming
    density = 870 * (1 - 0.000720 * (50 - 15))  # a mineral oil loses 0.07 % a kelvin (common practice)
    assert warming.rise == pytest.approx(heat / (density * 0.995 * 0.2 * 1970), rel=0.002)  # 0.5 % of it is air
    assert warming.steady == pytest.approx(20 + heat / (30 * 4), abs=0.1)
    assert warming.missing == []
    assert warming.taken == []


def test_what_the_file_does_not_say_is_named_not_guessed() -> None:
    warming = bench("pressure: 0 psi").warming
    assert (warming.rise, warming.steady) == (None, None)
    assert [("oil volume" in m, "cooling area" in m) for m in warming.missing] == [(True, False), (False, True)]
    taken = bench("cooling area: 4 m2").warming
    assert taken.rise is None
    assert taken.steady is not None
    assert taken.taken == ["heat transfer of tank 12 W/m2K"]  # the air is said in this file


def test_heat_is_what_the_shaft_brings_and_the_load_does_not_take() -> None:
    for load, lever in (("1500 psi", "1"), ("2600 psi", "1"), ("1500 psi", "-1")):
        built = hoist("two-stage")
        state = solve_point(built, built.point_from({"lever": lever, "load pressure": load}))
        into = -sum(e.value for e in state.power if e.label in ("shaft power", "work on the load"))
        felt = consequences(state)
        # what is left is stored in the oil pressed into the cap end (p / 2K of the work, and its air)
        assert felt.warming.heat == pytest.approx(into, rel=0.03)
        assert felt.warming.heat == pytest.approx(sum(felt.heat.values()))
        assert list(felt.heat.values()) == sorted(felt.heat.values(), reverse=True)


# -- cavitation ----------------------------------------------------------------------------------------------
def test_a_void_is_told_with_what_it_grows_by(feel, oil) -> None:
    """Nothing feeds the rod end in neutral: the void takes up its area times the drift."""
    state, felt = feel(LIFT, {"lever": "0"})
    (cavity,) = felt.cavities
    assert (cavity.place, cavity.what) == ("rod", AIR)
    assert cavity.pressure == pytest.approx(-96325, abs=1)
    assert cavity.void == pytest.approx(-RING * state.velocities["cylinder"], rel=1e-3)


def test_a_starved_pump_is_told(feel) -> None:
    starved = """
    tank: {kind: tank}
    suction: {kind: chamber}
    line: {kind: chamber}
    hose: {kind: orifice, from: tank, to: suction, diameter: 13 mm}
    pump: {kind: fixed pump, inlet: suction, outlet: line, displacement: 30 cc/rev, engine speed: 1800 rpm}
    load: {kind: orifice, from: line, to: tank, diameter: 5 mm}
    """
    state, felt = feel(starved)
    assert state.pressures["suction"] < -3 * PSI
    assert "pump" in [cavity.place for cavity in felt.cavities]
    assert not has_actuator(state.machine)


def test_only_what_moves_a_load_is_felt() -> None:
    assert explain(oilway.load("pilot relief"))[0].felt is None
    felt = explain(hoist("two-stage"))[0].felt
    assert felt is not None
    assert [actuator.name for actuator in felt.actuators] == ["hoist cylinder"]
