"""The step: orders of its end, its error estimate and its dense output, on a problem with a closed solution."""

from __future__ import annotations

import casadi as ca
import numpy as np
import pytest

from oilway.solve.rosenbrock import ORDER, between, step

Y, T, AT, H = ca.SX.sym("y"), ca.SX.sym("t"), ca.SX.sym("at"), ca.SX.sym("h")


def taken(rates: ca.SX) -> ca.Function:
    """One step as a function of y, time and length."""
    one = step(rates, Y, T, AT, H)
    return ca.Function("one", [Y, AT, H], [one.end, one.error, *one.bends])


def order(errors: list[float]) -> float:
    """Exponent between two lengths, the second half the first."""
    return float(np.log2(errors[0] / errors[1]))


# y' = -y^2 cos(t), y(0) = 1: y = 1 / (1 + sin(t)); nonlinear, and it depends on time itself
LAW = -(Y**2) * ca.cos(T)


def exact(t: float) -> float:
    return 1 / (1 + np.sin(t))


def test_the_error_falls_with_the_fifth_power_and_its_estimate_covers_it() -> None:
    one = taken(LAW)
    errors = []
    for steps in (20, 40):
        y, h, estimates = 1.0, 1.5 / steps, 0.0
        for k in range(steps):
            end, error = (float(v) for v in one(y, k * h, h)[:2])
            y, estimates = end, estimates + abs(error)
        errors.append(abs(y - exact(1.5)))
        assert errors[-1] < estimates < 1e-4
    assert order(errors) == pytest.approx(5, abs=0.3)


# y0' = y0 y1, y1' = -y0^2: y0 = 1 / cosh(t), y1 = -tanh(t); a Jacobian that is full and changes along the way
PAIR = ca.SX.sym("pair", 2)


def test_two_coupled_equations_fall_with_the_fifth_power_too() -> None:
    made = step(ca.vertcat(PAIR[0] * PAIR[1], -(PAIR[0] ** 2)), PAIR, T, AT, H)
    one = ca.Function("one", [PAIR, AT, H], [made.end])
    errors = []
    for steps in (10, 20):
        y = np.array([1.0, 0.0])
        for k in range(steps):
            y = np.array(one(y, k * 1.5 / steps, 1.5 / steps)).ravel()
        errors.append(float(np.abs(y - [1 / np.cosh(1.5), -np.tanh(1.5)]).max()))
    assert order(errors) == pytest.approx(5, abs=0.4)


def test_the_estimate_grows_with_the_power_that_the_choice_of_steps_supposes() -> None:
    one = taken(LAW)
    assert order([abs(float(one(exact(0.3), 0.3, h)[1])) for h in (0.1, 0.05)]) == pytest.approx(ORDER, abs=0.3)


def test_dense_output_has_order_four() -> None:
    one = taken(LAW)
    errors = []
    for h in (0.1, 0.05):
        end, _, *bends = (float(v) for v in one(exact(0.3), 0.3, h))
        within = [between(s, exact(0.3), end, tuple(bends)) - exact(0.3 + s * h) for s in (0.25, 0.5, 0.75)]
        errors.append(max(map(abs, within)))
    assert order(errors) == pytest.approx(5, abs=0.3)


def test_a_stiff_problem_lands_on_its_slow_solution() -> None:
    # y' = -1e6 (y - cos(t)) - sin(t): A. Prothero and A. Robinson's problem (from memory), y = cos(t)
    one = taken(-1e6 * (Y - ca.cos(T)) - ca.sin(T))
    assert float(one(np.cos(0.3), 0.3, 0.05)[0]) == pytest.approx(np.cos(0.35), abs=1e-8)
    assert float(one(2.0, 0.3, 0.05)[0]) == pytest.approx(np.cos(0.35), abs=1e-3)
