"""Response: what natural frequency and damping ratio say about a step, for one mode alone.

Standard results for y'' + 2 zeta w y' + w^2 y = w^2 after a unit step, 0 < zeta < 1.
"""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value


def overshoot(damping_ratio: Value) -> Value:
    """Overshoot as a share of the step: exp(-pi zeta / sqrt(1 - zeta^2)). Source: standard.

    >>> round(100 * float(overshoot(0.5)), 3)
    16.303
    """
    return np.exp(-np.pi * damping_ratio / np.sqrt(1 - damping_ratio**2))


def peak_time(damping_ratio: Value, natural_frequency: Value) -> Value:
    """Time (s) of the highest point: pi / (w sqrt(1 - zeta^2)), w in rad/s. Source: standard.

    >>> round(1e3 * float(peak_time(0.5, 100.0)), 3)
    36.276
    """
    return np.pi / (natural_frequency * np.sqrt(1 - damping_ratio**2))


def settling_time(damping_ratio: Value, natural_frequency: Value) -> Value:
    """Time (s) until the response stays within about 2 %: 4 / (zeta w), w in rad/s. Source: standard.

    >>> settling_time(0.5, 100.0)
    0.08
    """
    return 4 / (damping_ratio * natural_frequency)


def logarithmic_decrement(first: Value, later: Value, cycles: Value) -> Value:
    """Logarithmic decrement of a swing that falls from ``first`` to ``later`` in ``cycles``: ln(x1 / xn) / n.

    Half a cycle lies between a peak and the dip after it. Source: definition.

    >>> round(float(logarithmic_decrement(1.0, 0.25, 2.0)), 4)
    0.6931
    """
    return np.log(first / later) / cycles


def damping_from_decrement(decrement: Value) -> Value:
    """Damping ratio of one mode from its decrement d: d / sqrt(4 pi^2 + d^2). Source: standard.

    The overshoot of a step is the peak half a cycle after a swing as large as the step itself; 16.303 % give back
    the damping ratio 0.5 of :func:`oilway.laws.response.overshoot`:

    >>> round(float(damping_from_decrement(logarithmic_decrement(1.0, 0.16303, 0.5))), 4)
    0.5
    """
    return decrement / np.sqrt(4 * np.pi**2 + decrement**2)
