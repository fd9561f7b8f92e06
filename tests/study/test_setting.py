"""Settings by shop knowledge: the adjuster and the spring are found, or the reach is told."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.errors import ImpossibleCircuit, InputError
from oilway.model.load import read_machine, read_machine_text
from oilway.model.pool import Pool
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.setting import describe, settle
from oilway.study.story import examples

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
IN_A_MACHINE = """format: 1
machine: bench
oil: {OIL}
parts:
  tank: {kind: tank, pressure: TANK}
  line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 15 gpm}
  relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: SETTING}
"""
# A valve without jet force, seat 10 mm, whose adjuster moves a 100 N/mm spring 1 mm a turn.
PLAIN = """format: 1
valve: plain relief
ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}
adjuster: spring
cracking solves: spring.rate
parts:
  inlet: {kind: chamber}
  outlet: {kind: chamber}
  poppet: {kind: moving part, mass: 50 g, travel: 4 mm}
  face: {kind: face, on: poppet, chamber: inlet, diameter: 10 mm, pushes: open}
  back: {kind: face, on: poppet, chamber: outlet, diameter: 10 mm, pushes: shut}
  seat: {kind: poppet seat, on: poppet, from: inlet, to: outlet, diameter: 10 mm, recovered jet: 100 %}
  spring: {kind: spring, on: poppet, rate: 100 N/mm, pitch: 1 mm/turn, most turns: 20 turns}
"""
AREA = math.pi / 4 * 0.01**2


def plain(setting: str, **replaced: str) -> oilway.Machine:
    text = PLAIN + f'setting: "{setting}"\n'
    for old, new in replaced.items():
        text = text.replace(old.replace("_", " "), new)
    return oilway.loads(text, "plain.yaml")


def in_machine(setting: str, tank: str = "0 psi", oil: str = "grade: ISO VG 46") -> oilway.Machine:
    text = IN_A_MACHINE.replace("SETTING", f'"{setting}"').replace("TANK", tank).replace("OIL", oil)
    return oilway.loads(text, "bench.yaml")


# -- what is asked for is what is got -------------------------------------------------------------------------
@pytest.mark.parametrize("valve", ["direct relief", "pilot relief"])
@pytest.mark.parametrize(("pressure", "flow"), [(1200, 10), (2300, 18), (2600, 25)])
def test_a_set_valve_reads_its_setting_at_its_flow(valve: str, pressure: float, flow: float) -> None:
    built = oilway.load(valve, {"setting": f"{pressure} psi at {flow} gpm"})
    state = solve_point(built)
    assert state.at_no_pressure(state.flow_through("test pump")) / GPM == pytest.approx(flow, rel=1e-6)
    assert state.pressures["inlet"] / PSI == pytest.approx(pressure, abs=0.01)


def test_cracking_and_full_flow_pressure_are_both_met() -> None:
    built = oilway.load("direct relief", {"setting": "cracks 1500 psi, 1900 psi at 15 gpm"})
    for flow, pressure in ((0.15, 1500), (15.0, 1900)):  # cracked: 1 % of the full flow
        state = solve_point(built, {"test pump.flow": flow * GPM})
        assert state.pressures["inlet"] / PSI == pytest.approx(pressure, abs=0.01)


def test_the_flow_that_counts_as_cracked_may_be_given() -> None:
    built = oilway.load("direct relief", {"setting": "cracks 1500 psi at 1 gpm, 1900 psi at 15 gpm"})
    assert solve_point(built, {"test pump.flow": GPM}).pressures["inlet"] / PSI == pytest.approx(1500, abs=0.01)


def test_turns_by_hand() -> None:
    """Cracks when pitch x turns x rate = p A: 100 bar on 78.5 mm2 is 785.4 N, 7.854 mm, 7.854 turns."""
    built = plain("100 bar at 0.0001 L/min")
    assert built.parts["spring"].values["turns"] == pytest.approx(100e5 * AREA / 100e3 / 1e-3, rel=1e-3)


def test_spring_rate_by_hand() -> None:
    """Cracks at 100 bar, 130 bar at 40 L/min: k x = 30 bar A, x by the seat's law (2 % for its laminar share)."""
    built = plain("cracks 100 bar at 0.0001 L/min, 130 bar at 40 L/min")
    rate = float(built.parts["spring"].values["rate"])
    density = 870 * math.exp(-0.6278 / 870 * 35)
    open_area = 40e-3 / 60 / (0.77 * math.sqrt(2 * 130e5 / density))
    lift = open_area / (math.pi * 0.01 * math.sin(math.pi / 4))
    assert rate == pytest.approx(30e5 * AREA / lift, rel=0.02)
    turns = float(built.parts["spring"].values["turns"])
    assert rate * turns * 1e-3 == pytest.approx(100e5 * AREA, rel=1e-3)


def test_a_note_says_what_was_solved() -> None:
    built = oilway.load("direct relief", {"setting": "cracks 1500 psi, 1900 psi at 15 gpm"})
    (note,) = [n for n in built.notes if "solved" in n]
    assert "set to 1900 psi at 15.00 gpm, cracking 1500 psi at 0.15 gpm" in note
    assert "turns" in note
    assert "main spring.rate" in note


def test_without_a_setting_the_file_stands() -> None:
    text = PLAIN.replace("pitch: 1 mm/turn", "pitch: 1 mm/turn, turns: 5 turns")
    built = oilway.loads(text, "plain.yaml")
    assert built.parts["spring"].values["turns"] == 5.0
    assert built.notes == [n for n in built.notes if "solved" not in n]


# -- where a valve is set -------------------------------------------------------------------------------------
def test_a_setting_is_made_without_back_pressure_and_the_machine_adds_its_own() -> None:
    free, sealed = in_machine("2000 psi at 15 gpm"), in_machine("2000 psi at 15 gpm", tank="50 psi")
    assert free.parts["relief.main spring"].values["turns"] == sealed.parts["relief.main spring"].values["turns"]
    readings = [solve_point(m).pressures["line"] / PSI for m in (free, sealed)]
    assert readings[0] == pytest.approx(2000, abs=0.05)
    assert readings[1] == pytest.approx(2050, abs=0.5)


def test_a_setting_is_made_in_the_oil_of_the_machine_at_its_temperature() -> None:
    for oil in ("grade: ISO VG 32, temperature: 60 C", "grade: ISO VG 68, temperature: 20 C"):
        built = in_machine("2000 psi at 15 gpm", oil=oil)
        assert solve_point(built).pressures["line"] / PSI == pytest.approx(2000, abs=0.05)


def test_a_valve_set_warm_reads_differently_cold() -> None:
    """Trade fault 17: cold oil, pressure high at the same setting.  The adjuster is not turned by it."""
    built = oilway.load("direct relief")
    cold = solve_point(built, built.point_from({"oil temperature": "0 F"}))
    warm = solve_point(built)
    assert cold.parameter("main spring.turns") == warm.parameter("main spring.turns")
    assert cold.pressures["inlet"] > warm.pressures["inlet"] + PSI


def test_two_valves_of_a_machine_are_set_apart() -> None:
    text = (
        IN_A_MACHINE.replace("SETTING", '"2500 psi at 15 gpm"')
        .replace("TANK", "0 psi")
        .replace("OIL", "grade: ISO VG 46")
    )
    text += '  port relief: {kind: valve, valve: pilot relief, P: line, T: tank, setting: "1800 psi at 15 gpm"}\n'
    built = oilway.loads(text, "two.yaml")
    assert len([n for n in built.notes if "solved" in n]) == 2
    state = solve_point(built)
    assert state.pressures["line"] / PSI == pytest.approx(1800, abs=0.1)  # the lower of the two takes it all
    assert state.statuses["relief.poppet"].word == "seated"


def test_settling_leaves_the_machine_it_was_given_alone() -> None:
    raw = read_machine_text(PLAIN + 'setting: "100 bar at 1 L/min"\n', "plain.yaml")
    settled = settle(raw)
    assert raw.parts["spring"].values["turns"] == 0.0
    assert settled.parts["spring"].values["turns"] > 1.0
    assert settle(settled).parts["spring"].values["turns"] == pytest.approx(
        settled.parts["spring"].values["turns"], rel=1e-9
    )


# -- out of reach ---------------------------------------------------------------------------------------------
def test_out_of_reach_tells_the_reach() -> None:
    """Fully in: 20 mm x 100 N/mm = 2000 N on 78.5 mm2: 255 bar, 3693 psi; fully out what the seat drops."""
    with pytest.raises(ImpossibleCircuit, match="out of its adjuster's reach") as caught:
        plain("5000 psi at 0.001 L/min")
    assert caught.value.exit_status == 3
    assert caught.value.unknown == "spring.turns"
    assert "3693 psi fully in (20 turns)" in caught.value.hint
    assert "fully out" in caught.value.hint


def test_no_turns_are_few_enough_for_a_pressure_below_the_seats_own_drop() -> None:
    with pytest.raises(ImpossibleCircuit, match="out of its adjuster's reach") as caught:
        plain("1 psi at 100 L/min", **{"pitch:_1_mm/turn": "compression: 5 mm, pitch: 1 mm/turn"})
    assert caught.value.exit_status == 3


def test_no_spring_makes_so_small_an_override() -> None:
    """The jet alone takes more than 10 psi from cracking to 18 gpm."""
    with pytest.raises(ImpossibleCircuit, match="no spring makes it crack and pass full flow") as caught:
        oilway.load("direct relief", {"setting": "cracks 2290 psi, 2300 psi at 18 gpm"})
    assert caught.value.unknown == "main spring.rate"
    assert "the jet alone" in caught.value.hint


def test_a_cracking_pressure_needs_to_be_told_what_it_solves() -> None:
    with pytest.raises(InputError, match="its file does not say what it solves") as caught:
        oilway.load("pilot relief", {"setting": "cracks 2200 psi, 2300 psi at 18 gpm"})
    assert "give only 'PRESSURE at FLOW'" in str(caught.value)


def test_a_setting_reads_back_in_either_unit() -> None:
    setting = oilway.load("direct relief").mounted[0].setting
    assert setting is not None
    assert describe(setting) == "2300 psi at 18.00 gpm, cracking 1900 psi at 0.18 gpm"
    assert describe(setting, "metric") == "158.6 bar at 68.14 L/min, cracking 131.0 bar at 0.68 L/min"


def test_a_rate_is_found_however_far_off_the_one_in_the_file_is() -> None:
    """A setting with its cracking pressure fixes the rate, whatever spring the file had before."""
    setting = {"setting": "cracks 1900 psi, 2300 psi at 18 gpm"}
    found = [
        oilway.load("direct relief", changes={**setting, "main spring.rate": rate}).parts["main spring"].values
        for rate in ("40 N/mm", "400 N/mm", "4000 N/mm")
    ]
    for values in found[1:]:
        assert values["rate"] == pytest.approx(found[0]["rate"], rel=1e-5)
        assert values["turns"] == pytest.approx(found[0]["turns"], rel=1e-5)


def test_a_setting_solved_once_is_the_one_solved_alone() -> None:
    """Machines of one pool share what was solved on the stand; to the last digit it is what each finds alone."""
    pool, path = Pool(), examples() / "press.yaml"
    changes = [{"sequence valve.setting": f"{p} psi at 1 gpm"} for p in (1000, 1100, 1000)]
    shared = [settle(read_machine(path, dict(c), pool)) for c in changes]
    for machine, change in zip(shared, changes, strict=True):
        alone = settle(read_machine(path, dict(change)))
        assert {n: p.values for n, p in machine.parts.items()} == {n: p.values for n, p in alone.parts.items()}
        assert machine.notes == alone.notes
    turns = [m.parts["sequence valve.main spring"].values["turns"] for m in shared]
    assert turns[0] == turns[2] != turns[1]
