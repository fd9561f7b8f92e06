"""The pressure-flow curve: each figure from its definition, on made-up arrays and on the shipped valves."""

from __future__ import annotations

import math

import numpy as np
import pytest

import oilway
from oilway.errors import ImpossibleCircuit, InputError
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.curve import POINTS, Curve, relief_curve
from oilway.study.story import hoist

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")


@pytest.fixture(scope="module")
def direct() -> Curve:
    return relief_curve(oilway.load("direct relief"))


@pytest.fixture(scope="module")
def pilot() -> Curve:
    return relief_curve(oilway.load("pilot relief"))


# -- figures by definition ------------------------------------------------------------------------------------
def made_up() -> Curve:
    """Straight branches: rising 100 + 2 q, falling 90 + 2 q, over q = 0 .. 50."""
    flows = np.linspace(0, 50, 101)
    return Curve("made up", flows, 100 + 2 * flows, 90 + 2 * flows, 5.0, 0.0)


def test_each_figure_follows_its_definition() -> None:
    curve = made_up()
    assert curve.full_flow == 50.0
    assert curve.cracking == pytest.approx(110.0)  # rising at the cracked flow
    assert curve.reseating == pytest.approx(100.0)  # falling at the cracked flow
    assert curve.full == pytest.approx(200.0)
    assert curve.override == pytest.approx(90.0)
    assert curve.override_share == pytest.approx(90 / 110)
    assert curve.hysteresis == pytest.approx(10.0)  # at half flow
    assert curve.gradient == pytest.approx(2.0)
    assert curve.over_first_opening == 0.0  # no part told


# -- the shipped valves ---------------------------------------------------------------------------------------
def test_the_direct_relief_meets_both_ends_of_its_setting(direct: Curve) -> None:
    assert direct.cracking / PSI == pytest.approx(1900, abs=0.05)
    assert direct.full / PSI == pytest.approx(2300, abs=0.05)
    assert direct.full_flow / GPM == pytest.approx(18, rel=1e-9)
    assert direct.cracked_flow / GPM == pytest.approx(0.18, rel=1e-9)
    assert direct.override / PSI == pytest.approx(400, abs=0.1)


def test_the_two_stage_relief_has_a_tenth_of_the_override(direct: Curve, pilot: Curve) -> None:
    """Trade: direct 10-30 %, two-stage a few per cent (from memory)."""
    assert 0.10 < direct.override_share < 0.30
    assert 0.0 < pilot.override_share < 0.05
    assert pilot.full / PSI == pytest.approx(2300, abs=0.05)


def test_the_pilot_opens_before_the_main_part(pilot: Curve) -> None:
    first, second = pilot.openings
    assert (first.part, second.part) == ("pilot poppet", "main part")
    assert first.pressure < second.pressure < pilot.full
    assert first.flow < second.flow < 0.01 * pilot.full_flow
    assert pilot.over_first_opening == pytest.approx(pilot.full - first.pressure)


def test_the_main_part_opens_where_the_drop_over_the_orifice_beats_spring_and_friction() -> None:
    """By hand from the file: 6 N/mm x 18 mm and 5 N of dry friction, on a 24 mm part."""
    built = oilway.load("pilot relief")
    opening = relief_curve(built).openings[1]
    state = solve_point(built, {"test pump.flow": opening.flow})
    drop = state.pressures["inlet"] - state.pressures["back chamber"]
    assert drop == pytest.approx((6e3 * 18e-3 + 5) / (math.pi / 4 * 0.024**2), rel=1e-3)
    assert state.pressures["inlet"] == pytest.approx(opening.pressure, rel=1e-6)


def test_a_part_leaves_its_seat_against_spring_and_friction(direct: Curve) -> None:
    built = oilway.load("direct relief")
    rate, turns = (float(built.parts["main spring"].values[r]) for r in ("rate", "turns"))
    preload = rate * turns * 0.75e-3
    (opening,) = direct.openings
    assert opening.pressure == pytest.approx((preload + 4) / (math.pi / 4 * 0.011**2), rel=1e-4)


def test_dry_friction_makes_it_reseat_lower(direct: Curve) -> None:
    """Twice 4 N on the 11 mm poppet, at the flow that counts as cracked; half-way the jet changes it a little."""
    twice = 2 * 4 / (math.pi / 4 * 0.011**2)
    assert direct.cracking - direct.reseating == pytest.approx(twice, rel=0.02)
    assert direct.hysteresis == pytest.approx(twice, rel=0.1)
    free = relief_curve(oilway.load("direct relief", {"poppet.dry friction": "0 N"}))
    assert free.hysteresis == pytest.approx(0.0, abs=1.0)
    assert free.reseating == pytest.approx(free.cracking, abs=1.0)


def test_pressure_rises_with_flow_and_falls_with_it(direct: Curve, pilot: Curve) -> None:
    for curve in (direct, pilot):
        assert (np.diff(curve.flows) > 0).all()
        assert (np.diff(curve.rising) > 0).all()
        assert (np.diff(curve.falling) > 0).all()
        assert (curve.rising >= curve.falling).all()
        assert curve.gradient > 0
        assert len(curve.flows) == POINTS


def test_the_gradient_at_full_flow_by_difference(direct: Curve) -> None:
    built = oilway.load("direct relief")
    low, high = (solve_point(built, {"test pump.flow": q * GPM}).pressures["inlet"] for q in (17.64, 18.0))
    assert direct.gradient == pytest.approx((high - low) / (0.36 * GPM), rel=0.01)


def test_every_point_of_the_curve_is_a_state_of_rest(direct: Curve) -> None:
    built = oilway.load("direct relief")
    for k in (10, 40, 70, 99):
        state = solve_point(built, {"test pump.flow": float(direct.flows[k])})
        assert state.pressures["inlet"] == pytest.approx(direct.rising[k], rel=1e-6)


# -- what may be asked for ------------------------------------------------------------------------------------
def test_the_flow_that_counts_as_cracked_can_be_changed(direct: Curve) -> None:
    more = relief_curve(oilway.load("direct relief"), cracked_flow=0.9 * GPM)
    assert more.cracked_flow == pytest.approx(0.9 * GPM)
    assert more.cracking > direct.cracking + 10 * PSI
    assert more.full == pytest.approx(direct.full, rel=1e-9)


def test_another_full_flow_takes_its_own_cracked_flow(direct: Curve) -> None:
    half = relief_curve(oilway.load("direct relief"), flow=9 * GPM)
    assert half.full_flow == pytest.approx(9 * GPM)
    assert half.cracked_flow == pytest.approx(0.09 * GPM)
    assert half.full == pytest.approx(np.interp(9 * GPM, direct.flows, direct.rising), rel=1e-4)


def test_back_pressure_moves_the_whole_curve(direct: Curve) -> None:
    built = oilway.load("direct relief")
    moved = relief_curve(built, point=built.point_from({"tank pressure": "100 psi"}))
    assert moved.outlet_pressure == pytest.approx(100 * PSI)
    assert (moved.rising - direct.rising) / PSI == pytest.approx(100, abs=0.6)


def test_cold_oil_raises_the_pressure_of_a_two_stage_valve(pilot: Curve) -> None:
    """Thick oil: the pilot's own passages hold back more, and the drain too."""
    built = oilway.load("pilot relief")
    cold = relief_curve(built, point=built.point_from({"oil temperature": "0 F"}))
    assert cold.full > pilot.full + PSI
    assert cold.gradient != pytest.approx(pilot.gradient, rel=1e-3)


def test_more_points_do_not_move_the_figures(direct: Curve) -> None:
    fine = relief_curve(oilway.load("direct relief"), points=300)
    for figure in ("cracking", "full", "reseating", "hysteresis"):
        assert getattr(fine, figure) == pytest.approx(getattr(direct, figure), abs=0.3 * PSI), figure


def test_a_leaking_seat_is_told_where_nothing_has_cracked() -> None:
    worn = relief_curve(oilway.load("direct relief", {"seat.worn gap": "10 um", "setting": "2300 psi at 18 gpm"}))
    assert any("leakage alone" in note for note in worn.notes)
    assert relief_curve(oilway.load("direct relief")).notes == []


def test_a_machine_is_no_valve_on_the_stand() -> None:
    with pytest.raises(InputError, match="a curve is taken of a valve that is set by"):
        relief_curve(hoist("direct-acting"))


@pytest.mark.parametrize("cracked", [0.0, -1.0, 18.0, 20.0])
def test_the_cracked_flow_lies_below_the_full_flow(cracked: float) -> None:
    with pytest.raises(InputError, match="the cracking flow lies between zero and the full flow"):
        relief_curve(oilway.load("direct relief"), cracked_flow=cracked * GPM)


def test_a_spring_at_solid_height_gives_no_curve() -> None:
    """The curve of a valve that cannot stand there is refused like its state is."""
    machine = oilway.load("direct relief", {"main spring.solid compression": "3 mm"})
    with pytest.raises(ImpossibleCircuit, match="solid height"):
        oilway.relief_curve(machine)


# -- valves with a test circuit of their own -----------------------------------------------------------------
@pytest.mark.parametrize(
    "name", ["sequence", "unloading", "counterbalance", "solenoid vented relief", "port relief"]
)
def test_a_valve_with_a_circuit_of_its_own_is_curved_as_it_is_set(name: str) -> None:
    built = oilway.load(name)
    setting = built.mounted[0].setting
    curve = oilway.relief_curve(built, flow=setting.flow, points=20)
    assert curve.full == pytest.approx(setting.pressure, abs=parse("2 psi", "pressure"))
    assert curve.cracking < curve.full


def test_a_brake_valve_is_curved_by_the_motor_on_its_stand() -> None:
    """Set to 1600 psi at 1 gpm with the inlet line at 0: read there, whatever its pump is called."""
    curve = oilway.relief_curve(oilway.load("brake"))
    assert curve.at(curve.rising, GPM) / PSI == pytest.approx(1600, abs=2)
    assert curve.notes == ["pilot port X held at 0 psi"]


@pytest.mark.parametrize(
    ("name", "notes"),
    [
        ("counterbalance", ["pilot port X held at 0 psi"]),
        ("unloading", ["pilot port X joined to where the pressure is read, as it is set"]),
        ("sequence", []),
    ],
)
def test_what_stands_at_a_remote_pilot_meanwhile_is_told(name: str, notes: list[str]) -> None:
    assert oilway.relief_curve(oilway.load(name), points=20).notes == notes


@pytest.mark.parametrize("name", ["crossover relief", "load check"])
def test_a_valve_that_no_pump_sets_has_no_such_curve(name: str) -> None:
    with pytest.raises(oilway.InputError, match=r"set by the flow of a test pump.*oilway explain shows this one"):
        oilway.relief_curve(oilway.load(name))


def test_a_reducing_valve_has_a_curve_of_its_own() -> None:
    with pytest.raises(oilway.InputError, match="does not open by pressure"):
        oilway.relief_curve(oilway.load("reducing"))


def test_a_word_that_the_other_stand_does_not_know_is_told() -> None:
    built = oilway.load("counterbalance")
    with pytest.raises(oilway.InputError, match=r"no 'pilot line\.pressure' on the stand on which"):
        oilway.relief_curve(built, point=built.point_from({"pilot line.pressure": "100 psi"}))
