"""Heat: how fast the oil warms, and where its temperature settles."""

from __future__ import annotations

import math
from collections.abc import Sequence

from oilway.laws.values import Value

SPECIFIC_HEAT = 1970.0  # J/(kg K), mineral oil; 1900 to 2100 (common practice)
CARRIED = 870.0 * SPECIFIC_HEAT  # J/(m3 K), what a volume of mineral oil carries (common practice)


def warming_rate(heat: Value, mass: Value, specific_heat: Value = SPECIFIC_HEAT) -> Value:
    """How fast (K/s) oil of ``mass`` (kg) warms under ``heat`` (W) while none is given off: P / (m c).

    ``specific_heat`` c in J/(kg K).  The steel that warms with the oil is left out, so a machine warms more
    slowly than this.  Source: energy balance.  19.7 kW into 100 kg of oil warm it by 6 K a minute (by hand):

    >>> round(60 * warming_rate(19.7e3, 100.0), 9)
    6.0
    """
    return heat / (mass * specific_heat)


def heat_given_off(conductance: Value, oil: Value, medium: Value) -> Value:
    """Heat (W) that oil gives off through a wall or a cooler: G (T - Tm); negative where it takes heat up.

    ``conductance`` G in W/K, ``oil`` T and ``medium`` Tm in one unit of 1 K a degree. Source: Newton's law of
    cooling. 180 W/K at oil of 60 over air of 25 degrees (by hand):

    >>> heat_given_off(180.0, 60.0, 25.0)
    6300.0
    """
    return conductance * (oil - medium)


def wall_conductance(heat_transfer: Value, area: Value) -> Value:
    """Heat per degree (W/K) that a wall gives off: h A, ``heat_transfer`` h in W/(m2 K), ``area`` A in m2.

    Typical h of a tank wall in still air is 12 W/(m2 K); lines and cylinders, which cool too, are left out
    (common practice). Source: Newton's law of cooling. 2 m2 of wall (by hand):

    >>> wall_conductance(12.0, 2.0)
    24.0
    """
    return heat_transfer * area


def cooler_conductance(flow: float, rated_flow: float, rated: float) -> float:
    """Heat per degree (W/K) that a cooler gives off at a ``flow`` (m3/s), known as ``rated`` at ``rated_flow``.

    A degree is one between the oil that comes in and the medium, whose own warming counts as nothing. Form:
    G = C (1 - exp(-N / C)) with C = ``CARRIED`` Q, and N from the same at the rated point. It grows with the flow
    up to N, which is somewhat more than ``rated``; oil that does not go through is not cooled. ``rated`` is less
    than the oil of the rated flow carries, else ``ValueError``. That N does not change with flow is common
    practice.

    Source, from memory: W. M. Kays, A. L. London, Compact Heat Exchangers, effectiveness 1 - exp(-NTU) at a
    capacity ratio of zero, 63.2 % at one transfer unit. Rated at that, half the flow has two, 86.5 %:

    >>> half = cooler_conductance(0.5e-3, 1e-3, (1 - math.exp(-1.0)) * CARRIED * 1e-3)
    >>> round(half / (CARRIED * 0.5e-3), 3)
    0.865
    """
    if not rated < CARRIED * rated_flow:
        raise ValueError("a cooler gives off no more than the oil of its rated flow carries")
    units = -math.log1p(-rated / (CARRIED * rated_flow)) * CARRIED * rated_flow
    return 0.0 if flow <= 0 else -CARRIED * flow * math.expm1(-units / (CARRIED * flow))


def steady_temperature(heat: float, ways: Sequence[tuple[float, float]]) -> float:
    """Oil temperature (degC) at which walls and coolers give off all the ``heat`` P (W): sum G (T - Tm) = P.

    ``ways``: conductance G (W/K) and temperature Tm (degC) of the medium of each; ``ZeroDivisionError`` where
    none gives anything off. Source: Newton's law of cooling and energy balance. 1.2 kW through 2 m2 of wall at
    12 W/(m2 K) stand 50 K over the air; a cooler of 36 W/K with 32 degree water beside it takes most (by hand):

    >>> steady_temperature(1200.0, [(24.0, 20.0)])
    70.0
    >>> steady_temperature(1200.0, [(24.0, 20.0), (36.0, 32.0)])
    47.2
    """
    return (heat + sum(g * medium for g, medium in ways)) / sum(g for g, _ in ways)
