"""What a few keys mean, and the word that a mark is shown by."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import item_of, right, variant

from oilway.errors import InputError
from oilway.study.entry import (
    Field,
    cells,
    entered,
    fields,
    mark_told,
    override_cells,
    signed_told,
    value_of,
    verdict,
)
from oilway.study.mark_class import Answers, Signed
from oilway.study.marking import mark_sheet
from oilway.study.roster import Student
from oilway.study.worksheet import Check
from oilway.study.worksheet_draw import Variant

QUESTIONS = """questions:
  - id: inlet
    ask: The load makes {below}. What does the inlet read?
    set: {load pressure: "{below}"}
    answer: pressure of inlet
  - id: state
    kind: why
    marks: 3
    ask: Where does it stand?
    set: {load pressure: "{near}"}
    answer: state of poppet
    rubric: {because: 1}
  - id: steps
    kind: order
    ask: Which order?
    steps: [one, two, three]
practical:
  - {step: made safe, critical: yes}
  - {step: met, measured: gauge, limit: 2300 psi +- 50 psi, marks: 2}
"""
PRESSURE = Field("item/p", "answers", "number", "p", quantity="pressure", unit="psi")
CHOICE = Field("item/c", "answers", "choice", "c", choices=("spring soft", "stuck open", "blocked"))
ORDER = Field("item/o", "answers", "order", "o", choices=("x", "y", "z"))
RUBRIC = Field("item/r", "reasoning", "rubric", "r", most=2)
DONE = Field("done/1", "practical", "done", "d")


@pytest.fixture
def found(tmp_path: Path) -> Variant:
    return variant(tmp_path, QUESTIONS)


@pytest.mark.parametrize(
    ("typed", "answer", "unit"),
    [
        ("3000", "3000", "psi"), ("3,000", "3,000", "psi"), ("3000p", "3000", "psi"), ("207b", "207", "bar"),
        ("207 BAR", "207", "BAR"), ("-5", "-5", "psi"), ("2.5e3", "2.5e3", "psi"), ("1 1/2", "1 1/2", "psi"),
        ("18 gpm", "18", "gpm"), ("20 MPa", "20", "MPa"), ("3000?", "3000", "?"), ("about half", "about half", ""),
        ("", "", ""), ("-", "-", ""),
    ],
)  # fmt: skip
def test_a_number_and_its_unit(typed: str, answer: str, unit: str) -> None:
    assert cells(PRESSURE, typed) == {"answer": answer, "unit": unit}


def test_a_place_in_the_list_wins_over_a_beginning() -> None:
    """'b' is the second box on the sheet, not the one choice that begins with b."""
    assert [cells(CHOICE, typed)["answer"] for typed in ("b", "B", "2", "blocked", "-")] == [
        "stuck open", "stuck open", "stuck open", "blocked", "-",
    ]  # fmt: skip
    assert cells(ORDER, "312")["answer"] == "3 1 2"
    assert cells(ORDER, "3 1 2")["answer"] == "3 1 2"


def test_reasoning_and_the_practical() -> None:
    assert [cells(RUBRIC, typed)["marks"] for typed in ("1.5", "2", "-", "")] == ["1.5", "2", "0", ""]
    assert [cells(DONE, typed)["done"] for typed in ("y", "1", "N", "0", "")] == ["yes", "yes", "no", "no", ""]


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        (CHOICE, "d", "a to c, or 1 to 3"),
        (CHOICE, "0", "none of the choices"),
        (RUBRIC, "3", "3 marks, of 2 that there are"),
        (RUBRIC, "-1", "from 0 to 2"),
        (RUBRIC, "one", "from 0 to 2"),
        (DONE, "maybe", "neither yes nor no"),
    ],
)
def test_what_only_the_instructor_can_mistype_is_refused(field: Field, typed: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        cells(field, typed)


def test_an_override_needs_marks_that_can_be_and_a_reason(found: Variant) -> None:
    item = item_of(found, "inlet")
    assert override_cells(item, "1", " seen  on paper ") == {"marks": "1", "reason": "seen on paper"}
    for marks, reason in (("1", " "), ("2.5", "x"), ("one", "x")):
        with pytest.raises(InputError):
            override_cells(item, marks, reason)


def test_fields_stand_in_the_order_of_the_paper(found: Variant) -> None:
    asked = fields(found)
    assert [(f.name, f.group) for f in asked] == [
        ("item/inlet", "answers"), ("item/state", "answers"), ("item/state.r1", "reasoning"),
        ("item/steps", "answers"), ("done/1", "practical"), ("done/2", "practical"), ("value/2", "practical"),
    ]  # fmt: skip
    assert (asked[0].unit, asked[-1].unit) == ("psi", "psi")
    assert [f.number for f in asked[:4]] == [1, 2, 2, 3]
    assert [f.label for f in asked[:3]] == ["inlet", "state", "because"]
    assert found.drawn["below"] in asked[0].ask


def test_what_has_been_entered_is_shown_as_it_would_be_typed(found: Variant) -> None:
    handed = Answers(Student("s1"), 0, texts={"inlet": "70 bar", "steps": "1 2 3"}, marks={"state.r1": 0.5})
    signed = [Signed(Check("made safe", 1, True), False), Signed(Check("met", 2, False, "gauge",
              "2300 psi +- 50 psi"), False, "2310 psi", said=False)]  # fmt: skip
    assert [value_of(field, handed, signed) for field in fields(found)] == [
        "70 bar", "", "0.5", "1 2 3", "no", "", "2310",
    ]  # fmt: skip
    assert [value_of(field, None, None) for field in fields(found)] == [""] * 7
    assert entered(handed, signed) == {"answers": 2, "reasoning": 1, "practical": 1}
    assert entered(None, None) == {"answers": 0, "reasoning": 0, "practical": 0}


def test_the_word_is_that_of_marking(found: Variant) -> None:
    key = right(item_of(found, "inlet"))
    number = key.removesuffix(" psi")
    said = {
        key: "right", f"{number} gpm": "unit", "-": "left blank", "2300 psi": "misconception", "7 psi": "wrong",
        f"{1.05 * float(number):.0f} psi": "half marks",
    }  # fmt: skip
    for text, word in said.items():
        mark = mark_sheet(found, {"inlet": text}).marks[0]
        assert verdict(mark) == word, text
        assert mark_told(mark, found)["said"] == mark.comment
        assert mark_told(mark, found)["key"] == key
    sheet = mark_sheet(found, {}, {"state.r1": 1})
    assert verdict(sheet.marks[2]) == "marked"
    assert verdict(mark_sheet(found, {}).marks[2]) == "to be marked"
    sheet.marks[0].computed = 0.0
    assert verdict(sheet.marks[0]) == "set by you"


def test_a_signature_is_told_by_what_it_fails(found: Variant) -> None:
    done, met, value = fields(found)[-3:]
    assert done.check
    assert met.check
    assert signed_told(done, None)["verdict"] == ""
    assert signed_told(done, [Signed(done.check, False)])["verdict"] == "CRITICAL: fails the whole"
    far = [Signed(done.check, True), Signed(met.check, True, "2400 psi", False)]
    assert (signed_told(met, far)["verdict"], signed_told(met, far)["marks"]) == ("not passed", 0)
    assert signed_told(value, far)["verdict"] == "outside its limit"
    near = [Signed(done.check, True), Signed(met.check, True, "2310 psi", True)]
    assert (signed_told(met, near)["verdict"], signed_told(met, near)["marks"]) == ("passed", 2)
    assert signed_told(value, near)["key"] == "2300 psi ± 50 psi"
