"""One sitting: texts filled, states solved once, tolerances, and what an answer is computed from."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import PSI, item_of, variant

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
