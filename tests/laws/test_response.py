"""The response formulas against the step response itself."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from oilway.laws import response

W = 100.0


def step(zeta: float) -> tuple[np.ndarray, np.ndarray]:
    """Time and response of y'' + 2 zeta w y' + w^2 y = w^2 from rest."""
    t = np.linspace(0.0, 10.0 / (zeta * W), 20001)
    done = solve_ivp(
        lambda _, y: [y[1], W**2 * (1 - y[0]) - 2 * zeta * W * y[1]], (0.0, t[-1]), [0.0, 0.0],
        t_eval=t, rtol=1e-9, atol=1e-11,
    )  # fmt: skip
    return t, done.y[0]


@pytest.mark.parametrize("zeta", [0.1, 0.3, 0.5, 0.8])
def test_peak_is_where_and_as_high_as_said(zeta: float) -> None:
    t, y = step(zeta)
    assert y.max() - 1 == pytest.approx(float(response.overshoot(zeta)), abs=1e-5)
    assert t[y.argmax()] == pytest.approx(float(response.peak_time(zeta, W)), abs=2 * t[1])


@pytest.mark.parametrize("zeta", [0.1, 0.3, 0.5, 0.8])
def test_it_has_settled_to_about_two_per_cent(zeta: float) -> None:
    t, y = step(zeta)
    assert np.abs(y[t >= response.settling_time(zeta, W)] - 1).max() < 0.025
