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
