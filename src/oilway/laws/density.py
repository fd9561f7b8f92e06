"""Density of oil against temperature, at ambient pressure. Under pressure: ``compress.density``."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value


def density_at_temperature(rho15: Value, t_C: Value) -> Value:
    """Density (kg/m3) at ``t_C`` from that at 15 degrees: rho = rho15 exp(-a dT (1 + 0.8 a dT)).

    dT = t_C - 15, a = 0.6278 / rho15 per kelvin. For lubricating and hydraulic oils of mineral base, 800 to
    1160 kg/m3. Source, from memory: API MPMS chapter 11.1, table 54D, K0 = 0, K1 = 0.6278. From 870 kg/m3 to
    50 degrees:

    >>> round(float(density_at_temperature(870.0, 50.0)), 2)
    847.87
    """
    step = 0.6278 / rho15 * (t_C - 15.0)
    return rho15 * np.exp(-step * (1 + 0.8 * step))
