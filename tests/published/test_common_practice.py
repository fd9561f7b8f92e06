"""CP1-CP5 of the published checks: common practice, no source.  Their figures stand here and nowhere else.

Every test asserts the terms of the force ledger it rests on: preload, rate x lift, flow force, back-pressure.
"""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.solve.result import State

PSI = parse("1 psi", "pressure")
TEN = 10 * PSI
LOAD, FLOW = "test load.load pressure", "test pump.flow"

DIRECT = {"setting": "cracks 2500 psi, 3000 psi at 25 gpm", "poppet.dry friction": "0 N"}
# A main spring worth 50 psi: 30 psi of preload, the rest rate x lift and what the collar leaves of the jet.
TWO_STAGE = {
    "setting": "3000 psi at 25 gpm",
    "main spring.compression": "15.6 mm",
    "main orifice.diameter": "0.5 mm",
    "main part.dry friction": "0 N",
    "pilot poppet.dry friction": "0 N",
}


@pytest.fixture(scope="module")
def direct() -> oilway.Machine:
    return oilway.load("direct relief", DIRECT)


@pytest.fixture(scope="module")
def two_stage() -> oilway.Machine:
    return oilway.load("pilot relief", TWO_STAGE)


def force(state: State, part: str, label: str, of: str | None = None) -> float:
    """Sum of one kind of term in the force ledger of a part (N, towards open)."""
    entries = [e for e in state.forces[part] if e.label == label and of in (None, e.part)]
    assert entries, f"no term '{label}' in the ledger of {part}"
    return sum(e.value for e in entries)


def test_cp1_direct_relief_cracks_and_reaches_full_flow(direct: oilway.Machine) -> None:
    """Common practice: 3000 psi at full flow, begins to open near 2500 psi."""
    curve = oilway.relief_curve(direct)
    assert curve.cracking == pytest.approx(2500 * PSI, abs=TEN)
    assert curve.full == pytest.approx(3000 * PSI, abs=TEN)
    assert curve.openings[0].pressure == pytest.approx(2500 * PSI, abs=TEN)

    state = solve_point(direct)
    area = math.pi / 4 * 0.011**2
    preload = -force(state, "poppet", "spring preload")
    lift = -force(state, "poppet", "spring rate x lift")
    jet = -force(state, "poppet", "flow force")
    back = -force(state, "poppet", "pressure", "spring face")
    assert back == pytest.approx(0.0, abs=1e-6)
    assert preload / area == pytest.approx(2500 * PSI, abs=TEN)
    assert lift > 0
    assert jet > 0
    assert (preload + lift + jet) / area == pytest.approx(3000 * PSI, abs=TEN)
    # by hand: spring rate x lift and 2 Cd Cv A dp cos(45) with the flow area that passes 25 gpm
    dp, rho = state.pressures["inlet"], state.parameter("oil.rho0")
    opening = parse("25 gpm", "flow") / (0.77 * math.sqrt(2 * dp / rho))
    assert jet == pytest.approx(2 * 0.77 * 0.98 * opening * dp * math.cos(math.pi / 4), rel=0.02)
    rate = state.parameter("main spring.rate")
    assert lift == pytest.approx(rate * state.statuses["poppet"].lift, rel=1e-9)


def test_cp2_two_stage_relief(two_stage: oilway.Machine) -> None:
    """Common practice: set 3000 psi, main spring worth 50 psi: pilot near 2950, drop 50, override about 50."""
    curve = oilway.relief_curve(two_stage)
    pilot = next(o for o in curve.openings if o.part == "pilot poppet")
    main = next(o for o in curve.openings if o.part == "main part")
    assert curve.full == pytest.approx(3000 * PSI, abs=TEN)
    assert pilot.pressure == pytest.approx(2950 * PSI, abs=TEN)
    assert pilot.pressure < main.pressure < curve.full
    assert curve.full - pilot.pressure == pytest.approx(50 * PSI, abs=TEN)

    state = solve_point(two_stage)
    drop = state.pressures["inlet"] - state.pressures["back chamber"]
    assert drop == pytest.approx(50 * PSI, abs=TEN)
    assert state.pressures["back chamber"] == pytest.approx(2950 * PSI, abs=TEN)

    area = math.pi / 4 * 0.024**2
    terms = {
        label: -force(state, "main part", label)
        for label in ("spring preload", "spring rate x lift", "flow force")
    }
    assert terms["spring preload"] == pytest.approx(6e3 * 15.6e-3, rel=1e-9)
    assert all(value > 0 for value in terms.values())
    assert sum(terms.values()) / area == pytest.approx(drop, rel=1e-6)
    # the classroom rule counts the spring alone; the jet is what it leaves out
    assert sum(terms.values()) > terms["spring preload"] + terms["spring rate x lift"]


@pytest.mark.parametrize("load", [500, 1500, 2400])
def test_cp3_below_cracking_every_chamber_reads_the_load(
    direct: oilway.Machine, two_stage: oilway.Machine, load: int
) -> None:
    """Common practice: below cracking every chamber upstream of a closed seat reads the load pressure."""
    for machine, chambers in ((direct, ["inlet"]), (two_stage, ["inlet", "back chamber", "pilot chamber"])):
        state = solve_point(machine, {LOAD: load * PSI})
        for chamber in chambers:
            assert state.pressures[chamber] == pytest.approx(state.pressures["inlet"], abs=1.0)
            # the stand's load pushes back a little harder with flow (its steepness): 0.23 psi at 25 gpm
            assert state.pressures[chamber] == pytest.approx(load * PSI, abs=0.25 * PSI)
        assert state.pressures["outlet"] == 0.0
        assert all(s.word == "seated" for s in state.statuses.values())


def test_cp4_load_between_cracking_and_setting(direct: oilway.Machine, two_stage: oilway.Machine) -> None:
    """Common practice: 2800 psi loses oil over the direct valve and none over the two-stage."""
    over_direct = solve_point(direct, {LOAD: 2800 * PSI})
    lost = over_direct.at_no_pressure(over_direct.flow_through("seat"))
    assert 0.4 * parse("25 gpm", "flow") < lost < 0.8 * parse("25 gpm", "flow")
    over_two_stage = solve_point(two_stage, {LOAD: 2800 * PSI})
    assert over_two_stage.flow_through("main seat") == 0.0
    assert over_two_stage.flow_through("pilot seat") == 0.0


def test_cp5_orifice_flow_equals_pilot_flow_while_the_main_part_rests(two_stage: oilway.Machine) -> None:
    """Common practice: orifice flow equals pilot flow whenever the main part rests."""
    for load in (2955, 2965, 2980):
        state = solve_point(two_stage, {LOAD: load * PSI})
        assert state.statuses["pilot poppet"].word == "open"
        into_back = next(e.value for e in state.flows["back chamber"] if e.part == "main orifice")
        over_pilot = next(e.value for e in state.flows["pilot spring chamber"] if e.part == "pilot seat")
        assert into_back > 0
        assert into_back == pytest.approx(over_pilot, rel=1e-6)
