"""Marks: tolerance, units, carried errors, misconceptions, orders and choices, against marks counted by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import CLASS, SHIPPED, all_marks, all_right, item_of, right, variant

from oilway import quantity
from oilway.study.marking import Mark, mark_sheet
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Variant:
    return variant(tmp_path_factory.mktemp("sheet"))


def marked(found: Variant, item: str, **answers: str) -> Mark:
    sheet = mark_sheet(found, {name.replace("_", " "): text for name, text in answers.items()})
    return next(m for m in sheet.marks if m.item.id == item)


def psi(found: Variant, share: float = 1.0) -> float:
    return share * quantity.number(item_of(found, "inlet").size(), "pressure")


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
@pytest.mark.parametrize("units", ["shop", "metric"])
def test_a_perfect_sheet_gets_full_marks(path: Path, units: quantity.Units) -> None:
    found = Drawer(read_worksheet(path), units).variant(Student("perfect"))
    sheet = mark_sheet(found, all_right(found), all_marks(found))
    assert [m.comment for m in sheet.marks if m.marks < m.item.marks] == []
    assert sheet.total == sheet.most


def test_other_units_are_read_as_written(found: Variant) -> None:
    bar = psi(found) * 0.0689476
    assert marked(found, "inlet", inlet=f"{bar:.1f} bar").marks == 2
    assert marked(found, "inlet", inlet=f"{psi(found):.0f} PSI").marks == 2


@pytest.mark.parametrize(("share", "marks"), [(1.02, 2), (0.98, 2), (1.06, 1), (0.93, 1), (1.15, 0)])
def test_full_half_and_no_marks(found: Variant, share: float, marks: float) -> None:
    assert marked(found, "inlet", inlet=f"{psi(found, share):.0f} psi").marks == marks


def test_a_wrong_unit_is_named_each_time_and_costs_once(found: Variant) -> None:
    """The number is right: 2 less half a mark; the second time 2."""
    lost = right(item_of(found, "lost")).split()[0]
    sheet = mark_sheet(found, {"inlet": f"{psi(found):.0f} bar", "lost": lost})
    inlet, second = sheet.marks[0], sheet.marks[1]
    assert (inlet.marks, second.marks) == (1.5, 2.0)
    assert "wrong unit" in inlet.comment
    assert "once a sheet" in inlet.comment
    assert "no unit: gpm is meant" in second.comment
    assert "once a sheet" not in second.comment


def test_a_unit_of_another_kind_is_named(found: Variant) -> None:
    mark = marked(found, "inlet", inlet=f"{psi(found):.0f} gpm")
    assert mark.marks == 1.5
    assert "psi is wanted" in mark.comment


def test_an_error_is_carried_forward_from_the_students_own_answer(found: Variant) -> None:
    """18 gpm less the student's own 9 gpm is 9 gpm: wrong against the key, right after the first slip."""
    sheet = mark_sheet(found, {"lost": "9 gpm", "left": "9 gpm"})
    lost, left = sheet.marks[1], sheet.marks[2]
    assert lost.marks == 0
    assert left.marks == 2
    assert "your own earlier answer" in left.comment
    assert marked(found, "left", lost=right(item_of(found, "lost")), left="9 gpm").marks < 2


def test_a_carried_answer_may_set_the_point_of_a_solve(tmp_path: Path) -> None:
    """The load of the second question is the student's answer to the first: the model is solved again with it."""
    questions = """questions:
  - {id: first, ask: a, set: {load pressure: "{below}"}, answer: pressure of inlet}
  - {id: second, ask: b, set: {load pressure: "{first}"}, answer: pressure of inlet}
"""
    found = variant(tmp_path, questions)
    own = 0.5 * quantity.number(item_of(found, "first").size(), "pressure")
    sheet = mark_sheet(found, {"first": f"{own:.0f} psi", "second": f"{own:.0f} psi"})
    assert [m.marks for m in sheet.marks] == [0, 2]


def test_a_misconception_is_named_and_earns_no_half_marks() -> None:
    found = Drawer(read_worksheet(CLASS / "hoist_relief.yaml")).variant(Student("x"))
    wrong = {w.misconception: w for w in item_of(found, "tank line").wrong}["back-pressure does not matter"]
    mark = marked(found, "tank line", tank_line=quantity.show(float(wrong.value), "pressure"))
    assert mark.marks == 0
    assert "back-pressure does not matter" in mark.comment


@pytest.mark.parametrize("text", ["", "n/a", "psi", "1,2,3 psi", "1e999 psi"])
def test_what_is_no_number_earns_nothing_and_does_not_stop(found: Variant, text: str) -> None:
    assert marked(found, "inlet", inlet=text).marks == 0


def test_choices_by_words_beginning_number_and_letter(tmp_path: Path) -> None:
    text = (
        "questions:\n  - {id: q, kind: choice, ask: a, set: {load pressure: '{near}'}, answer: state of poppet}\n"
    )
    found = variant(tmp_path, text)
    assert [marked(found, "q", q=a).marks for a in ("open", "OPEN", "o", "2", "b")] == [2] * 5
    assert marked(found, "q", q="seated").misconceptions[0].misconception == "cracking = setting"
    assert "none of the choices" in marked(found, "q", q="shut").comment


def test_orders_as_numbers_in_the_boxes_or_as_steps(tmp_path: Path) -> None:
    found = variant(
        tmp_path, "questions:\n  - {id: q, kind: order, ask: a, marks: 3, steps: [one, two, three, four]}\n"
    )
    item = item_of(found, "q")
    boxes = right(item)
    assert [
        marked(found, "q", q=a).marks for a in (boxes, boxes.replace(" ", ""), "one > two > three > four")
    ] == [3] * 3
    assert marked(found, "q", q="two > one > three > four").marks == 1.5
    mark = marked(found, "q", q="three > two > one > four")
    assert mark.marks == 0
    assert "from step 1 on: one" in mark.comment
    assert "wanted" in marked(found, "q", q="1 1 2 3").comment


def test_reasoning_stays_open_until_the_instructor_marks_it(tmp_path: Path) -> None:
    text = (
        "questions:\n  - {id: q, kind: why, marks: 3, ask: a, set: {load pressure: '{near}'}, "
        "answer: state of poppet, rubric: {because: 1}}\n"
    )
    found = variant(tmp_path, text)
    assert mark_sheet(found, {"q": "open"}).marks[1].open
    done = mark_sheet(found, {"q": "open"}, {"q.r1": 0.5}).marks[1]
    assert (done.marks, done.open) == (0.5, False)
