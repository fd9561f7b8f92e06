"""Variants: drawn by seed, fair, solvable, the same again; and that who gets none is named."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import HEAD, INLET, SHIPPED, item_of, variant, worksheet

from benchmarks.class_variants import look
from oilway.errors import InputError
from oilway.model.catalogue import shipped_valves
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, difficulty_report, draw_class

FEW = [Student(f"t{k}", row=k + 2) for k in range(4)]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_questions_give_variants_without_ties_in_one_regime(path: Path) -> None:
    """Ten of each (a thousand in ``python -m benchmarks variants``)."""
    found = look(str(path), range(10))
    assert found.failed == []
    assert found.fair
    assert len(found.numbers) > 1
    for question in read_worksheet(path).questions:
        told = found.questions[question.id]
        assert told.solved == 10
        if question.kind in ("number", "gauges"):
            assert (len(told.steps), len(told.regimes)) == (1, 1)


def test_the_same_seed_draws_the_same_and_another_does_not(tmp_path: Path) -> None:
    sheet = worksheet(tmp_path)
    a, b, c = (Drawer(sheet, "shop", salt).variant(Student("s")) for salt in ("", "", "spring"))
    assert (a.code, a.drawn, [i.key for i in a.items]) == (b.code, b.drawn, [i.key for i in b.items])
    assert c.code != a.code


def test_students_get_numbers_of_their_own(tmp_path: Path) -> None:
    drawer = Drawer(worksheet(tmp_path))
    assert len({tuple(drawer.numbers(f"s{k}", 0).items()) for k in range(30)}) > 15


def test_a_printed_variant_is_found_by_its_code(tmp_path: Path) -> None:
    drawer = Drawer(worksheet(tmp_path))
    made = drawer.variant(Student("s"))
    again = drawer.printed(Student("s"), made.code)
    assert again is not None
    assert again.drawn == made.drawn
    assert drawer.printed(Student("s"), "00000000") is None
    (tmp_path / "sheet.yaml").write_text(
        drawer.worksheet.path.read_text(encoding="utf-8") + "# changed\n", encoding="utf-8"
    )
    assert Drawer(drawer.worksheet).printed(Student("s"), made.code) is None


def test_a_printed_sheet_is_not_held_against_ties_again(tmp_path: Path) -> None:
    """Its key is that of the day it was printed; the readings that tell its fault from the others cost most."""
    fault = """  - {id: fault, kind: fault, ask: a, set: {load pressure: "{below}"},
     show: [pressure of inlet, flow through seat],
     faults: {scored: {seat.worn gap: 20 um}, soft: {main spring.rate: 150 N/mm}}}
"""
    made = Drawer(worksheet(tmp_path, INLET + fault)).variant(Student("s"))
    drawer = Drawer(made.sitting.worksheet)
    again = drawer.printed(Student("s"), made.code)
    assert again is not None
    assert [(i.id, i.key, i.choices) for i in again.items] == [(i.id, i.key, i.choices) for i in made.items]
    assert (made.items[-1].margin, again.items[-1].margin) == (made.items[-1].margin or 0.0, None)
    assert len(drawer.models._states) < len(made.sitting.models._states)


def test_a_number_is_asked_in_one_regime_only(tmp_path: Path) -> None:
    """The middle of 1300 to 2200 psi is below cracking, so loads above it are drawn again."""
    head = "format: 1\nworksheet: w\nfile: direct relief\nvary: {load: '1300 psi to 2200 psi, step 50 psi'}\n"
    asked = 'questions:\n  - {id: q, ask: a, set: {load pressure: "{load}"}, answer: pressure of inlet}\n'
    drawn = draw_class(Drawer(worksheet(tmp_path, asked, head)), [Student(f"r{k}") for k in range(12)])
    assert {v.difficulty["q"].words() for v in drawn.variants} == {"everything seated"}
    again = [redraw for v in drawn.variants for redraw in v.again]
    assert {(redraw.question, redraw.sort) for redraw in again} == {("q", "regime")}
    assert sum(v.draws for v in drawn.variants) == 12 + len(again)
    assert "everything seated" in difficulty_report(drawn)[0]


def test_who_gets_no_variant_is_named_and_the_rest_goes_on(tmp_path: Path) -> None:
    """No load of this range keeps the inlet in the range asked for."""
    asked = INLET.replace("answer: pressure of inlet", "answer: pressure of inlet\n    within: 10 psi to 20 psi")
    drawn = draw_class(Drawer(worksheet(tmp_path, asked)), FEW)
    assert drawn.variants == []
    assert len(drawn.failed) == len(FEW)
    assert "row 2, student t0" in drawn.failed[0]
    assert "inlet" in drawn.failed[0]
    assert "out of the range" in drawn.failed[0]


def test_a_question_that_cannot_be_asked_is_told_with_its_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"sheet\.yaml:9: inlet: there is no pressure of 'inle'"):
        variant(tmp_path, INLET.replace("answer: pressure of inlet", "answer: pressure of inle"))


def test_metric_sheets_have_round_numbers_and_other_codes(tmp_path: Path) -> None:
    shop, metric = variant(tmp_path), variant(tmp_path, units="metric")
    assert metric.code != shop.code
    assert all(text.endswith(" bar") for text in metric.drawn.values())
    assert item_of(metric, "inlet").size() == pytest.approx(
        float(metric.drawn["below"].split()[0]) * 1e5, rel=1e-3
    )


def test_a_draw_that_ties_or_does_not_solve_is_told_with_its_question(tmp_path: Path) -> None:
    """No adjuster reaches 9000 psi, and the lowest inlet reads less than 1200 psi."""
    asked = """questions:
  - {id: low, ask: a, set: {load pressure: "{below}"}, answer: pressure of inlet, within: 1150 psi to 1600 psi}
  - {id: high, ask: a, set: {load pressure: "{below}"}, answer: pressure of inlet,
     change: {setting: "{set} at 18 gpm"}}
"""
    head = HEAD.replace("vary:", "vary:\n  set: 2000 psi to 9000 psi, step 3500 psi")
    drawn = draw_class(Drawer(worksheet(tmp_path, asked, head)), [Student(f"r{k}") for k in range(12)])
    again = {(redraw.question, redraw.sort) for v in drawn.variants for redraw in v.again}
    assert again == {("low", "range"), ("high", "unsolved")}


def test_a_code_changes_with_every_file_that_is_asked_about(tmp_path: Path) -> None:
    """The valve of one question lies beside the sheet, which speaks of another."""
    own = tmp_path / "mine.yaml"
    own.write_text(shipped_valves()["direct relief"].read_text(encoding="utf-8"), encoding="utf-8")
    asked = INLET + "  - {id: own, file: mine.yaml, ask: a, answer: pressure of inlet}\n"
    before = variant(tmp_path, asked).code
    own.write_text(own.read_text(encoding="utf-8") + "# another print\n", encoding="utf-8")
    assert variant(tmp_path, asked).code != before
