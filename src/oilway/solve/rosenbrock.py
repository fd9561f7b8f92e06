"""One step of a stiff integrator written out as symbols, for runs of many parameter sets side by side.

Six stages, one Jacobian and one elimination a step; order 4 with an error estimate of order 3 and dense output of
order 3; stiffly accurate.  Source: E. Hairer and G. Wanner, "Solving Ordinary Differential Equations II", 2nd ed.,
section IV.7 and VI.4, method RODAS; coefficients from memory, held by the test of its orders.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import casadi as ca

from oilway.solve.elimination import factors

GAMMA = 0.25
ACROSS = (  # a: what of the stages before goes into the state of stages 2 to 5
    (1.544,),
    (0.9466785280815826, 0.2557011698983284),
    (3.314825187068521, 2.896124015972201, 0.9986419139977817),
    (1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950),
)
INTO = (  # c: what of the stages before goes into the right side of stages 2 to 6, per step
    (-5.6688,),
    (-2.430093356833875, -0.2063599157091915),
    (-0.1073529058151375, -9.594562251023355, -20.47028614809616),
    (7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160),
    (8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054),
)
MOMENTS = (0.0, 0.386, 0.21, 0.63, 1.0, 1.0)  # share of the step at which each stage looks
SLOPES = (
    0.25,
    -0.1043,
    0.1035,
    -0.0362000000000023,
    0.0,
    0.0,
)  # share of the change in time of the laws themselves
DENSE = (
    (10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662),
    (-0.6762803392806898, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872),
)


@dataclass(frozen=True)
class Step:
    """The symbols of one step: its ends, its error (k, 1), and what :func:`between` takes."""

    end: Any
    error: Any
    bend: Any
    twist: Any


def step(rates: Any, y: Any, time: Any, at: Any, h: Any) -> Step:
    """A step of length ``h`` of dy/dt = ``rates(y, time)``, given as symbols, from the time ``at``.

    ``y`` (k, 1), ``time`` and ``h`` are symbols; ``at`` may be a symbol of its own or ``time``.
    """
    law = ca.Function("law", [y, time], [rates], {"allow_free": True})
    free = law.free_sx() if law.has_free() else []
    law = ca.Function("law", [y, time, ca.vertcat(*free)], [rates])
    jacobian = ca.substitute(ca.jacobian(rates, y), time, at)
    drift = ca.substitute(ca.jacobian(rates, time), time, at)
    taken = factors(ca.diag(ca.SX.ones(y.shape[0]) / (GAMMA * h)) - jacobian)
    parts: list[Any] = []
    state = y
    for stage, (moment, slope) in enumerate(zip(MOMENTS, SLOPES, strict=True)):
        if 0 < stage < 5:
            state = y + _sum(ACROSS[stage - 1], parts)
        elif stage:
            state = state + parts[-1]
        right = law(state, at + moment * h, ca.vertcat(*free)) + slope * h * drift
        if stage:
            right = right + _sum(INTO[stage - 1], parts) / h
        parts.append(taken.solve(right))
    return Step(state + parts[-1], parts[-1], *(_sum(row, parts[:5]) for row in DENSE))


def between(share: Any, first: Any, last: Any, bend: Any, twist: Any) -> Any:
    """The state at a share (0 to 1) of a step, from its ends and its bend and twist; symbols or arrays."""
    return first * (1 - share) + share * (last + (1 - share) * (bend + share * twist))


def _sum(factors_of: tuple[float, ...], parts: list[Any]) -> Any:
    total = 0
    for factor, part in zip(factors_of, parts, strict=True):
        total = total + factor * part
    return total
