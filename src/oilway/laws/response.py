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
