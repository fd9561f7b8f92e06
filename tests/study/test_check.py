"""Check: what is in a file, what cannot be, what is set too high, what has no rating."""

from __future__ import annotations

import pytest

import oilway
from oilway.errors import ImpossibleCircuit
from oilway.study.check import check
from oilway.study.story import hoist

GUARDED = """
    tank: {kind: tank}
    line: {kind: chamber, rated pressure: 3000 psi}
    return: {kind: chamber}
    pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm,
           rated pressure: 3500 psi}
    relief: {kind: valve, valve: direct relief, P: line, T: return, setting: SETTING}
    hose: {kind: line, from: return, to: tank, length: 2 m, diameter: 25 mm, rated pressure: 300 psi}
    """
NO_PATH = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm}
    cap: {kind: chamber}
    rod: {kind: chamber}
    feed: {kind: orifice, from: line, to: cap, diameter: 8 mm}
    cylinder: {kind: cylinder, cap: cap, rod: rod, bore: 80 mm, rod diameter: 40 mm, stroke: 1 m}
    """


def guarded(setting: str) -> str:
    return GUARDED.replace("SETTING", setting)


def test_a_sound_circuit_has_nothing_to_tell(machine) -> None:
    checked = check(machine(guarded("2500 psi at 18 gpm")))
    assert checked.findings == []
    assert checked.counts["fixed pump"] == 1
    assert checked.counts["line"] == 1
    assert any("set to 2500 psi at 18.00 gpm" in note for note in checked.notes)


# -- no path to tank ------------------------------------------------------------------------------------------
def test_no_path_to_tank_is_impossible(machine) -> None:
    with pytest.raises(ImpossibleCircuit, match="no path to tank from pump") as caught:
        check(machine(NO_PATH))
    assert caught.value.exit_status == 3
    assert caught.value.equation == "mass balance of line"
    assert "line" in str(caught.value)
    assert "add a relief valve" in caught.value.hint


def test_a_way_through_the_pump_itself_does_not_count(machine) -> None:
    only = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm}
        """
    with pytest.raises(ImpossibleCircuit, match="no path to tank"):
        check(machine(only))


@pytest.mark.parametrize(
    "way",
    [
        "out: {kind: orifice, from: rod, to: tank, diameter: 8 mm}",
        "out: {kind: check valve, from: rod, to: tank, diameter: 8 mm}",
        "out: {kind: line, from: rod, to: tank, length: 1 m, diameter: 8 mm}",
    ],
)
def test_a_path_through_every_sort_of_passage_is_seen(machine, way: str) -> None:
    check(machine(NO_PATH + way + "\n    bypass: {kind: orifice, from: line, to: rod, diameter: 1 mm}\n    "))


# -- ratings --------------------------------------------------------------------------------------------------
def test_a_setting_above_the_lowest_rating_it_reaches_is_a_finding(machine) -> None:
    (finding,) = check(machine(guarded("3200 psi at 18 gpm"))).findings
    assert finding == "relief: set to 3200 psi, above the rated pressure of line (3000 psi)"


def test_a_setting_just_at_the_rating_is_none(machine) -> None:
    assert check(machine(guarded("3000 psi at 18 gpm"))).findings == []


def test_a_rating_in_the_return_does_not_count_for_the_pump_line(machine) -> None:
    assert not any("hose" in finding for finding in check(machine(guarded("2500 psi at 18 gpm"))).findings)


def test_parts_without_a_rating_are_listed(machine) -> None:
    assert check(machine(guarded("2500 psi at 18 gpm"))).unrated == ["return"]
    assert check(hoist("direct-acting")).unrated == ["return hose"]


def test_a_valve_on_the_stand_needs_no_rating() -> None:
    assert check(oilway.load("direct relief")).unrated == []


# -- no relief ------------------------------------------------------------------------------------------------
def test_a_pump_without_a_relief_is_a_finding(machine) -> None:
    open_centre = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 36 cc/rev, engine speed: 2000 rpm}
        way: {kind: orifice, from: line, to: tank, diameter: 10 mm}
        """
    assert check(machine(open_centre)).findings == ["pump: no relief valve stands at its outlet (line)"]


def test_a_compensator_is_no_relief_but_saves_the_pump_from_a_shut_line(machine) -> None:
    # Trade: "a compensated pump needs no relief" is a misconception (common practice).
    shut = """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: pressure-compensated pump, inlet: tank, outlet: line, case: tank, displacement: 36 cc/rev,
               engine speed: 2000 rpm, compensator setting: 2600 psi}
        """
    checked = check(machine(shut))
    assert checked.findings == ["pump: no relief valve stands at its outlet (line)"]
    assert checked.unrated == ["line", "pump"]


def test_slip_into_the_case_of_another_pump_is_no_path(machine) -> None:
    second = (
        "pump B: {kind: pressure-compensated pump, inlet: line, outlet: line, case: tank, displacement: 9 cc/rev, "
    )
    second += "engine speed: 2000 rpm, compensator setting: 2600 psi}"
    with pytest.raises(ImpossibleCircuit, match="no path to tank from pump"):
        check(machine(NO_PATH.rstrip() + "\n    " + second))


def test_the_hoist_is_protected() -> None:
    built = hoist("two-stage")
    assert check(built).findings == []
    assert next(m for m in built.mounted if m.name == "main relief").at("inlet") == "pump line"


# -- notes ----------------------------------------------------------------------------------------------------
def test_what_was_defaulted_in_the_oil_is_told() -> None:
    text = "format: 1\nmachine: m\nparts:\n  tank: {kind: tank}\n  a: {kind: chamber}\n"
    text += "  hole: {kind: orifice, from: tank, to: a, diameter: 1 mm}\n"
    notes = check(oilway.loads(text, "m.yaml")).notes
    assert notes[0] == "oil not given: taken as ISO VG 46"
    assert "viscosity index 100" in notes[1]
    assert any("oil defaults" in note for note in check(oilway.load("pilot relief")).notes)
