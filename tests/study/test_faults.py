"""Faults: data read with its lines, changes of the model, and every row of the trade's table somewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.study.faults import Ramp, apply, fault_called, fault_kinds, faults_of, instrumented, read_faults
from oilway.study.story import examples

FIFTY = set(range(1, 51))
# The trade's table, row by row: what it is called here, wherever it sits.
ROWS = {
    1: {"seat worn or scored"}, 2: {"spring soft or broken"}, 3: {"stuck open"}, 4: {"stuck shut"},
    5: {"main orifice plugged"}, 6: {"main orifice partly plugged"}, 7: {"pilot seat worn"}, 8: {"main seat worn"},
    9: {"pilot spring soft or of the wrong range"}, 10: {"main spring weak or broken"},
    11: {"main part stuck open"}, 12: {"main part stuck shut"}, 13: {"vent or remote line open or leaking"},
    14: {"remote pilot set lower than the valve"}, 15: {"return line restricted", "pilot drain restricted"},
    16: {"air in the oil"}, 17: {"cold oil"}, 18: {"stuck shut"}, 19: {"stuck open"}, 20: {"check leaks"},
    21: {"drain blocked"}, 22: {"set low", "leaks past the spool"}, 23: {"set at or above the main relief"},
    24: {"drain blocked"}, 25: {"stuck open"}, 26: {"stuck shut"}, 27: {"leaks to its drain"}, 28: {"set low"},
    29: {"seat worn or dirty", "check worn or dirty"}, 30: {"set high"}, 31: {"the way out of it restricted"},
    32: {"damping orifice missing"}, 33: {"stuck shut", "stuck open", "pilot plugged"}, 34: {"set low"},
    35: {"set below the main relief"}, 36: {"seat leaks"}, 37: {"anti-cavitation check stuck shut"},
    38: {"anti-cavitation check leaks"}, 39: {"load check leaks", "seat leaks"}, 40: {"worn"},
    41: {"inlet restricted"}, 42: {"compensator set low or stuck destroked"},
    43: {"compensator above the relief or stuck on stroke"}, 44: {"worn"}, 45: {"load-sense line leaks"},
    46: {"load-sense bleed blocked"}, 47: {"margin low", "margin high"}, 48: {"piston seal leaks"},
    49: {"spool worn"}, 50: {"shows too little", "shows too much"},
}  # fmt: skip
REMOTE = """
format: 1
machine: relief with a remote pilot
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  far: {kind: chamber}
  pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 20 cc/rev, engine speed: 1800 rpm}
  main: {kind: valve, valve: pilot relief, P: line, T: tank, X: far}
  remote: {kind: valve, valve: direct relief, P: far, T: tank}
"""


def test_every_row_of_the_table_is_a_change_of_the_model() -> None:
    assert {kind.number for kind in fault_kinds()} == FIFTY
    assert all(kind.ramps and kind.why for kind in fault_kinds())


def test_every_row_has_its_faults_by_name() -> None:
    named: dict[int, set[str]] = {}
    for kind in fault_kinds():
        named.setdefault(kind.number, set()).add(kind.name)
    assert named == ROWS


def test_a_fault_that_shows_in_motion_only_says_so() -> None:
    # Row 32: a damping orifice takes no oil at rest, so no gauge of a standing machine knows of it.
    (damping,) = [kind for kind in fault_kinds() if kind.number == 32]
    assert "in motion, not at rest" in damping.why


def test_every_row_has_a_machine_that_can_have_it() -> None:
    names = [*sorted(examples().glob("*.yaml")), "load check", "port relief"]
    machines = [oilway.load(name) for name in names] + [oilway.loads(REMOTE)]
    seen = {fault.kind.number for machine in machines for fault in faults_of(instrumented(machine))}
    assert seen == FIFTY


def test_severity_runs_evenly_or_in_equal_factors() -> None:
    assert Ramp("turns", "times", 0.9, 0.5).at(0.5) == pytest.approx(0.7)
    assert Ramp("worn gap", "plus", 1e-6, 100e-6).at(0.5) == pytest.approx(10e-6)
    assert Ramp("worn gap", "plus", 1e-6, 100e-6).applied(2e-6, 0.5, 0.0) == pytest.approx(12e-6)
    assert Ramp("stuck at", "travel", 0.5, 1.0).applied(0.0, 0.0, 4e-3) == pytest.approx(2e-3)


def test_the_instrumented_machine_works_as_the_sound_one() -> None:
    sound = oilway.load(examples() / "tipping_hoist.yaml")
    ready = instrumented(sound)
    before, after = solve_point(sound), solve_point(ready)
    assert {name: after.pressures[name] for name in before.pressures} == pytest.approx(before.pressures, abs=1.0)
    assert set(ready.parts) - set(sound.parts)  # there are passages to open


def test_a_fault_put_in_works_with_every_study() -> None:
    ready = instrumented(oilway.load("pilot relief"))
    fault = fault_called(ready, "two-stage relief: main orifice plugged")
    state = solve_point(apply(ready, fault, 1.0))
    assert state.pressures["back chamber"] < 1e4  # its oil has leaked off
    # Only the main spring is left: 108 N on 452 mm2 are 2.4 bar, and the flow costs a little more.
    assert 2.4e5 < state.pressures["inlet"] < 8e5
    assert solve_point(ready).pressures["inlet"] > 100e5


def test_an_unknown_fault_is_asked_back() -> None:
    with pytest.raises(InputError, match="did you mean 'two-stage relief: pilot seat worn'"):
        fault_called(instrumented(oilway.load("pilot relief")), "two-stage relief: pilot seat torn")


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("{number: 1, fault: x, on: seet, change: {worn gap: plus 1 um to 2 um}, why: y}", "no place 'seet'"),
        ("{number: 1, fault: x, on: seat, change: {worn gap: more}, why: y}", "not of the form"),
        ("{number: 1, fault: x, on: seat, change: {worn gap: plus 1 psi to 2 psi}, why: y}", "worn gap"),
        ("{number: one, fault: x, on: seat, change: {worn gap: plus 1 um to 2 um}, why: y}", "whole number"),
        ("{number: 1, fault: x, on: seat, wy: y, change: {worn gap: plus 1 um to 2 um}, why: y}", "'wy'"),
    ],
)
def test_a_wrong_row_is_named_with_its_line(tmp_path: Path, row: str, says: str) -> None:
    file = tmp_path / "own.yaml"
    file.write_text(f"format: 1\nfaults:\n  - {row}\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"own\.yaml:3") as told:
        read_faults(file)
    assert says in str(told.value)
