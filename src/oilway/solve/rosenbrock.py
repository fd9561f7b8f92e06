"""One step of a stiff integrator written out as symbols, for runs of many parameter sets side by side.

Eight stages, one Jacobian and one elimination a step; order 5 with an error estimate of order 4 and dense output
of order 4; stiffly accurate.  Source: G. Steinebach, "Construction of Rosenbrock-Wanner method Rodas5P and
numerical benchmarks within the Julia Differential Equations package", BIT Numerical Mathematics 63 (2023);
coefficients from memory, held by the test of their orders.  The form, without products by the Jacobian: E. Hairer
and G. Wanner, "Solving Ordinary Differential Equations II", 2nd ed., section IV.7.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import casadi as ca

from oilway.solve.elimination import factors

GAMMA = 0.21193756319429014
ACROSS = (  # a: what of the stages before goes into the state of stages 2 to 6
    (3.0,),
    (2.849394379747939, 0.45842242204463923),
    (-6.954028509809101, 2.489845061869568, -10.358996098473584),
    (2.8029986275628964, 0.5072464736228206, -0.3988312541770524, -0.04721187230404641),
    (-7.502846399306121, 2.561846144803919, -11.627539656261098, -0.18268767659942256, 0.030198172008377946),
)
INTO = (  # c: what of the stages before goes into the right side of stages 2 to 8, per step
    (-14.155112264123755,),
    (-17.97296035885952, -2.859693295451294),
    (147.12150275711716, -1.41221402718213, 71.68940251302358),
    (165.43517024871676, -0.4592823456491126, 42.90938336958603, -5.961986721573306),
    (24.854864614690072, -3.0009227002832186, 47.4931110020768, 5.5814197821558125, -0.6610691825249471),
    (
        30.91273214028599, -3.1208243349937974, 77.79954646070892, 34.28646028294783, -19.097331116725623,
        -28.087943162872662,
    ),
    (
        37.80277123390563, -3.2571969029072276, 112.26918849496327, 66.9347231244047, -40.06618937091002,
        -54.66780262877968, -9.48861652309627,
    ),
)  # fmt: skip
# share of the step at which each stage looks
MOMENTS = (0.0, 0.6358126895828704, 0.4095798393397535, 0.9769306725060716, 0.4288403609558664, 1.0, 1.0, 1.0)
SLOPES = (  # share of the change in time of the laws themselves
    0.21193756319429014, -0.42387512638858027, -0.3384627126235924, 1.8046452872882734, 2.325825639765069,
    0.0, 0.0, 0.0,
)  # fmt: skip
DENSE = (
    (
        25.948786856663858, -2.5579724845846235, 10.433815404888879, -2.3679251022685204, 0.524948541321073,
        1.1241088310450404, 0.4272876194431874, -0.17202221070155493,
    ),
    (
        -9.91568850695171, -0.9689944594115154, 3.0438037242978453, -24.495224566215796, 20.176138334709044,
        15.98066361424651, -6.789040303419874, -6.710236069923372,
    ),
    (
        11.419903575922262, 2.8879645146136994, 72.92137995996029, 80.12511834622643, -52.072871366152654,
        -59.78993625266729, -0.15582684282751913, 4.883087185713722,
    ),
)  # fmt: skip
ORDER = 5  # the error estimate grows with this power of the step


@dataclass(frozen=True)
class Step:
    """The symbols of one step: its end, its error, and the ``bends`` that :func:`between` takes; each (k, 1)."""

    end: Any
    error: Any
    bends: tuple[Any, Any, Any]


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
        if 0 < stage <= len(ACROSS):
            state = y + _sum(ACROSS[stage - 1], parts)
        elif stage:
            state = state + parts[-1]
        right = law(state, at + moment * h, ca.vertcat(*free)) + slope * h * drift
        if stage:
            right = right + _sum(INTO[stage - 1], parts) / h
        parts.append(taken.solve(right))
    first, second, third = (_sum(row, parts) for row in DENSE)
    return Step(state + parts[-1], parts[-1], (first, second, third))


def between(share: Any, first: Any, last: Any, bends: tuple[Any, Any, Any]) -> Any:
    """The state at a share (0 to 1) of a step, from its ends and its bends; symbols or arrays."""
    low, middle, high = bends
    return first * (1 - share) + share * (last + (1 - share) * (low + share * (middle + share * high)))


def _sum(factors_of: tuple[float, ...], parts: list[Any]) -> Any:
    total = 0
    for factor, part in zip(factors_of, parts, strict=True):
        total = total + factor * part
    return total
