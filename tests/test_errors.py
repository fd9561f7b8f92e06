"""Errors: what they say, and the exit status they carry."""

from __future__ import annotations

import inspect

import pytest

from oilway import errors
from oilway.errors import ImpossibleCircuit, InputError, NoSolution, Place, Problem, did_you_mean


@pytest.mark.parametrize(
    ("word", "said"),
    [
        ("diamter", "did you mean 'diameter'?"),
        ("DIAMETER", "did you mean 'diameter'?"),
        ("zzz", ""),
        ("", ""),
    ],
)
def test_did_you_mean(word: str, said: str) -> None:
    assert did_you_mean(word, ["diameter", "length"]) == said


def test_did_you_mean_gives_the_word_as_it_is_written() -> None:
    assert did_you_mean("iso vg", ["ISO VG", "x"]) == "did you mean 'ISO VG'?"


@pytest.mark.parametrize(
    ("place", "shown"),
    [(Place("hoist.yaml", 12), "hoist.yaml:12"), (Place("hoist.yaml"), "hoist.yaml"), (Place(), "input")],
)
def test_a_place_is_shown_as_editors_take_it(place: Place, shown: str) -> None:
    assert str(place) == shown


def test_a_problem_says_where_what_and_what_to_try() -> None:
    where = Place("hoist.yaml", 12)
    assert str(Problem(where, "no unit", "write '5 mm'")) == "hoist.yaml:12: no unit (write '5 mm')"
    assert str(Problem(where, "no unit")) == "hoist.yaml:12: no unit"


def test_an_input_error_tells_all_problems_one_a_line() -> None:
    error = InputError([Problem(Place("a", 1), "x"), Problem(Place("a", 2), "y")])
    assert str(error) == "a:1: x\na:2: y"
    assert InputError(Problem(Place(), "x")).problems == [Problem(Place(), "x")]


def test_no_solution_names_equation_and_unknown() -> None:
    error = NoSolution(
        "it does not rest", equation="mass balance of line", unknown="pressure in line", hint="a relief"
    )
    assert str(error).splitlines() == [
        "it does not rest",
        "  equation not satisfied: mass balance of line",
        "  unknown it should fix:  pressure in line",
        "  try: a relief",
    ]
    assert str(ImpossibleCircuit("dead-headed")) == "dead-headed"


def test_the_tree_at_the_top_of_the_file_is_the_tree() -> None:
    drawn = (errors.__doc__ or "").partition("\n\n")[2].partition("\n\n")[0]
    for name, cls in inspect.getmembers(errors, inspect.isclass):
        if issubclass(cls, Exception) and name != "OilwayError":
            (line,) = [line for line in drawn.splitlines() if name in line.split()]
            assert str(cls.exit_status) in line.split()
