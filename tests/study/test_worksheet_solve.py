"""One sitting: texts filled, states solved once, tolerances, and what an answer is computed from."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import PSI, item_of, variant, worksheet

from oilway.study.roster import Student
from oilway.study.worksheet_draw import Drawer
from oilway.study.worksheet_solve import FINEST, tolerances
from oilway.study.worksheet_words import Value


def test_drawn_numbers_and_earlier_answers_are_filled_in(tmp_path: Path) -> None:
    found = variant(tmp_path)
    assert found.sitting.fill("load {below}!") == f"load {found.drawn['below']}!"
    assert found.sitting.fill("{inlet}") == f"{item_of(found, 'inlet').size():.12g} Pa"


def test_a_state_is_solved_once(tmp_path: Path) -> None:
    found = variant(tmp_path)
    lost, left = found.sitting.worksheet.questions[1:]
    assert found.sitting.state(lost) is found.sitting.state(left)


def test_what_an_answer_uses(tmp_path: Path) -> None:
    found = variant(tmp_path)
    assert [found.sitting.uses(q) for q in found.sitting.worksheet.questions] == [[], [], ["lost"]]


def test_a_tolerance_is_never_finer_than_a_label(tmp_path: Path) -> None:
    """3 % of 20 psi is less than the 10 psi of a label; half marks reach twice as far."""
    found = variant(tmp_path)
    question = found.sitting.worksheet.questions[0]
    assert tolerances(Value(20 * PSI, "pressure"), question, found.sitting.worksheet) == pytest.approx(
        (10 * PSI, 20 * PSI)
    )
    assert tolerances(Value(0.0, "flow"), question, found.sitting.worksheet)[0] == FINEST["flow"]
    full, half = tolerances(Value(1000 * PSI, "pressure"), question, found.sitting.worksheet)
    assert (full, half) == pytest.approx((30 * PSI, 100 * PSI))


def test_what_a_class_forgets_changes_no_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With room for one state only, a student keeps those of the own questions, and their digits are the same."""
    kept = variant(tmp_path)
    monkeypatch.setattr("oilway.study.worksheet_solve.KEPT", 1)
    found = variant(tmp_path)
    assert [i.key for i in found.items] == [i.key for i in kept.items]
    assert [[w.value for w in i.wrong] for i in found.items] == [[w.value for w in i.wrong] for i in kept.items]
    question = found.sitting.worksheet.questions[0]
    assert found.sitting.state(question) is found.sitting.state(question)


def test_students_with_the_same_point_share_its_state(tmp_path: Path) -> None:
    drawer = Drawer(worksheet(tmp_path))
    a, b = (drawer.solved(Student(name), {"below": "1200 psi", "near": "2000 psi"}) for name in "ab")
    question = drawer.worksheet.questions[0]
    assert a.sitting.state(question) is b.sitting.state(question)
    assert a.code != b.code
