"""Verdicts in three states, and the doubts of a figure."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.study.branches import Point
from oilway.study.figure import Figure, Term, Verdict, decide, mean, scatter_of


@given(value=st.floats(-1e3, 1e3), doubt=st.floats(0, 1e3), low=st.floats(-500, 0), width=st.floats(1, 500))
def test_a_verdict_holds_for_every_value_the_doubt_allows(
    value: float, doubt: float, low: float, width: float
) -> None:
    verdict = decide(value, doubt, low, low + width)
    ends = [low - 1e-6 <= true <= low + width + 1e-6 for true in (value - doubt, value + doubt)]
    if verdict is Verdict.accept:
        assert all(ends)
    elif verdict is Verdict.reject:
        assert value + doubt < low or value - doubt > low + width
    else:
        assert not all(low < true < low + width for true in (value - doubt, value + doubt))


def test_a_limit_on_one_side() -> None:
    assert decide(100.0, 10.0, None, 111.0) is Verdict.accept
    assert decide(100.0, 10.0, None, 109.0) is Verdict.not_proven
    assert decide(100.0, 10.0, 111.0, None) is Verdict.reject


def test_the_largest_doubt_is_found_with_scatter_counted_at_its_weight() -> None:
    figure = Figure("f", "pressure", 0.0, [Term("P", 15.0), Term("scatter", 10.0, scatter=True)], "")
    largest = figure.largest()
    assert largest is not None
    assert largest.scatter
    assert figure.uncertainty == pytest.approx((15.0**2 + 20.0**2) ** 0.5)


def test_scatter_comes_from_repeated_branches_where_there_are_some() -> None:
    points = [Point(value, 1.0, 99.0) for value in (1.0, 2.0, 3.0)]
    assert scatter_of(points) == pytest.approx(1 / 3**0.5)
    assert scatter_of(points[:1]) == 99.0
    assert mean(points) == 2.0
