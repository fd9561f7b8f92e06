"""Heat: how fast the oil warms, and where its temperature settles."""

from __future__ import annotations

from oilway.laws.values import Value

SPECIFIC_HEAT = 1970.0  # J/(kg K), mineral oil; 1900 to 2100 (common practice)


def warming_rate(heat: Value, mass: Value, specific_heat: Value = SPECIFIC_HEAT) -> Value:
    """How fast (K/s) oil of ``mass`` (kg) warms under ``heat`` (W) while none is given off: P / (m c).

    ``specific_heat`` c in J/(kg K).  The steel that warms with the oil is left out, so a machine warms more
    slowly than this.  Source: energy balance.  19.7 kW into 100 kg of oil warm it by 6 K a minute (by hand):

    >>> round(60 * warming_rate(19.7e3, 100.0), 9)
    6.0
    """
    return heat / (mass * specific_heat)


def steady_temperature(ambient: Value, heat: Value, heat_transfer: Value, area: Value) -> Value:
    """Oil temperature at which a wall gives off all the heat: ambient + P / (h A), in the unit of ``ambient``.

    ``ambient`` degC, ``heat`` P in W, ``heat_transfer`` h in W/(m2 K), ``area`` A in m2.  Typical h of a tank
    wall in still air is 12 W/(m2 K); lines and cylinders, which cool too, are left out (common practice).
    Source: Newton's law of cooling.  1.2 kW through 2 m2 of wall stand 50 K over the air (by hand):

    >>> steady_temperature(20.0, 1200.0, 12.0, 2.0)
    70.0
    """
    return ambient + heat / (heat_transfer * area)
