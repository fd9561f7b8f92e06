"""The curve of a reducing valve: each figure by hand from its file, and from its definition."""

from __future__ import annotations

import math

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.model.catalogue import shipped_valves
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.curve import Curve
from oilway.study.reducing import ReducingCurve, reducing_curve, take_curve
from oilway.study.setting import on_setting_stand

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
AREA = math.pi / 4 * 0.01**2  # of the 10 mm sense face
FRICTION = 2.0  # N


@pytest.fixture(scope="module")
def direct() -> ReducingCurve:
    return reducing_curve(oilway.load("reducing"))


@pytest.fixture(scope="module")
def relieving() -> ReducingCurve:
    return reducing_curve(oilway.load("reducing", {"outlet": "relieving"}))


# -- figures by definition ------------------------------------------------------------------------------------
def test_each_figure_follows_its_definition() -> None:
    """Straight branches: falling 100 - q, rising 10 below it, over q = 0 .. 50."""
    flows, none = np.linspace(0, 50, 101), np.empty(0)
    curve = ReducingCurve("made up", flows, 90 - flows, 100 - flows, 20.0, 200.0, 150.0, 1.0, none, none)
    assert curve.held == 100.0
    assert curve.at_setting == pytest.approx(70.0)
    assert curve.full == pytest.approx(40.0)
    assert curve.droop == pytest.approx(60.0)
    assert curve.hysteresis == pytest.approx(10.0)
    assert curve.pushed_rise is None
    assert list(curve.branches()) == ["rising", "falling"]


# -- by hand from the file ------------------------------------------------------------------------------------
def test_held_pressure_is_what_spring_and_friction_make_on_the_sense_face() -> None:
    """No jet at no flow, the drain at 0: pressure x area = spring at that lift + dry friction, spool closing."""
    built = oilway.load("reducing")
    held = reducing_curve(built).held
    state = solve_point(on_setting_stand(built), {"consumer.flow": 0.0}, push="shut")
    # 34 N/mm (as the file says), its 3.5 mm and the turns of 1 mm, less what the lift has let go
    lift, turns = state.statuses["spool"].lift, float(built.parts["main spring"].values["turns"] or 0.0)
    by_hand = 34e3 * (3.5e-3 + turns * 1e-3 - lift)
    push = sum(e.value for e in state.forces["spool"] if e.part == "main spring")
    assert push == pytest.approx(by_hand, rel=0.02)
    assert held == pytest.approx((push + FRICTION) / AREA, rel=1e-4)


def test_hysteresis_is_twice_the_dry_friction_on_the_sense_face() -> None:
    """At the smallest flow that has moved the spool both ways, there is no jet to speak of."""
    curve = reducing_curve(oilway.load("reducing"), points=400)
    k = int(np.searchsorted(curve.flows, 0.005 * GPM))
    assert curve.falling[k] - curve.rising[k] == pytest.approx(2 * FRICTION / AREA, rel=0.01)
    assert curve.hysteresis == pytest.approx(2 * FRICTION / AREA, rel=0.1)
    free = reducing_curve(oilway.load("reducing", {"spool.dry friction": "0 N"}))
    assert free.hysteresis == pytest.approx(0.0, abs=1.0)


def test_droop_is_what_the_spring_lets_go_the_jet_and_the_friction(direct: ReducingCurve) -> None:
    """Force balances at both ends: the difference of the spring's pushes, the jet, and friction turned round."""
    stand = on_setting_stand(oilway.load("reducing"))
    held = solve_point(stand, {"consumer.flow": 0.0}, push="shut")
    full = solve_point(stand, {"consumer.flow": direct.full_flow}, push="open")

    def force(state, label: str) -> float:
        return sum(e.value for e in state.forces["spool"] if label in (e.part, e.label))

    let_go = force(held, "main spring") - force(full, "main spring")
    jet = -force(full, "flow force")
    assert jet > 0
    assert let_go > 0
    assert direct.droop == pytest.approx((let_go + jet + 2 * FRICTION) / AREA, rel=0.01)


def test_the_setting_is_met_on_rising_flow(direct: ReducingCurve) -> None:
    assert direct.at_setting / PSI == pytest.approx(600, abs=0.05)
    assert direct.setting_flow / GPM == pytest.approx(2.0)
    assert direct.full_flow / GPM == pytest.approx(6.0)  # rated
    assert direct.inlet_pressure / PSI == pytest.approx(2000)


def test_reduced_pressure_falls_as_more_is_drawn(direct: ReducingCurve) -> None:
    assert (np.diff(direct.rising) < 0).all()
    assert (np.diff(direct.falling) < 0).all()
    assert (direct.falling >= direct.rising - 1.0).all()


def test_the_two_stage_valve_droops_less(direct: ReducingCurve) -> None:
    pilot = reducing_curve(oilway.load("pilot reducing"))
    assert 0 < pilot.droop < direct.droop / 2
    # set with both parts pushed open; here the pilot closes while the spool opens, or the other way round
    assert pilot.at_setting < 800 * PSI < pilot.at(pilot.falling, pilot.setting_flow)


# -- the inlet ------------------------------------------------------------------------------------------------
def test_inlet_influence_is_the_difference_of_two_states() -> None:
    built = oilway.load("pilot reducing")
    curve = reducing_curve(built)
    assert curve.other_inlet == pytest.approx((curve.inlet_pressure + curve.at_setting) / 2)
    stand = on_setting_stand(built)
    low, high = (
        solve_point(stand, {"main line.pressure": p, "consumer.flow": curve.setting_flow}).pressures[
            "reduced line"
        ]
        for p in (curve.other_inlet, curve.inlet_pressure)
    )
    assert curve.influence == pytest.approx(low - high, abs=10.0)


def test_below_its_setting_it_reduces_nothing_and_says_so() -> None:
    built = oilway.load("reducing")
    curve = reducing_curve(built, point=built.point_from({"main line.pressure": "400 psi"}))
    assert curve.held / PSI == pytest.approx(400, abs=1)
    assert "spool stands at its stop from 0.00 gpm on and regulates no more" in curve.notes


def test_its_inlet_must_be_held() -> None:
    text = shipped_valves()["reducing"].read_text(encoding="utf-8")
    feed = """    main line: {kind: chamber, volume: 1 L}
    feed: {kind: test pump, inlet: tank, outlet: main line, flow: 9 gpm}
    spill: {kind: test load, from: main line, to: tank, load pressure: 2000 psi}"""
    text = text.replace("    main line: {kind: tank, pressure: 2000 psi}", feed)
    text = text[: text.index("    the main line is at 400 psi")] + "    at work: {consumer.flow: 2 gpm}\n"
    with pytest.raises(InputError, match="held at a pressure while its curve is taken"):
        reducing_curve(oilway.loads(text))


# -- pushed back ----------------------------------------------------------------------------------------------
def test_a_relieving_valve_lets_out_what_is_pushed_back(relieving: ReducingCurve) -> None:
    assert relieving.pushed_flows[-1] == pytest.approx(relieving.full_flow)
    assert relieving.pushed[0] == relieving.held
    assert (np.diff(relieving.pushed) > 0).all()
    assert relieving.pushed[-1] < relieving.inlet_pressure
    built = oilway.load("reducing", {"outlet": "relieving"})
    state = solve_point(built, {"consumer.flow": 0.0, "push back.flow": 6 * GPM}, push="shut")
    assert relieving.pushed[-1] == pytest.approx(state.pressures["clamp line"], rel=1e-4)


def test_a_non_relieving_valve_does_not(direct: ReducingCurve) -> None:
    assert direct.pushed.size == 0
    assert direct.notes == ["non-relieving: it does not let out what is pushed back into its outlet"]


def test_flow_pushed_back_counts_below_zero_among_the_branches(relieving: ReducingCurve) -> None:
    flows, pressures = relieving.branches()["pushed back"]
    assert flows[-1] == -relieving.full_flow
    assert pressures[-1] == relieving.pushed[-1]


# -- what may be asked for ------------------------------------------------------------------------------------
def test_a_curve_that_ends_before_the_setting_does_not_tell_it() -> None:
    curve = reducing_curve(oilway.load("reducing"), flow=1 * GPM)
    assert curve.at_setting is None
    assert curve.full_flow == pytest.approx(GPM)


def test_each_valve_gets_the_curve_it_has() -> None:
    assert isinstance(take_curve(oilway.load("direct relief"), points=20), Curve)
    assert isinstance(take_curve(oilway.load("pilot reducing"), points=20), ReducingCurve)


def test_what_has_no_meaning_is_refused() -> None:
    with pytest.raises(InputError, match="has no cracking pressure"):
        take_curve(oilway.load("reducing"), cracked_flow=GPM)
    with pytest.raises(InputError, match="nothing sets this valve by what is drawn"):
        reducing_curve(oilway.load("direct relief"))
    with pytest.raises(InputError, match="above zero"):
        reducing_curve(oilway.load("reducing"), flow=-GPM)
    with pytest.raises(InputError, match=r"rated flow: "):
        reducing_curve(oilway.load("reducing", {"rated flow": "6 psi"}))
