"""Elimination in symbols against NumPy's, with its pivoting, and its sign of the determinant."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

from oilway.solve.elimination import factors


@pytest.mark.parametrize("seed", range(4))
def test_it_solves_a_sparse_system_and_its_pivots_give_the_determinant(seed: int) -> None:
    draw = np.random.default_rng(seed)
    n = 7
    pattern = (draw.uniform(size=(n, n)) < 0.3) | np.eye(n, dtype=bool)
    numbers = np.where(pattern, draw.normal(size=(n, n)) + 4 * np.eye(n), 0.0)
    right = draw.normal(size=n)
    places = np.argwhere(pattern.T)  # by columns, as the symbolic library stores
    matrix = ca.SX.sym("A", ca.Sparsity.triplet(n, n, [j for _, j in places], [i for i, _ in places]))
    b = ca.SX.sym("b", n)
    taken = factors(matrix)
    solve = ca.Function("solve", [matrix, b], [taken.solve(b), ca.vertcat(*taken.pivots)])
    x, pivots = map(np.array, solve(ca.DM(numbers), right))
    np.testing.assert_allclose(x.ravel(), np.linalg.solve(numbers, right), rtol=1e-9)
    assert np.prod(pivots) == pytest.approx(np.linalg.det(numbers), rel=1e-9)


def test_little_fills_in_where_the_order_is_well_chosen() -> None:
    n = 12  # an arrow: taken from its head, all would fill in
    arrow = np.eye(n, dtype=bool)
    arrow[0] = arrow[:, 0] = True
    matrix = ca.SX.sym("A", ca.sparsify(ca.DM(arrow.astype(float))).sparsity())
    assert len(factors(matrix).entries) == arrow.sum()
