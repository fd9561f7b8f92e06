"""The scalar search: it finds the change of sign, keeps inside it, and says when there is none."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.solve.root import STEPS, bracket_root


def counted(f):
    """The function, and the list of places it was asked at."""
    asked: list[float] = []

    def g(x: float) -> float:
        asked.append(x)
        return f(x)

    return g, asked


@pytest.mark.parametrize(
    ("f", "low", "high", "root"),
    [
        (lambda x: x**3 - 8.0, 0.0, 5.0, 2.0),
        (lambda x: math.cos(x) - x, 0.0, 1.0, 0.7390851332151607),  # fixed point of the cosine
        (lambda x: math.exp(x) - 10.0, -50.0, 60.0, math.log(10.0)),  # 26 decades between the ends
        (lambda x: 8.0 - x**3, 0.0, 5.0, 2.0),  # falling
    ],
)
def test_finds_roots_known_by_other_means(f, low: float, high: float, root: float) -> None:
    assert bracket_root(f, low, high, 1e-11) == pytest.approx(root, abs=1e-9)


def test_a_straight_line_takes_one_step() -> None:
    f, asked = counted(lambda x: 2.0 * x - 3.0)
    assert bracket_root(f, 0.0, 4.0, 1e-12) == pytest.approx(1.5, abs=1e-12)
    assert asked == [0.0, 4.0, 1.5]


def test_known_ends_are_not_asked_again() -> None:
    f, asked = counted(lambda x: x * x - 2.0)
    root = bracket_root(f, 0.0, 2.0, 1e-12, ends=(-2.0, 2.0))
    assert root == pytest.approx(math.sqrt(2.0), abs=1e-12)
    assert not {0.0, 2.0} & set(asked)


def test_an_end_that_is_good_enough_is_the_answer() -> None:
    f, asked = counted(lambda x: x)
    assert bracket_root(f, 0.0, 1.0, 1e-6) == 0.0
    assert bracket_root(f, -1.0, 0.0, 1e-6) == 0.0
    assert len(asked) == 4


def test_an_end_that_stays_put_is_not_mistaken_for_a_root() -> None:
    # A jump from -10 to +1: the weight of the low end is halved again and again, its value stays -10.
    f, _ = counted(lambda x: -10.0 if x < 0.75 else 1.0)
    assert bracket_root(f, 0.0, 1.0, 0.5) == pytest.approx(0.75, abs=1e-9)


def test_no_change_of_sign_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no change of sign: f\(1\) = 2, f\(3\) = 10"):
        bracket_root(lambda x: x * x + 1.0, 1.0, 3.0, 1e-9)


@given(root=st.floats(-0.99, 0.99), power=st.sampled_from([1, 3, 5, 9]), slope=st.floats(0.01, 100.0))
def test_the_answer_meets_the_tolerance_and_stays_inside(root: float, power: int, slope: float) -> None:
    f, asked = counted(lambda x: slope * ((x - root) ** power + 1e-3 * (x - root)))
    x = bracket_root(f, -1.0, 1.0, 1e-9)
    assert abs(f(x)) <= 1e-9
    assert all(-1.0 <= a <= 1.0 for a in asked)
    assert len(asked) <= STEPS + 3
