"""Functions side by side against NumPy's, over the range that a double has."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

pytest.importorskip("llvmlite")
from oilway.solve import compiled
from oilway.solve.tape import listed

X, Y = ca.SX.sym("x"), ca.SX.sym("y")
FEW = 8 * np.finfo(float).eps


def value(expression: ca.SX, x: np.ndarray, y: np.ndarray | None = None) -> np.ndarray:
    """The compiled expression at numbers."""
    function = listed(ca.Function("f", [X, Y], [expression]))
    return compiled.runner(function)(x[None], (x if y is None else y)[None])[0][0]


def test_exponential_and_logarithm() -> None:
    x = np.concatenate([np.linspace(-700, 700, 1001), [0.0, 1e-20, -1e-20]])
    np.testing.assert_allclose(value(ca.exp(X), x), np.exp(x), rtol=FEW)
    many = np.concatenate([np.logspace(-300, 300, 1001), 1 + np.linspace(-0.4, 0.5, 101)])
    np.testing.assert_allclose(value(ca.log(X), many), np.log(many), rtol=FEW, atol=0)


def test_powers_as_the_gas_law_takes_them() -> None:
    x = np.logspace(-6, 6, 1001)
    y = np.linspace(-2, 2, 1001)
    np.testing.assert_allclose(value(X**Y, x, y), x**y, rtol=50 * np.finfo(float).eps)


def test_hyperbolic_tangent_is_good_to_the_last_place_of_one() -> None:
    x = np.linspace(-400, 400, 1601)
    np.testing.assert_allclose(value(ca.tanh(X), x), np.tanh(x), rtol=0, atol=1e-15)


def test_no_number_is_made_of_what_has_none() -> None:
    with np.errstate(all="ignore"):
        assert np.isnan(value(ca.log(X), np.array([-1.0, -1e-9, np.nan, -2.0]))).all()
        assert np.isnan(value(ca.exp(X), np.array([np.nan] * 4))).all()
        assert (value(ca.log(X), np.zeros(4)) == -np.inf).all()
