"""Hand checks of a relief: closed forms to hold a computed valve against. No flow force, no friction."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value


def cracking_pressure(area: Value, rate: Value, precompression: Value, back_pressure: Value = 0.0) -> Value:
    """Inlet pressure at which a direct-acting relief begins to open: p = k x0 / A + pT.

    ``area`` of the seat (m2), spring ``rate`` (N/m), ``precompression`` x0 (m), ``back_pressure`` at the
    drain of the spring chamber (Pa gauge): with an internal drain the outlet pressure, which adds in full.

    Source: A. Esposito, Fluid Power with Applications, example 8-1 (inputs seen in a re-publication), in
    pounds and inches: 0.75 in2, 2500 lb/in, 0.20 in.

    >>> round(cracking_pressure(0.75, 2500.0, 0.20), 1)
    666.7
    """
    return full_flow_pressure(area, rate, precompression, 0.0, back_pressure)


def full_flow_pressure(
    area: Value, rate: Value, precompression: Value, lift: Value, back_pressure: Value = 0.0
) -> Value:
    """Inlet pressure of a direct-acting relief open by ``lift`` (m): p = k (x0 + x) / A + pT.

    The override is the difference to ``cracking_pressure``, here k x / A. Source: same example, lift 0.10 in:

    >>> round(full_flow_pressure(0.75, 2500.0, 0.20, 0.10), 1)
    1000.0
    """
    return rate * (precompression + lift) / area + back_pressure


def dimensionless_equilibrium(delta: Value, q: Value) -> tuple[Value, Value]:
    """Equilibrium (lift y1, pressure y3) of a dimensionless relief: y3 = y1 + delta, q = y1 sqrt(y3).

    A single stage; ``delta`` spring preload, ``q`` inflow, both above zero. Newton's method on
    y1^2 (y1 + delta) = q^2, convex for y1 > 0, from above: it cannot overshoot.

    Source, from memory: G. Licskó, A. Champneys, C. Hős, Nonlinear analysis of a single stage pressure relief
    valve, IAENG Int. J. Applied Mathematics 39 (2009):

    >>> [tuple(round(float(y), 5) for y in dimensionless_equilibrium(10.0, q)) for q in (5.0, 8.0)]
    [(1.47596, 11.47596), (2.28267, 12.28267)]
    """
    y = np.minimum(q ** (2 / 3), q / np.sqrt(delta))
    for _ in range(20):
        y = y - (y**2 * (y + delta) - q**2) / (3 * y**2 + 2 * delta * y)
    return y, y + delta
