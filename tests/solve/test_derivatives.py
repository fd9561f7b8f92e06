"""Exact derivatives against finite differences and against solving again: a wrong one shows here.

States are taken off the solved one, at random but fixed places, so that no kink (a shut check valve, a part on
its seat, a passage at exactly zero drop) lies within the step of the difference.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

import oilway
from oilway.model.machine import Machine
from oilway.solve.point import pushed, solve_point
from oilway.solve.steady import steady
from oilway.study.story import examples, hoist

MACHINES: dict[str, Callable[[], Machine]] = {
    "direct relief": lambda: oilway.load("direct relief"),
    "pilot relief": lambda: oilway.load("pilot relief"),
    "stepped relief": lambda: oilway.load(examples() / "damped_step_relief.yaml"),
    "hoist, direct": lambda: hoist("direct-acting"),
    "hoist, two-stage, no load check": lambda: hoist("two-stage", "left out"),
}
STEP = 1e-6  # of the scale of an unknown (10 Pa, 1 nm), or of a parameter
POINTS = {"": [{}], "hoist": [{"lever": "1", "load pressure": "2600 psi"}, {"lever": "0.6"}, {"lever": "-0.7"}]}


@pytest.fixture(scope="module", params=list(MACHINES))
def built(request: pytest.FixtureRequest) -> Machine:
    return MACHINES[request.param]()


def states(built: Machine, apart: float = 0.02):
    """Pairs (z, th) off the solved states of a machine."""
    random = np.random.default_rng(7)
    points = POINTS["hoist" if "hoist" in built.title else ""]
    for words in points:
        point = built.point_from(words)
        z = solve_point(built, point).z
        for _ in range(3):
            yield z + random.normal(size=len(z)) * apart * built.system.scale, built.theta(point)


def test_jacobian_of_the_unknowns(built: Machine) -> None:
    system = built.system
    for z, th in states(built):
        exact = system.scaled(z, th)[1].copy()
        by_difference = np.empty_like(exact)
        for j in range(system.size):
            step = np.zeros(system.size)
            step[j] = STEP * system.scale[j]
            above, below = (system.scaled(z + sign * step, th)[0].copy() for sign in (1, -1))
            by_difference[:, j] = (above - below) / (2 * STEP)
        size = np.abs(exact) + 1e-3 * np.abs(exact).max(axis=1, keepdims=True)
        worst = np.unravel_index(np.argmax(np.abs(exact - by_difference) / size), exact.shape)
        names = system.unknowns[worst[0]].equation, system.unknowns[worst[1]].name
        assert np.abs(exact - by_difference)[worst] <= 1e-3 * size[worst], names


def test_jacobian_of_the_parameters(built: Machine) -> None:
    system = built.system
    for z, th in states(built):
        exact = system.parameter_jacobian(z, th)
        for name, k in system.parameters.items():
            if th[k] == 0 or name.startswith("form."):
                continue
            step = np.zeros(len(th))
            step[k] = STEP * abs(th[k])
            above, below = (system.residual(z, th + sign * step)[0] for sign in (1, -1))
            by_difference = (above - below) / (2 * STEP) / system.row_scale
            by_relative_change = exact[:, k] * abs(th[k]) / system.row_scale
            assert by_difference == pytest.approx(by_relative_change, rel=1e-3, abs=1e-8), name


@pytest.mark.parametrize(
    ("valve", "parameters"),
    [
        ("direct relief", ["main spring.turns", "main spring.rate", "seat.diameter", "test pump.flow", "oil.mu"]),
        (
            "pilot relief",
            ["pilot spring.turns", "main spring.rate", "main orifice.diameter", "pilot face.diameter"],
        ),
    ],
)
def test_pressure_follows_a_parameter_as_its_derivative_says(valve: str, parameters: list[str]) -> None:
    """Implicit function theorem: dz/dth = -J^-1 df/dth, against solving again at both sides."""
    built = oilway.load(valve)
    system = built.system
    th = pushed(system, built.theta(), "open")
    z = steady(system, th)
    derivative = -np.linalg.solve(system.residual(z, th)[1], system.parameter_jacobian(z, th))
    inlet = system.index["pressure in inlet"]
    for name in parameters:
        k = system.parameters[name]
        step = np.zeros(len(th))
        step[k] = 1e-5 * th[k]
        above, below = (steady(system, th + sign * step, z)[inlet] for sign in (1, -1))
        assert (above - below) / (2 * step[k]) == pytest.approx(derivative[inlet, k], rel=1e-5), name
