"""The lowest rating among the parts that see a pressure."""

from __future__ import annotations

import pytest
from tests.study.shop import PSI, stalled

import oilway
from oilway.errors import InputError
from oilway.study.controls import controls
from oilway.study.plan_ratings import is_alone, lowest_rating, refuse_above, refuse_unrated


def test_the_lowest_part_that_sees_it_counts(machine) -> None:
    built = machine(stalled())
    main, port = controls(built)[0]
    for control in (main, port):
        rating = lowest_rating(built, control)
        assert rating.part == "cylinder"
        assert rating.pressure == pytest.approx(3400 * PSI)
        assert rating.where.line > 0


def test_the_return_line_does_not_see_it(machine) -> None:
    built = machine(stalled())
    assert lowest_rating(built, controls(built)[0][0]).pressure > 400 * PSI
    refuse_unrated(built, controls(built)[0])
    refuse_above(built, controls(built)[0])


def test_each_missing_rating_is_told_once_with_all_that_it_sees(machine) -> None:
    built = machine(stalled(swap={",\n               rated pressure: 3400 psi": ""}))
    with pytest.raises(InputError) as refused:
        refuse_unrated(built, controls(built)[0])
    (problem,) = refused.value.problems
    assert "main, port" in problem.what
    assert '--change "cylinder.rated pressure=...' in problem.hint


def test_a_valve_alone_takes_the_rating_given_or_that_of_its_inlet() -> None:
    built = oilway.load("pilot relief", {"inlet.rated pressure": "3000 psi"})
    (control,) = controls(built)[0]
    assert is_alone(control)
    assert lowest_rating(built, control).pressure == pytest.approx(3000 * PSI)
    assert lowest_rating(built, control, 2800 * PSI).part == "the valve"
    refuse_unrated(built, [control])
