"""A variant's code changes with every file behind it, a valve in a valve too, and with no other file."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import CLASS, worksheet
from tests.study.shop import PLAIN

from oilway.model.catalogue import VALVES
from oilway.study.roster import Student
from oilway.study.worksheet import Worksheet, read_worksheet
from oilway.study.worksheet_draw import Drawer
from oilway.study.worksheet_files import files_behind

HEAD = """format: 1
worksheet: nested
file: machine.yaml
vary: {load: "800 psi to 1000 psi, step 50 psi"}
"""
ASKED = 'questions:\n  - {id: q, ask: a, set: {load pressure: "{load}"}, answer: pressure of line}\n'
MACHINE = """format: 1
machine: nested
parts:
  tank: {kind: tank}
  line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 10 gpm}
  load: {kind: test load, from: line, to: tank, load pressure: 900 psi}
  relief: {kind: valve, valve: outer.yaml, P: line, T: tank, setting: 1500 psi at 10 gpm}
"""
OUTER = """format: 1
valve: outer
ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}
adjuster: within.spring
parts:
  inlet: {kind: chamber}
  outlet: {kind: chamber}
  within: {kind: valve, valve: inner.yaml, P: inlet, T: outlet}
"""


@pytest.fixture
def nested(tmp_path: Path) -> Worksheet:
    """A worksheet on a machine that mounts a valve that holds a valve, each in a file of its own."""
    for name, text in (("machine", MACHINE), ("outer", OUTER), ("inner", PLAIN), ("other", PLAIN)):
        (tmp_path / f"{name}.yaml").write_text(text, encoding="utf-8")
    return worksheet(tmp_path, ASKED, HEAD)


@pytest.mark.parametrize("name", ["sheet", "machine", "outer", "inner"])
def test_an_old_print_is_not_marked_when_a_file_behind_it_changed(nested: Worksheet, name: str) -> None:
    printed = Drawer(nested).variant(Student("s"))
    path = nested.path.parent / f"{name}.yaml"
    path.write_text(path.read_text(encoding="utf-8") + "# changed\n", encoding="utf-8")
    assert Drawer(nested).printed(Student("s"), printed.code) is None


def test_other_files_change_nothing(nested: Worksheet) -> None:
    printed = Drawer(nested).variant(Student("s"))
    (nested.path.parent / "other.yaml").write_text("changed", encoding="utf-8")
    assert Drawer(nested).printed(Student("s"), printed.code) is not None


def test_a_valve_that_only_one_question_mounts_counts(nested: Worksheet) -> None:
    swapped = ASKED.replace("ask: a", "ask: a, change: {relief.valve: other.yaml}")
    assert [p.name for p in files_behind(nested)] == ["sheet.yaml", "machine.yaml", "outer.yaml", "inner.yaml"]
    with_other = worksheet(nested.path.parent, swapped, HEAD)
    assert "other.yaml" in [p.name for p in files_behind(with_other)]


def test_shipped_valves_and_the_fault_file_count() -> None:
    behind = files_behind(read_worksheet(CLASS / "hoist_relief.yaml"))
    assert VALVES / "pilot_relief.yaml" in behind
    assert behind[-1].name == "faults.yaml"
    assert len(set(behind)) == len(behind)
    assert "faults.yaml" not in [p.name for p in files_behind(read_worksheet(CLASS / "pressure_and_flow.yaml"))]
