"""Lines: friction in straight pipe and hose, fittings, height."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value

GRAVITY = 9.80665  # m/s2, standard


def reynolds(v: Value, d: Value, nu: Value) -> Value:
    """Reynolds number v d / nu of a round line (m/s, m, m2/s). Source: definition.

    Line to a motor, A. Esposito, Fluid Power with Applications, example 4-10 (inputs seen in a
    re-publication):

    >>> round(reynolds(0.00190 / (3.141592653589793 / 4 * 0.0254**2), 0.0254, 100e-6), 1)
    952.4
    """
    return v * d / nu


def laminar_line_drop(flow: Value, diameter: Value, length: Value, mu: Value) -> Value:
    """Pressure drop (Pa) of laminar flow in a round line: dp = 128 mu L Q / (pi d^4); Re below about 2000.

    Source: Hagen and Poiseuille, standard. 60 L/min of 46 mm2/s oil through 10 m of 20 mm bore:

    >>> round(laminar_line_drop(1e-3, 20e-3, 10.0, 46e-6 * 870.0) / 1e5, 4)
    1.0191
    """
    return 128 * mu * length * flow / (np.pi * diameter**4)


def colebrook(re: Value, rel_roughness: Value) -> Value:
    """Friction factor (Darcy) of turbulent flow: 1 / sqrt f = -2 log10(e / 3.7 + 2.51 / (Re sqrt f)).

    ``rel_roughness`` e = roughness / bore. Re above about 4000, e to 0.05. Solved by Newton's method in 1 /
    sqrt f, eight steps from the smooth-pipe law of Blasius. Reference beside ``friction_reynolds``, which the
    solver uses.

    Source, from memory: C. F. Colebrook, J. Inst. Civil Engineers 11 (1939) 133-156; value from the
    documentation of the open library fluids (from memory):

    >>> round(float(colebrook(1e5, 1e-4)), 8)
    0.01851387
    """
    x = 1 / np.sqrt(blasius(re))
    for _ in range(8):
        inner = rel_roughness / 3.7 + 2.51 * x / re
        x = x - (x + 2 * np.log10(inner)) / (1 + 2 / np.log(10.0) * 2.51 / re / inner)
    return 1 / x**2


def blasius(re: Value) -> Value:
    """Friction factor (Darcy) of turbulent flow in a smooth pipe: 0.3164 Re^-0.25; Re 4000 to 100 000.

    Source: H. Blasius, standard. Within 3 % of Colebrook's 0.030883:

    >>> round(blasius(1e4), 6)
    0.03164
    """
    return 0.3164 * re**-0.25


def friction_reynolds(re: Value, rel_roughness: Value) -> Value:
    """Friction factor (Darcy) times Reynolds number, laminar to rough in one smooth formula; 64 at rest.

    Form: f = 8 [(8 / Re)^12 + (A + B)^-1.5]^(1/12) with A = [-2.457 ln((7 / Re)^0.9 + 0.27 e)]^16 and B =
    (37530 / Re)^16. Multiplied by Re, which is held at 1 or more (the turbulent term has long vanished
    there), it has a finite slope at rest.

    ``re`` not negative, ``rel_roughness`` e = roughness / bore up to 0.05. Within 0.1 % of 64 / Re up to Re =
    1500 and 4 % of Colebrook from 4000; between these a smooth curve through what is scattered data.

    Source, from memory: S. W. Churchill, Friction-factor equation spans all fluid-flow regimes, Chemical
    Engineering 84(24) (1977) 91-92. At Re = 1e5, e = 1e-4, Colebrook has 0.01851387; this is 0.3 % under it:

    >>> round(float(friction_reynolds(0.0, 1e-4)), 9)
    64.0
    >>> round(100 * (float(friction_reynolds(1e5, 1e-4)) / 1e5 / 0.01851387 - 1), 1)
    -0.3
    """
    re = np.maximum(re, 1.0)
    a = (2.457 * np.log((7 / re) ** 0.9 + 0.27 * rel_roughness)) ** 2
    b = (37530 / re) ** 2
    return 8 * (8**12 + re**12 * (a**8 + b**8) ** -1.5) ** (1 / 12)


def line_drop(
    velocity: Value,
    diameter: Value,
    length: Value,
    roughness: Value,
    rho: Value,
    mu: Value,
    k_minor: Value = 0.0,
) -> Value:
    """Pressure drop (Pa) along a line and its fittings, signed like ``velocity`` (m/s).

    Form: dp = f (L / d) rho v |v| / 2 + K rho v |v| / 2, f from ``friction_reynolds``, ``k_minor`` K the sum
    of the loss coefficients. The friction is written (f Re) mu L v / (2 d^2), which has a finite slope at
    rest.

    Source: Darcy and Weisbach, standard. 60 L/min of 46 mm2/s oil through 10 m of 20 mm bore is laminar,
    1.0191 bar:

    >>> v = 1e-3 / (3.141592653589793 / 4 * 20e-3**2)
    >>> round(float(line_drop(v, 20e-3, 10.0, 1e-5, 870.0, 46e-6 * 870.0)) / 1e5, 4)
    1.0191
    """
    speed = np.abs(velocity)
    factor = friction_reynolds(rho * speed * diameter / mu, roughness / diameter)
    friction = factor * mu * length * velocity / (2 * diameter**2)
    return friction + k_minor * rho * velocity * speed / 2


def elevation_drop(rho: Value, rise: Value) -> Value:
    """Pressure (Pa) lost on the way up by ``rise`` (m): rho g h. Source: hydrostatics.

    Ten metres of water are close to one bar:

    >>> round(elevation_drop(1000.0, 10.0) / 1e5, 3)
    0.981
    """
    return rho * GRAVITY * rise
