"""Gas: how the charge of an accumulator gives way to oil.

Pressures are absolute here, in any unit as long as it is one. The charge starts at its precharge, where it fills
the whole shell, and follows one polytropic exponent n from there: 1.0 for slow changes (the gas keeps its
temperature), 1.4 for quick ones (nitrogen loses no heat; at high pressure the real figure is higher).
"""

from __future__ import annotations

import numpy as np

from oilway.laws.compress import ISOTHERMAL
from oilway.laws.values import Value


def gas_volume(size: Value, precharge: Value, pressure: Value, n: Value = 1.4) -> Value:
    """Volume of the charge at ``pressure``: V = V0 (p0 / p)^(1 / n); below the precharge the shell, V0.

    ``size`` V0 of the shell, in the unit of the result; ``precharge`` p0 above zero. Source: gas law,
    standard. What 10 L precharged to 100 bar deliver from 200 down to 120 bar, slowly and quickly, in L:

    >>> [round(float(gas_volume(10.0, 100.0, 120.0, n) - gas_volume(10.0, 100.0, 200.0, n)), 4) for n in (1, 1.4)]
    [3.3333, 2.6839]
    """
    return size * (precharge / np.maximum(pressure, precharge)) ** (1 / n)


def gas_work(size: Value, precharge: Value, pressure: Value, n: Value = 1.4) -> Value:
    """Work that presses the charge from its precharge to ``pressure``: the integral of p dV of the gas.

    In units of pressure x volume: p0 V0 / (n - 1) ((p / p0)^((n - 1) / n) - 1), for n = 1 p0 V0 ln(p / p0).
    Source: gas law, standard. 10 L at 100 bar pressed slowly to 200 bar: 1000 bar L x ln 2, in kJ:

    >>> round(float(gas_work(10e-3, 100e5, 200e5, 1.0)) / 1e3, 3)
    69.315
    """
    m = np.maximum(1 - 1 / n, ISOTHERMAL)
    ratio = np.maximum(pressure, precharge) / precharge
    return size * precharge * np.expm1(m * np.log(ratio)) / (n * m)


def at_temperature(pressure: Value, temperature: Value, wanted: Value) -> Value:
    """Absolute pressure of a charge shut in at ``temperature`` once it is at ``wanted`` (both in kelvin).

    The shell keeps its volume: p2 = p1 T2 / T1. Source: gas law, standard. 100 bar at 20 degC, at 50 degC in bar:

    >>> round(at_temperature(100.0, 293.15, 323.15), 2)
    110.23
    """
    return pressure * wanted / temperature
