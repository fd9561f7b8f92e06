"""Ranges of worksheets: what is read, what is round in other units, and that seeds decide everything."""

from __future__ import annotations

import pytest

from oilway.errors import Place
from oilway.model.tree import Problems
from oilway.study.worksheet_ranges import Range, read_range, rounded, seed, shuffled


def read(text: str) -> tuple[Range | None, list[str]]:
    problems = Problems()
    return read_range("load", text, Place("f", 3), problems), [p.what for p in problems.found]


def test_a_range_is_read_in_the_unit_of_its_step() -> None:
    span, problems = read("100 bar to 2000 psi, step 10 bar")
    assert problems == []
    assert span is not None
    assert (span.kind, span.unit, span.low, span.step) == ("pressure", "bar", 100, 10)
    assert [span.text(k) for k in range(span.count)] == ["100 bar", "110 bar", "120 bar", "130 bar"]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("1000 psi to 1500 psi", "no range in steps"),
        ("1000 psi to 1500 gpm, step 50 psi", "is a flow"),
        ("1500 psi to 1000 psi, step 50 psi", "ends where it begins"),
        ("1000 psi to 1500 psi, step 0 psi", "not above zero"),
        ("1 psi to 2 psi, step some", "not one number"),
    ],
)
def test_a_range_that_cannot_be_is_told(text: str, word: str) -> None:
    span, problems = read(text)
    assert span is None
    assert word in problems[0]


def test_in_the_other_units_the_numbers_are_round_and_inside() -> None:
    span, _ = read("1000 psi to 1500 psi, step 50 psi")
    assert span is not None
    metric = span.within("metric")
    assert span.within("shop") is span
    texts = [metric.text(k) for k in range(metric.count)]
    assert texts[:3] == ["70 bar", "72.5 bar", "75 bar"]
    assert texts[-1] == "102.5 bar"  # 1500 psi is 103.4 bar


def test_round_steps() -> None:
    assert [rounded(x) for x in (3.45, 0.069, 19.0, 1.0, 8.0)] == [2.5, 0.05, 20.0, 1.0, 10.0]


def test_seed_and_order_follow_from_the_words_alone() -> None:
    assert seed("a", 1) == seed("a", 1) != seed("a", 2)
    assert seed("a", "bc") != seed("ab", "c")
    steps = list("abcdef")
    assert shuffled(steps, "x") == shuffled(steps, "x")
    assert sorted(shuffled(steps, "x")) == steps
    assert len({tuple(shuffled(steps, k)) for k in range(40)}) > 30
