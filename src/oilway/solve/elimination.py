"""Gaussian elimination written out as symbols, for systems that are solved again and again with other numbers.

Pivots are taken on the diagonal, in an order that keeps what fills in low; that order is fixed once.  A pivot that
vanishes gives no number, and whoever calls must look at the residual of what comes out.
Source: H. M. Markowitz, "The elimination form of the inverse and its application to linear programming",
Management Science 3 (1957) 255-269 (from memory): the order by the least product of counts.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import casadi as ca
import numpy as np


@dataclass
class Factors:
    """A square matrix taken apart: the ``order`` of its pivots, its entries as they are left by elimination.

    Entries below a pivot are the multipliers of their rows; ``inverse`` is one over each pivot, by its row.
    """

    order: list[int]
    entries: dict[tuple[int, int], Any]
    inverse: dict[int, Any] = field(default_factory=dict)
    later: list[list[int]] = field(default_factory=list)  # in each step: rows with an entry in the pivot's column
    across: list[list[int]] = field(default_factory=list)  # columns with an entry in the pivot's row

    @property
    def pivots(self) -> list[Any]:
        """The pivots; their product is the determinant."""
        return [self.entries[k, k] for k in self.order]

    def solve(self, right: Any) -> Any:
        """x with A x = right, a column of symbols."""
        x = list(ca.vertsplit(ca.SX(right)))
        for k, rows in zip(self.order, self.later, strict=True):
            for i in rows:
                x[i] = x[i] - self.entries[i, k] * x[k]
        for k, columns in zip(reversed(self.order), reversed(self.across), strict=True):
            for j in columns:
                x[k] = x[k] - self.entries[k, j] * x[j]
            x[k] = x[k] * self.inverse[k]
        return ca.vertcat(*x)


def factors(matrix: Any) -> Factors:
    """Take a square symbolic matrix apart; what is structurally zero costs nothing."""
    n = matrix.shape[0]
    rows, columns = matrix.sparsity().get_triplet()
    entries = {(i, j): matrix[i, j] for i, j in zip(rows, columns, strict=True)}
    for k in range(n):
        entries.setdefault((k, k), ca.SX(0))
    filled = np.zeros((n, n), dtype=bool)
    for i, j in entries:
        filled[i, j] = True
    done, left = Factors([], entries), list(range(n))
    while left:
        k = min(left, key=lambda k: (int(filled[k, left].sum() - 1) * int(filled[left, k].sum() - 1), k))
        left.remove(k)
        below = [i for i in left if filled[i, k]]
        right = [j for j in left if filled[k, j]]
        done.inverse[k] = 1 / entries[k, k]  # once: a division costs as much as ten products
        for i in below:
            entries[i, k] = entries[i, k] * done.inverse[k]
            for j in right:
                taken = entries[i, k] * entries[k, j]
                entries[i, j] = entries[i, j] - taken if filled[i, j] else -taken
                filled[i, j] = True
        done.order.append(k)
        done.later.append(below)
        done.across.append(right)
    return done
