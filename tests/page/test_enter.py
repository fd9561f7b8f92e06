"""Paper typed in: every entry is in its file at once; what is shown is what ``oilway mark`` says of the files."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import pytest
from tests.classroom import all_right, worksheet
from tests.study.test_entry import QUESTIONS

from oilway.errors import InputError
from oilway.mark_files import practical_verdict
from oilway.page.enter import Enter
from oilway.page.enter_keys import Keys
from oilway.study.mark_class import MarkedClass, mark_class, quantity_units
from oilway.study.marking import Marked
from oilway.study.roster import Roster, Student
from oilway.study.worksheet_draw import Drawer

ROSTER = Roster([Student("A", "Abara, Nneka"), Student("B", "Bright, Tom")])


@pytest.fixture
def enter(tmp_path: Path) -> Enter:
    sheet = worksheet(tmp_path, QUESTIONS)
    keys = Keys({units: Drawer(sheet, units) for units in quantity_units()}, "shop")
    files = (tmp_path / f"{name}.csv" for name in ("answers", "overrides", "practical"))
    return Enter(keys, ROSTER, *files, ("--worksheet", "w.yaml"))


def put(enter: Enter, name: str, *entries: tuple[str, str]) -> dict[str, Any]:
    state = enter.state(name)
    for field, typed in entries:
        state = enter.put(name, field, typed, state["was"])
    return state


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def marked(enter: Enter) -> MarkedClass:
    """What ``oilway mark`` says."""
    there = {which: path if path.exists() else None for which, path in enter.files.items()}
    sheet = enter.worksheet
    return mark_class(
        lambda u: Drawer(sheet, u), ROSTER, enter.files["answers"], there["overrides"], there["practical"]
    )


def of(found: MarkedClass, name: str) -> Marked:
    return next(each for each in found.sheets if each.variant.student.id == name)


def test_what_is_shown_is_what_mark_says(enter: Enter) -> None:
    entries = [("item/inlet", "2300p"), ("item/state", "a"), ("item/state.r1", "0.5"), ("item/steps", "213"),
               ("done/1", "y"), ("done/2", "y"), ("value/2", "2330")]  # fmt: skip
    state = put(enter, "A", *entries)
    state = enter.override("A", "steps", "1", "seen on paper", state["was"])
    found = marked(enter)
    assert found.problems == []
    sheet, shown = of(found, "A"), state["sheet"]
    assert (shown["total"], shown["most"]) == (sheet.total, sheet.most)
    told = {field["name"]: field["mark"] for field in shown["fields"]}
    for mark in sheet.marks:
        assert told[f"item/{mark.item.id}"]["said"] == mark.comment
        assert told[f"item/{mark.item.id}"]["marks"] == mark.marks
    assert told["item/steps"]["computed"] is not None
    assert shown["practical"] == practical_verdict(found.practical["A"]) == "Passed: 3 of 3"
    assert [student.id for student in found.missing] == []
    assert [s["entered"]["answers"] for s in state["students"]] == [3, 0]


def test_a_printed_list_is_filled_in_where_it_stands(enter: Enter) -> None:
    with enter.keys.turn():
        codes = {s.id: enter.keys.of(s, "").code for s in ROSTER.students}
    items = ("inlet", "state", "state.r1", "steps")
    lines = [f"{name},{codes[name]},{item},,," for name in "AB" for item in items]
    enter.files["answers"].write_text("\n".join(["student_id,variant,item,answer,unit,marks", *lines, ""]))
    put(enter, "B", ("item/inlet", "70b"), ("item/state.r1", "1"))
    found = rows(enter.files["answers"])
    assert [(r["student_id"], r["item"]) for r in found] == [(n, i) for n in "AB" for i in items]
    assert (found[4]["answer"], found[4]["unit"], found[6]["marks"]) == ("70", "bar", "1")
    assert [student.id for student in marked(enter).missing] == ["A"]


def test_everything_right_has_full_marks(enter: Enter) -> None:
    with enter.keys.turn():
        texts = all_right(enter.keys.of(ROSTER.students[0], ""))
    state = put(enter, "A", *((f"item/{name}", text) for name, text in texts.items()), ("item/state.r1", "1"))
    assert state["sheet"]["total"] == state["sheet"]["most"]


def test_a_check_writes_nothing_and_says_the_same_as_the_entry(enter: Enter) -> None:
    told = enter.check("A", "item/inlet", "2300")
    assert not enter.files["answers"].exists()
    shown = put(enter, "A", ("item/inlet", "2300"))["sheet"]["fields"][0]["mark"]
    assert told["mark"] == shown
    assert enter.check("A", "item/inlet", " ") == enter.check("A", "done/1", "y") == {"mark": None}
    with pytest.raises(InputError, match="neither yes nor no"):
        enter.check("A", "done/1", "perhaps")
    assert enter.check("A", "item/state.r1", "1")["mark"]["marks"] == 1


def test_left_blank_is_written_and_counts_as_entered(enter: Enter) -> None:
    state = put(enter, "A", ("item/inlet", "-"))
    assert rows(enter.files["answers"])[0]["answer"] == "-"
    assert state["sheet"]["fields"][0]["mark"]["verdict"] == "left blank"
    assert state["students"][0]["entered"]["answers"] == 1
    mark = of(marked(enter), "A").marks[0]
    assert (mark.answer, mark.comment, mark.marks) == ("", "no answer", 0)


def test_a_file_changed_meanwhile_is_not_overwritten(enter: Enter) -> None:
    was = put(enter, "A", ("item/inlet", "1000"))["was"]
    for path in enter.files.values():
        before = path.read_bytes() if path.exists() else b"student_id,item,marks,reason,step,done\n"
        path.write_bytes(before.replace(b"1000", b"1100"))
        for does, words in (
            (enter.put, ("A", "item/inlet", "5")),
            (enter.put, ("A", "done/1", "y")),
            (enter.override, ("A", "inlet", "1", "why")),
        ):
            with pytest.raises(InputError, match="changed meanwhile"):
                does(*words, was)  # type: ignore[operator]
        was = enter.state("A")["was"]
    assert rows(enter.files["answers"])[0]["answer"] == "1100"


def test_an_override_is_taken_back(enter: Enter) -> None:
    state = put(enter, "A", ("item/inlet", "1"))
    state = enter.override("A", "inlet", "1", "method right", state["was"])
    assert state["sheet"]["fields"][0]["mark"]["verdict"] == "set by you"
    state = enter.override("A", "inlet", "", "", state["was"])
    assert state["sheet"]["fields"][0]["mark"]["computed"] is None
    assert rows(enter.files["overrides"]) == []


def test_steps_that_a_file_calls_by_number_stay_so(enter: Enter) -> None:
    path = enter.files["practical"]
    path.write_text("student_id,step,done,value\nA,2,yes,2310 psi\nA,2,no,\n", encoding="utf-8")
    put(enter, "A", ("value/2", "160b"), ("done/1", "n"))
    assert path.read_text(encoding="utf-8") == (
        "student_id,step,done,value\nA,2,yes,2310 psi\nA,2,no,160 bar\nA,made safe,no,\n"
    )
    assert enter.state("A")["sheet"]["practical"].startswith("Failed, a critical step was missed: made safe")


def test_who_and_what_is_not_there_is_refused(enter: Enter) -> None:
    was = enter.state()["was"]
    with pytest.raises(InputError, match="'C' is not on the roster"):
        enter.state("C")
    with pytest.raises(InputError, match="did you mean 'item/inlet'"):
        enter.put("A", "item/inlett", "1", was)
    with pytest.raises(InputError, match="no sheet of this class bears 'x'"):
        enter.find("x")
    assert not any(path.exists() for path in enter.files.values())


def test_a_code_is_that_of_the_sheet_from_then_on(enter: Enter) -> None:
    code = enter.keys.drawers["metric"].variant(ROSTER.students[0]).code
    assert enter.find(code) == {"student": "A"}
    assert put(enter, "A", ("item/inlet", "70"))["sheet"]["units"] == "metric"
    assert rows(enter.files["answers"])[0]["unit"] == "bar"
    shop = enter.keys.drawers["shop"].variant(ROSTER.students[0]).code
    with pytest.raises(InputError, match=f"the sheet of A is '{code}'"):
        enter.find(shop)


def test_an_older_print_is_refused_and_the_others_go_on(enter: Enter) -> None:
    enter.files["answers"].write_text("student_id,variant,item,answer\nA,12345678,inlet,5\n", encoding="utf-8")
    with pytest.raises(InputError, match="'12345678' is not known for A"):
        enter.state("A")
    assert enter.state("B")["sheet"]["id"] == "B"


def test_a_file_that_cannot_be_read_is_told(enter: Enter) -> None:
    enter.files["practical"].mkdir()
    with pytest.raises(InputError, match=r"practical\.csv: cannot be read"):
        enter.state()


def test_a_mark_that_cannot_be_is_told_each_time_it_is_looked_at(enter: Enter) -> None:
    enter.files["answers"].write_text("student_id,item,answer,marks\nA,state.r1,,7\n", encoding="utf-8")
    for _ in range(2):
        (said,) = enter.state("A")["sheet"]["problems"]
        assert "7 marks for 'state.r1', which has 1" in said


def test_the_command_names_what_there_is(enter: Enter) -> None:
    assert "--overrides" not in enter.state()["command"]
    state = put(enter, "A", ("item/inlet", "1"))
    state = enter.override("A", "inlet", "1", "why", state["was"])
    assert state["command"].startswith(f"oilway mark {enter.files['answers']} --worksheet w.yaml --overrides ")


def test_a_metric_sheet_is_signed_against_its_own_limit(tmp_path: Path) -> None:
    sheet = worksheet(tmp_path, QUESTIONS.replace("2300 psi +- 50 psi", '"{2300 psi} +- {50 psi}"'))
    keys = Keys({units: Drawer(sheet, units) for units in quantity_units()}, "shop")
    enter = Enter(keys, ROSTER, *(tmp_path / f"{name}.csv" for name in ("answers", "overrides", "practical")))
    enter.find(keys.drawers["metric"].variant(ROSTER.students[0]).code)
    state = put(enter, "A", ("item/inlet", "70"), ("done/2", "y"), ("value/2", "160"))
    field = next(f for f in state["sheet"]["fields"] if f["name"] == "value/2")
    assert (field["unit"], field["value"], field["mark"]["verdict"]) == ("bar", "160", "within its limit")
    assert "bar" in field["mark"]["key"]
    assert marked(enter).practical["A"][1].passed
