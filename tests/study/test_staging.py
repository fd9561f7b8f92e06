"""Settings that stand in each other's way: every flag in a machine set for it, and in one that is sound."""

from __future__ import annotations

import pytest

from oilway.study.check import check
from oilway.study.export import staging_data
from oilway.study.staging import reach, staging

BASE = """
    tank: {kind: tank}
    line: {kind: chamber}
    port line: {kind: chamber}
    return: {kind: chamber}
    way: {kind: orifice, from: line, to: port line, diameter: 8 mm}
    hose: {kind: line, from: return, to: tank, length: 1 m, diameter: 40 mm}
    main: {kind: valve, valve: pilot relief, P: line, T: return, setting: 2300 psi at 18 gpm}
    """
FIXED = "pump: {kind: test pump, inlet: tank, outlet: line, flow: 18 gpm}\n    "
PORT = "port: {kind: valve, valve: port relief, A: port line, T: return, setting: 'SET at 12 gpm'}\n    "
SEQUENCE = """second: {kind: valve, valve: sequence, P: port line, A: work, Y: tank, setting: SET at 1 gpm}
    work: {kind: chamber}
    """
PUMP = """pump: {kind: pressure-compensated pump, inlet: tank, outlet: line, case: tank, displacement: 36 cc/rev,
           engine speed: 2000 rpm, compensator setting: SET}
    """
UNLOADING = """big line: {kind: chamber}
    big: {kind: test pump, inlet: tank, outlet: big line, flow: 16 gpm}
    unloading: {kind: valve, valve: unloading, P: big line, A: line, T: return, X: line, setting: SET at 1 gpm}
    """
HELD = """
    valve line: {kind: chamber}
    rod line: {kind: chamber}
    cap: {kind: chamber}
    lever valve: {kind: valve, valve: lever valve, P: line, T: return, A: valve line, B: rod line}
    holding: {kind: valve, valve: counterbalance, L: cap, V: valve line, X: rod line, setting: SET at 0.5 gpm}
    cylinder: {kind: cylinder, cap: cap, rod: rod line, bore: 100 mm, rod diameter: 50 mm, stroke: 1 m}
    box: {kind: load, on: cylinder, load pressure: 1600 psi}
    """


@pytest.fixture
def staged(machine):
    """``staged(parts, "2500 psi")``: the staging of the base circuit with some parts more, SET filled in."""

    def run(parts: str, setting: str, pump: str = FIXED, **swap: str):
        text = BASE + pump + parts
        for old, new in swap.items():
            text = text.replace(old, new)
        return staging(machine(text.replace("SET", setting)))

    return run


# -- port relief -------------------------------------------------------------------------------------------
@pytest.mark.parametrize("setting", ["2150 psi", "2300 psi"])
def test_a_port_relief_not_above_the_main_is_flagged(staged, setting: str) -> None:
    (finding,) = staged(PORT, setting).findings
    assert finding == (
        f"port: a port relief set to {setting} at 12.00 gpm, not above main (2300 psi): it acts first, and "
        "turning main up moves nothing behind it"
    )


def test_a_port_relief_that_cracks_before_the_main_is_full_is_noted(staged) -> None:
    """The direct stage cracks well below its 2400 psi: told with its number, as no finding."""
    found = staged(PORT, "2400 psi")
    (port,) = (c for c in found.controls if c.name == "port")
    assert found.findings == []
    (note,) = found.notes
    assert note.startswith(f"port: begins to open at {port.opens / 6894.757:.0f} psi, before main")
    assert staged(PORT, "cracks 2500 psi, 2750 psi").notes == []


def test_a_port_behind_a_reducing_valve_need_not_stand_above_the_main(staged) -> None:
    """The branch never sees the main's pressure, so 1000 psi guards a branch reduced to 600 psi."""
    reducing = "way: {kind: valve, valve: reducing, P: line, A: port line, Y: tank}"
    found = staged(
        PORT,
        "cracks 750 psi, 1000 psi",
        **{"way: {kind: orifice, from: line, to: port line, diameter: 8 mm}": reducing},
    )
    assert found.findings == []


# -- compensator -------------------------------------------------------------------------------------------
def test_a_compensator_above_the_relief_is_flagged(staged) -> None:
    found = staged("", "2400 psi", PUMP)
    main = next(c for c in found.controls if c.name == "main")
    (finding,) = found.findings
    assert finding == (
        f"pump: compensator set to 2400 psi, not below the {main.opens / 6894.757:.0f} psi at which main opens: "
        "stalled, the pump does not destroke and the relief makes heat"
    )


def test_a_compensator_just_below_the_relief_is_noted_and_one_well_below_is_sound(staged) -> None:
    near = staged("", "2150 psi", PUMP)
    assert near.findings == []
    assert near.notes == [
        "pump: compensator set to 2150 psi, only 150 psi below main; 200 psi or more is common practice"
    ]
    far = staged("", "2050 psi", PUMP)
    assert (far.findings, far.notes) == ([], [])


# -- sequence ----------------------------------------------------------------------------------------------
@pytest.mark.parametrize("setting", ["2300 psi", "2350 psi"])
def test_a_sequence_valve_not_below_the_main_is_flagged(staged, setting: str) -> None:
    (finding,) = staged(SEQUENCE, setting).findings
    assert finding == (
        f"second: a sequence valve set to {setting} at 1.00 gpm, not below main (2300 psi): the second motion "
        "never starts, the oil goes over the relief"
    )


def test_a_sequence_valve_below_the_main_is_sound(staged) -> None:
    found = staged(SEQUENCE, "1200 psi")
    assert (found.findings, found.notes) == ([], [])
    close = staged(SEQUENCE, "2280 psi")  # the two-stage relief opens some 60 psi below its 2300
    assert close.findings == []
    assert "takes oil from the second motion" in close.notes[0]


# -- unloading ---------------------------------------------------------------------------------------------
def test_an_unloading_valve_above_the_relief_is_flagged(staged) -> None:
    low = {"2300 psi at 18 gpm": "600 psi at 18 gpm"}
    (finding,) = staged(UNLOADING, "650 psi", **low).findings
    assert finding == (
        "unloading: an unloading valve set to 650 psi at 1.00 gpm, not below main (600 psi): its pump never "
        "idles, and goes over the relief"
    )
    found = staged(UNLOADING, "650 psi")
    assert (found.findings, found.notes) == ([], [])


# -- counterbalance ----------------------------------------------------------------------------------------
def test_a_counterbalance_below_1_3_times_its_load_is_flagged(staged) -> None:
    """The load is 1600 psi in the cap end with the rod end at 0: 1.3 x 1600 = 2080 psi."""
    (finding,) = staged(HELD, "2070 psi").findings
    assert finding == (
        "holding: a counterbalance set to 2070 psi at 0.50 gpm, below 1.3 x the load pressure of the file "
        "(1.3 x 1600 psi = 2080 psi; common practice)"
    )
    assert staged(HELD, "2090 psi").findings == []


def test_a_counterbalance_without_a_load_is_not_judged(staged) -> None:
    found = staged(HELD, "2070 psi", **{"load pressure: 1600 psi": "load pressure: 0 psi"})
    assert found.findings == []
    assert any("its setting is not judged" in note for note in found.notes)


# -- crossover and reducing --------------------------------------------------------------------------------
def test_a_crossover_below_the_main_limits_the_motor_and_is_noted(staged) -> None:
    crossover = "cross: {kind: valve, valve: crossover relief, A: port line, B: other, T: return}\n    "
    crossover += "other: {kind: chamber}\n    "
    crossover += "turn: {kind: orifice, from: other, to: port line, diameter: 8 mm}\n    "
    found = staged(crossover, "")
    assert found.findings == []
    assert [note.partition(":")[0] for note in found.notes] == ["cross.relief A", "cross.relief B"]
    assert "set to 2050 psi at 14.00 gpm, below main (2300 psi)" in found.notes[0]


def test_a_reducing_valve_above_the_main_is_noted(staged) -> None:
    branch = "clamp: {kind: valve, valve: reducing, P: port line, A: work, Y: tank, setting: SET at 2 gpm}\n    "
    branch += "work: {kind: chamber}\n    "
    low = {"2300 psi at 18 gpm": "500 psi at 18 gpm"}
    assert staged(branch, "600 psi", **low).notes == [
        "clamp: set to 600 psi at 2.00 gpm, not below main (500 psi): it never reduces anything"
    ]
    assert staged(branch, "600 psi").notes == []


# -- ratings -----------------------------------------------------------------------------------------------
def test_what_the_oil_of_a_main_relief_reaches_must_be_rated_for_it(staged) -> None:
    rated = {"port line: {kind: chamber}": "port line: {kind: chamber, rated pressure: 2200 psi}"}
    (finding,) = staged("", "", **rated).findings
    assert finding == "main: set to 2300 psi at 18.00 gpm; its oil reaches port line, rated for 2200 psi"
    rated = {"port line: {kind: chamber}": "port line: {kind: chamber, rated pressure: 2300 psi}"}
    assert staged("", "", **rated).findings == []


def test_a_port_relief_guards_what_is_rated_lower(staged) -> None:
    rated = {"port line: {kind: chamber}": "port line: {kind: chamber, rated pressure: 2200 psi}"}
    (finding,) = staged(PORT, "2150 psi", **rated).findings  # it is below the main, and on purpose
    assert "rated" not in finding


def test_pressure_does_not_get_back_through_a_check(staged, machine) -> None:
    ahead = "ahead: {kind: chamber, rated pressure: 1000 psi}\n    "
    ahead += "check: {kind: check valve, from: ahead, to: line, diameter: 9 mm}\n    "
    ahead += "feed: {kind: test pump, inlet: tank, outlet: ahead, flow: 1 gpm}\n    "
    assert staged(ahead, "").findings == []
    built = machine(BASE + FIXED + ahead)
    assert "ahead" in reach(built, "line")
    assert "ahead" not in reach(built, "line", through_checks=False)
    assert "return" not in reach(built, "line")


def test_both_reaches_are_told_of_one_control(staged) -> None:
    rated = {
        "    line: {kind: chamber}": "    line: {kind: chamber, rated pressure: 2250 psi}",
        "port line: {kind: chamber}": "port line: {kind: chamber, rated pressure: 2200 psi}",
    }
    assert staged("", "", **rated).findings == [
        "main: set to 2300 psi, above the rated pressure of line (2250 psi)",
        "main: set to 2300 psi at 18.00 gpm; its oil reaches port line, rated for 2200 psi",
    ]


def test_a_reducing_valve_is_held_against_the_rating_of_its_outlet(staged) -> None:
    branch = (
        "clamp: {kind: valve, valve: reducing, P: port line, A: work, Y: tank, setting: 600 psi at 2 gpm}\n    "
    )
    low = "work: {kind: chamber, rated pressure: 500 psi}\n    "
    (finding,) = staged(branch + low, "").findings
    assert finding == "clamp: set to 600 psi, above the rated pressure of work (500 psi)"


@pytest.mark.parametrize("stages", [True, False])
def test_ratings_are_judged_with_the_staging_and_without_it(machine, stages: bool) -> None:
    text = (BASE + FIXED).replace(
        "    line: {kind: chamber}", "    line: {kind: chamber, rated pressure: 2250 psi}"
    )
    assert check(machine(text), stages=stages).findings == [
        "main: set to 2300 psi, above the rated pressure of line (2250 psi)"
    ]


# -- as part of a check ------------------------------------------------------------------------------------
def test_findings_are_those_of_the_check(machine) -> None:
    built = machine(BASE + FIXED + PORT.replace("SET", "2150 psi"))
    checked = check(built)
    assert checked.staging is not None
    assert checked.findings == checked.staging.findings
    assert check(built, stages=False).staging is None


@pytest.mark.parametrize("valve", ["sequence", "reducing"])
def test_a_valve_that_is_no_relief_does_not_protect_a_pump(machine, valve: str) -> None:
    parts = f"only: {{kind: valve, valve: {valve}, P: line, A: work, Y: tank}}\n    work: {{kind: chamber}}\n    "
    parts += "out: {kind: orifice, from: work, to: tank, diameter: 8 mm}\n    "
    pump = PUMP.replace(", case: tank", "").replace(", compensator setting: SET", "")
    text = (BASE + pump.replace("pressure-compensated", "fixed") + parts).replace(
        "main: {kind: valve, valve: pilot relief, P: line", "main: {kind: valve, valve: pilot relief, P: work"
    )
    assert "pump: no relief valve stands at its outlet (line)" in check(machine(text), stages=False).findings


def test_staging_as_plain_data(staged) -> None:
    data = staging_data(staged(PORT, "2150 psi"))
    assert data["controls"]["port"]["acts as"] == "port relief"
    assert data["controls"]["port"]["full"]["value"] == pytest.approx(2150, abs=0.1)
    assert len(data["findings"]) == 1
    assert data["rises"] == []
