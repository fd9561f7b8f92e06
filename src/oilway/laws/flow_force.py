"""Steady flow force: the push towards shut that a jet leaves on the part that meters it."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value


def spool_flow_force_coefficient(cd: Value, cv: Value, jet_angle: Value) -> Value:
    """Coefficient of F = K w x dp for a sharp metering edge: K = 2 Cd Cv cos(theta).

    ``jet_angle`` theta (rad) is between the jet and the axis of the part. Source, from memory: Merritt (1967)
    chapter 5, who rounds to 0.43 for theta = 69 degrees:

    >>> import math
    >>> round(float(spool_flow_force_coefficient(0.61, 0.98, math.radians(69))), 4)
    0.4285
    """
    return 2 * cd * cv * np.cos(jet_angle)


def flow_force(
    rho: Value,
    area: Value,
    velocity: Value,
    jet_angle: Value,
    cd: Value = 0.61,
    cv: Value = 0.98,
    recovered: Value = 0.0,
) -> Value:
    """Steady closing force (N) on a metering part: F = (1 - recovered) rho Q v_jet cos(theta), never below 0.

    ``velocity`` is the mean velocity Q / A of ``restrictions.orifice_velocity`` (m/s), ``area`` the opening
    (m2). The jet narrows to v_jet = (Cv / Cd) Q / A, so that in turbulent flow F = 2 Cd Cv A dp cos(theta).
    ``jet_angle`` theta (rad) is between jet and axis: about 69 degrees for a sharp spool edge, the half angle
    of the cone for a poppet. ``recovered`` (0..1) is the share of the jet's axial momentum that the part's
    own shape turns back (a lip, a bucket); 0 for a plain part.

    Direction of flow. On a spool the force closes whichever way the oil flows: reversed, the jet and the side
    it comes from turn round together (Merritt). On a poppet the derivation holds for flow from under the
    seat. For oil flowing back through an open seat the momentum balance of the bore again closes, but part of
    the reaction falls on the body, by an amount that depends on its shape; this law keeps the full closing
    value. It matters little, since the same pressure difference pushes the poppet shut.

    In laminar flow there is no free jet and the force is over-estimated; it is small beside a spring then.

    Source, from memory: Merritt (1967) chapter 5. A 10 mm spool open 0.3 mm at 200 bar: 0.43 w x dp = 81.05
    N, with the coefficient not rounded 0.4 % less:

    >>> import math
    >>> area, dp, rho = math.pi * 10e-3 * 0.3e-3, 200e5, 870.0
    >>> mean_velocity = 0.61 * math.sqrt(2 * dp / rho)
    >>> round(100 * (float(flow_force(rho, area, mean_velocity, math.radians(69))) / 81.05 - 1), 1)
    -0.4
    """
    return (1 - recovered) * rho * area * velocity**2 * (cv / cd) * np.cos(jet_angle)
