"""Springs: rate from the wire, force, solid length, natural frequency."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value


def spring_rate(shear_modulus: Value, wire: Value, mean_diameter: Value, coils: Value) -> Value:
    """Rate (N/m) of a helical compression spring of round wire: k = G d^4 / (8 D^3 Na).

    ``mean_diameter`` D is from wire centre to wire centre, ``coils`` Na counts active coils only. Small
    deflections, index D / d of about 4 to 12. Source, from memory: Shigley, Mechanical Engineering Design,
    chapter 10, eq. 10-9.

    >>> round(spring_rate(79.3e9, 4e-3, 24e-3, 8) / 1e3, 3)  # N/mm
    22.946
    """
    return shear_modulus * wire**4 / (8 * mean_diameter**3 * coils)


def spring_force(rate: Value, compression: Value) -> Value:
    """Force (N) of a loose compression spring: k x; it pushes and never pulls, so 0 for ``compression`` <= 0.

    The relief of A. Esposito, Fluid Power with Applications, example 8-1: 2500 lb/in compressed by 0.20 in is
    500 lb.

    >>> round(float(spring_force(2500.0, 0.20)), 6), float(spring_force(2500.0, -0.1))
    (500.0, 0.0)
    """
    return rate * np.maximum(compression, 0.0)


def solid_length(wire: Value, total_coils: Value) -> Value:
    """Length (m) with all coils touching, ends closed and ground: Ls = d Nt.

    Ends closed but not ground stand one wire higher. Source, from memory: Shigley, chapter 10, table 10-1.

    >>> solid_length(0.5, 10)
    5.0
    """
    return wire * total_coils


def natural_frequency(rate: Value, mass: Value) -> Value:
    """Undamped natural frequency (rad/s) of a mass on a spring: sqrt(k / m). Source: standard.

    >>> round(float(natural_frequency(22.95e3, 0.020)), 1)
    1071.2
    """
    return np.sqrt(rate / mass)
