"""Compressibility: how oil, the air in it and the walls round it give way, and what density follows.

The mixture laws share one form. A volume of 1 at ambient pressure (0 gauge) holds the share ``air`` of free
air and 1 - ``air`` of liquid. At gauge pressure p it fills

    v(p) = (1 - air) exp(-p / modulus) + air (p_ambient / P)^(1 / n),   P = p + p_ambient

so that the density is rho0 / v, with rho0 that of the mixture at 0 gauge. The air stays free: none dissolves,
which over-states it at high pressure, where its share is small anyway. The gas law stops at ``FLOOR``; below,
the gas keeps its volume, so that every law stays finite where a solver may wander. Oil does not hold such a
vacuum: a pressure down there is to be reported, not believed.
"""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value

FLOOR = 100.0
"""Lowest absolute pressure (Pa) at which the gas law is applied."""

ISOTHERMAL = 1e-9
"""Smallest 1 - 1/n used, so that slow, isothermal gas (n = 1) needs no formula of its own."""


def effective_bulk_modulus(
    liquid_modulus: Value, gas_fraction: Value, absolute_pressure: Value, n: Value = 1.4
) -> Value:
    """Bulk modulus of liquid with free gas: 1 / Be = 1 / Bl + (Vg / Vt) / (n p), in the arguments' unit.

    ``gas_fraction`` Vg / Vt is the share of volume at that pressure, ``absolute_pressure`` p in the unit of
    ``liquid_modulus`` Bl; n = 1.4 for quick (adiabatic) changes, 1.0 for slow ones. For a few per cent of
    gas.

    Source, from memory: Merritt (1967) section 1-3. One per cent of air at 500 psi absolute, in psi:

    >>> round(effective_bulk_modulus(220000.0, 0.01, 500.0))
    53103
    """
    return 1 / (1 / liquid_modulus + gas_fraction / (n * absolute_pressure))


def series_bulk_modulus(*moduli: Value) -> Value:
    """Bulk modulus of parts that give way together (oil, hose, ...): 1 / Be = 1 / B1 + 1 / B2 + ...

    Each modulus refers to the same volume. Source, from memory: Merritt (1967) section 1-3; hose
    illustrative.

    >>> round(series_bulk_modulus(1.4e9, 0.28e9) / 1e6, 2)
    233.33
    """
    return 1 / sum(1 / b for b in moduli)


def pressure_rise_rate(modulus: Value, flow: Value, volume: Value) -> Value:
    """Rate of pressure rise (Pa/s) in a closed volume (m3) fed with ``flow`` (m3/s): dp/dt = B Q / V.

    Source: continuity (Merritt, from memory). 60 L/min into 1 L, 14 000 bar/s:

    >>> round(pressure_rise_rate(1.4e9, 60e-3 / 60, 1e-3) / 1e5)
    14000
    """
    return modulus * flow / volume


def sound_speed(modulus: Value, rho: Value) -> Value:
    """Speed of a pressure wave (m/s): c = sqrt(B / rho). Source: standard.

    >>> round(float(sound_speed(1.4e9, 870.0)), 1)
    1268.5
    """
    return np.sqrt(modulus / rho)


def joukowsky_rise(rho: Value, c: Value, dv: Value) -> Value:
    """Pressure rise (Pa) when a column of oil loses the velocity ``dv`` (m/s) at once: rho c dv.

    Source: N. Joukowsky, standard. In bar:

    >>> round(joukowsky_rise(870.0, 1268.5, 5.0) / 1e5, 2)
    55.18
    """
    return rho * c * dv


def hydraulic_natural_frequency(modulus: Value, area: Value, volume: Value, mass: Value) -> Value:
    """Undamped natural frequency (rad/s) of a mass on a centred cylinder: sqrt(4 B A^2 / (Vt M)).

    ``area`` A of the piston on either side (m2), ``volume`` Vt of oil on both sides together (m3), lines
    included. Source, from memory: Merritt (1967) chapter 6.

    >>> round(float(hydraulic_natural_frequency(1.4e9, 20e-4, 2e-3, 1000.0)), 2)
    105.83
    """
    return np.sqrt(4 * modulus * area**2 / (volume * mass))


def _gas_share(p: Value, air: Value, p_ambient: Value, n: Value) -> Value:
    """Volume of the free air at ``p``, per volume of mixture at 0 gauge."""
    return air * (p_ambient / np.maximum(p + p_ambient, FLOOR)) ** (1 / n)


def mixture_volume_ratio(p: Value, modulus: Value, air: Value, p_ambient: Value, n: Value = 1.4) -> Value:
    """Volume at gauge pressure ``p`` (Pa) of what fills 1 at 0 gauge; the form is at the head of this module.

    Source: constant bulk modulus (definition) and the gas law. Air alone, slowly pressed to twice its
    absolute pressure, fills half the room:

    >>> round(float(mixture_volume_ratio(101325.0, 1.5e9, 1.0, 101325.0, n=1.0)), 6)
    0.5
    """
    return (1 - air) * np.exp(-p / modulus) + _gas_share(p, air, p_ambient, n)


def density(p: Value, rho0: Value, modulus: Value, air: Value, p_ambient: Value, n: Value = 1.4) -> Value:
    """Density (kg/m3) of oil with air at gauge pressure ``p``: rho0 / v(p).

    Source: the form at the head of this module. Oil of 1.5 GPa at 3000 psi is over 1 % denser (in per cent):

    >>> round(100 * (float(density(20.684e6, 870.0, 1.5e9, 0.0, 101325.0)) / 870.0 - 1), 2)
    1.39
    """
    return rho0 / mixture_volume_ratio(p, modulus, air, p_ambient, n)


def density_slope(p: Value, rho0: Value, modulus: Value, air: Value, p_ambient: Value, n: Value = 1.4) -> Value:
    """Slope d rho / d p (kg/m3 per Pa) of ``density``; density / slope is the tangent bulk modulus.

    Source: derivative of the form at the head of this module. For liquid alone it gives back the modulus
    (GPa):

    >>> args = (5e6, 870.0, 1.5e9, 0.0, 101325.0)
    >>> round(float(density(*args) / density_slope(*args)) / 1e9, 6)
    1.5
    """
    absolute = p + p_ambient
    liquid = (1 - air) / modulus * np.exp(-p / modulus)
    gas = (absolute > FLOOR) * _gas_share(p, air, p_ambient, n) / (n * np.maximum(absolute, FLOOR))
    return rho0 * (liquid + gas) / mixture_volume_ratio(p, modulus, air, p_ambient, n) ** 2


def flow_work(p: Value, rho0: Value, modulus: Value, air: Value, p_ambient: Value, n: Value = 1.4) -> Value:
    """Work (J/kg) that oil at ``p`` gives on its way to 0 gauge: the integral of dp / rho from 0 to p.

    The difference between two chambers, times the mass flow, is what a restriction turns into heat. It closes
    the power ledger exactly, which p times Q does not, since Q differs from one side to the other.

    Source: integral of the form at the head of this module, with what lies below ``FLOOR``. Without air it is
    p / rho less half of p / modulus, at 200 bar 0.66 %:

    >>> work = float(flow_work(200e5, 870.0, 1.5e9, 0.0, 101325.0))
    >>> round(100 * (1 - work / (200e5 / 870.0)), 2)
    0.66
    """
    m = np.maximum(1 - 1 / n, ISOTHERMAL)
    absolute = p + p_ambient
    liquid = -(1 - air) * modulus * np.expm1(-p / modulus)
    gas = air * p_ambient * np.expm1(m * np.log(np.maximum(absolute, FLOOR) / p_ambient)) / m
    below = _gas_share(-p_ambient, air, p_ambient, n) * np.minimum(absolute - FLOOR, 0.0)
    return (liquid + gas + below) / rho0
