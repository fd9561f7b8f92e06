"""Tapes: the symbolic library's own answer, interpreted and compiled, and what is done only once."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

from oilway.solve import compiled
from oilway.solve.tape import Bound, Interpreted, Tape, listed, split

X, Y = ca.SX.sym("x", 2), ca.SX.sym("y")
EVERYTHING = [
    ca.vertcat(X[0] + Y, X[0] * Y - X[1], X[0] / (2 + Y), -X[1], ca.sqrt(ca.fabs(Y)), Y**2, 2 * Y, Y**3),
    ca.vertcat(ca.exp(Y), ca.log(ca.fabs(X[0])), ca.fabs(X[1]) ** Y, ca.tanh(Y), ca.sin(Y), ca.cos(Y), ca.atan(Y)),
    ca.vertcat(ca.if_else(Y > 0, X[0], X[1] ** 3), ca.fmin(X[0], Y), ca.fmax(X[0], Y), ca.sign(Y), 1 / (3 + Y)),
    ca.vertcat(
        ca.logic_and(Y > 0, X[0] <= 0), ca.logic_or(Y > 0, X[0] < 0), ca.logic_not(Y), X[0] == Y, X[0] != Y
    ),
]


def columns(sets: int) -> tuple[np.ndarray, np.ndarray]:
    """Inputs, with a zero and two equal numbers among them."""
    draw = np.random.default_rng(5)
    x, y = draw.uniform(-2, 2, (2, sets)), draw.uniform(-2, 2, (1, sets))
    y[0, 0], x[0, 1] = 0.0, y[0, 1]
    return x, y


@pytest.mark.parametrize("sets", [3, 4, 11])
@pytest.mark.parametrize("how", ["interpreted", "compiled"])
def test_a_tape_gives_what_the_symbolic_library_gives(how: str, sets: int) -> None:
    if how == "compiled":
        pytest.importorskip("llvmlite")
    function = ca.Function("f", [X, Y], EVERYTHING)
    x, y = columns(sets)
    tape = Interpreted(listed(function)) if how == "interpreted" else compiled.runner(listed(function))
    for mine, theirs in zip(tape(x, y), function(x, y), strict=True):
        np.testing.assert_allclose(mine, np.array(theirs), rtol=1e-12, atol=1e-15)


def test_what_depends_on_fixed_inputs_alone_is_done_beforehand() -> None:
    function = ca.Function("f", [X, Y], [ca.sin(X[0]) * ca.exp(X[1]) * Y])
    before, during = split(listed(function), {0})
    assert [n.name for n in during.nodes] == ["input", "input", "mul"]
    assert {"sin", "exp", "mul"} <= {n.name for n in before.nodes}
    x, y = columns(5)
    tape = Tape([X, Y], [ca.sin(X[0]) * ca.exp(X[1]) * Y], fixed=(0,))
    np.testing.assert_allclose(tape(tape.prepare(x), y)[0], np.sin(x[:1]) * np.exp(x[1:]) * y, rtol=1e-14)


def test_an_unknown_operation_is_refused() -> None:
    with pytest.raises(NotImplementedError, match="symbolic library"):
        listed(ca.Function("f", [Y], [ca.erf(Y)]))


@pytest.mark.parametrize("how", ["interpreted", "compiled"])
def test_weighted_sums_are_one_operation_each(how: str) -> None:
    x = ca.SX.sym("x", 3)
    parts = [ca.sin(x[0]), ca.cos(x[1]), ca.exp(x[2])]
    whole = 2.5 * parts[0] - 3 * parts[1] + 0.25 * parts[2]
    short = 7 * parts[0] + 11 * parts[1]  # takes the first of the same
    across = 1.5 * parts[2] + 5 * parts[0]  # does not: it is added up one by one
    function = ca.Function("f", [x], [ca.vertcat(whole, short, across)])
    listing = listed(function)
    assert sorted(len(n.takes) for n in listing.nodes if n.name == "sum") == [2, 2, 3]
    if how == "compiled":
        pytest.importorskip("llvmlite")
    numbers = np.random.default_rng(1).uniform(-1, 1, (3, 9))
    tape = Interpreted(listing) if how == "interpreted" else compiled.runner(listing)
    np.testing.assert_allclose(tape(numbers)[0], np.array(function(numbers)), rtol=1e-13)


def test_what_divides_twice_is_inverted_once() -> None:
    function = ca.Function("f", [X, Y], [ca.vertcat(X[0] / Y, X[1] / Y, X[0] / 8)])
    names = [n.name for n in listed(function).nodes]
    assert names.count("inv") == 1
    assert "div" not in names


def test_a_bound_tape_reads_its_inputs_anew() -> None:
    x, y = columns(4)
    bound = Bound(Interpreted(listed(ca.Function("f", [X, Y], [X[0] * Y + 1]))), [x, y])
    np.testing.assert_allclose(bound()[0], x[:1] * y + 1)
    x[0] += 1.0
    np.testing.assert_allclose(bound()[0], x[:1] * y + 1)
