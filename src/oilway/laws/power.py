"""Power: pump flow and torque, slip, hydraulic power and the heat it leaves."""

from __future__ import annotations

import numpy as np

from oilway.laws.heat import SPECIFIC_HEAT
from oilway.laws.values import Value


def pump_flow(displacement: Value, speed: Value) -> Value:
    """Theoretical flow (m3/s) of a pump: ``displacement`` (m3/rev) times ``speed`` (rev/s).

    In shop units gpm = in3/rev x rpm / 231. A. Esposito, Fluid Power with Applications, example 9-5 (inputs
    seen in a re-publication): 10 in3/rev at 1000 rpm.

    >>> in3, gpm = 0.0254**3, 231 * 0.0254**3 / 60
    >>> round(pump_flow(10 * in3, 1000 / 60) / gpm, 3)
    43.29
    """
    return displacement * speed


def pump_torque(displacement: Value, dp: Value) -> Value:
    """Theoretical torque (N m) of a pump or motor: V dp / (2 pi), ``displacement`` V in m3/rev.

    Source: definition (power = torque x angular speed). 40 cm3/rev at 200 bar:

    >>> round(pump_torque(40e-6, 200e5), 2)
    127.32
    """
    return displacement * dp / (2 * np.pi)


def hydraulic_power(dp: Value, q: Value) -> Value:
    """Power (W) of a flow (m3/s) through a pressure difference (Pa): dp Q; kW = bar x L/min / 600.

    Over a relief all of it becomes heat. Source: definition. 200 bar and 60 L/min:

    >>> round(hydraulic_power(200e5, 60e-3 / 60) / 1e3, 2)
    20.0
    """
    return dp * q


def throttling_temperature_rise(dp: Value, rho: Value, specific_heat: Value = SPECIFIC_HEAT) -> Value:
    """Temperature rise (K) of oil throttled through ``dp`` with no heat given off: dp / (rho c).

    ``specific_heat`` c in J/(kg K), 1900 to 2100 for mineral oil (common practice). The small cooling of the
    oil by its own expansion is left out. Source: energy balance. The trade's rule of thumb is 1 °F per 140
    psi (common practice):

    >>> round(float(throttling_temperature_rise(140 * 6894.757, 870.0)) * 9 / 5, 1)
    1.0
    """
    return dp / (rho * specific_heat)


def suction(loss: Value, stroked: Value, available: Value) -> tuple[Value, Value]:
    """How far a pump fills (0..1), and the pressure (Pa) lost on its inlet side.

    ``loss`` is lost at the reference flow, ``stroked`` the flow asked over the reference flow, ``available`` the
    inlet pressure above vacuum. The loss grows with the square of the flow, and no more than what is available can
    be lost: beyond, the flow stays at stroked x filled. Source of the form: square law of a turbulent
    restriction, common practice. Four times the flow costs sixteen times the pressure; where it
    would cost four times what there is, the pump is half filled:

    >>> [[float(v) for v in suction(loss, 4.0, 1e5)] for loss in (0.025e5, 0.25e5)]
    [[1.0, 40000.0], [0.5, 100000.0]]
    """
    asked = loss * stroked * stroked
    filled = 1 / np.sqrt(np.maximum(asked / np.maximum(available, 1.0), 1.0))  # 1 Pa: no room left
    return filled, asked * filled * filled


def laminar_slip_conductance(
    volumetric_efficiency: Value, displacement: Value, speed: Value, pressure: Value, mu: Value
) -> Value:
    """Conductance G (m3) of pump slip Q = G dp / mu, from one rated point: G = (1 - eta) V n mu / p.

    ``displacement`` m3/rev, ``speed`` rev/s, ``pressure`` across the pump (Pa) and ``mu`` (Pa s) at the rated
    point. All slip is taken as laminar gap flow: it grows with pressure and in hot oil, whatever the speed.

    Source, from memory: the pump model of W. E. Wilson. A pump of 92 % at its rated point gives 92 % there:

    >>> g = laminar_slip_conductance(0.92, 40e-6, 30.0, 200e5, 0.03)
    >>> round((40e-6 * 30.0 - g * 200e5 / 0.03) / (40e-6 * 30.0), 6)
    0.92
    """
    return (1 - volumetric_efficiency) * displacement * speed * mu / pressure
