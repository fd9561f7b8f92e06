"""Restrictions: what flow a pressure difference drives through an orifice, a gap or a check valve."""

from __future__ import annotations

import numpy as np

from oilway.laws.values import Value

LAMINAR_SHARE = 0.05  # of the least drop of a flow control that is laminar


def transition_reynolds(delta: Value, cd: Value = 0.611) -> Value:
    """Reynolds number at which an orifice changes from laminar to turbulent flow: Rt = (Cd / delta)^2.

    Below Rt the discharge coefficient grows as delta * sqrt(Re), above it stays at ``cd``; the two meet at
    Rt. ``delta`` is the laminar flow coefficient: 0.2 for a round sharp-edged hole, 0.157 for a sharp-edged
    slit. A scale rather than a law: real orifices differ from it by tens of per cent.

    Source, from memory: H. E. Merritt, Hydraulic Control Systems (1967), section 3-4.

    >>> round(transition_reynolds(0.2), 2), round(transition_reynolds(0.157), 2)
    (9.33, 15.15)
    """
    return (cd / delta) ** 2


def turbulent_orifice_flow(area: Value, dp: Value, rho: Value, cd: Value = 0.61) -> Value:
    """Flow (m3/s) through a sharp-edged turbulent orifice: Q = Cd A sqrt(2 dp / rho), signed like dp.

    The form that ``orifice_flow`` approaches at high Reynolds number. Its slope is infinite at zero drop, so
    it serves hand checks on numbers, never the solver.

    Source, from memory: H. E. Merritt, Hydraulic Control Systems (1967), chapter 3. A 1 mm hole at 100 bar,
    in L/min:

    >>> from oilway.laws.areas import circle_area
    >>> round(float(turbulent_orifice_flow(circle_area(1e-3), 100e5, 870.0)) * 60e3, 4)
    4.3584
    """
    return np.sign(dp) * cd * area * np.sqrt(2 * np.abs(dp) / rho)


def orifice_velocity(dh: Value, dp: Value, rho: Value, mu: Value, cd: Value = 0.61, re_t: Value = 9.33) -> Value:
    """Mean velocity Q / A (m/s) through an orifice, laminar to turbulent without a seam, signed like dp.

    Form: dp = rho / (2 Cd^2) (u |u| + (nu Rt / Dh) u), nu = mu / rho, solved for u. For small Dh or dp it is
    the laminar u = 2 (Cd^2 / Rt) Dh dp / mu, for large ones Cd sqrt(2 dp / rho).

    ``dh`` hydraulic diameter (m), ``dp`` pressure difference (Pa), ``rho`` density (kg/m3), ``mu`` dynamic
    viscosity (Pa s, above zero), ``cd`` turbulent discharge coefficient, ``re_t`` transition Reynolds number
    (above zero). Exactly zero at ``dh`` = 0 and at ``dp`` = 0, with a finite slope there. Viscosity is still
    felt above Rt: at 100 times Rt the flow is 0.5 % under the turbulent law.

    Source of the form, from memory: W. Borutzky, B. Barnard, J. Thoma, An orifice flow model for laminar and
    turbulent conditions, Simulation Modelling Practice and Theory 10 (2002) 141-152. The laminar end
    reproduces viscous flow through a round hole in a thin plate, Q = pi d^3 dp / (50.4 mu) (from memory:
    Merritt (1967) chapter 3, after Wuest); the rounded delta = 0.2 makes the divisor 50:

    >>> import math
    >>> d, dp, mu = 1e-4, 1.0, 0.05
    >>> u = orifice_velocity(d, dp, 870.0, mu, cd=0.611, re_t=transition_reynolds(0.2))
    >>> round(math.pi * d**3 * dp / (mu * math.pi / 4 * d**2 * float(u)), 1)
    50.0
    """
    viscous = mu / rho * re_t / 2
    drive = 2 * cd**2 * dp / rho
    return dh * drive / (viscous + np.sqrt(viscous**2 + dh**2 * np.abs(drive)))


def orifice_flow(
    area: Value, dh: Value, dp: Value, rho: Value, mu: Value, cd: Value = 0.61, re_t: Value = 9.33
) -> Value:
    """Flow (m3/s) through an orifice of ``area`` (m2): area * orifice_velocity(...); form and source there.

    With very thin oil it is the turbulent law: the 1 mm hole at 100 bar passes 4.3584 L/min.

    >>> from oilway.laws.areas import circle_area
    >>> round(float(orifice_flow(circle_area(1e-3), 1e-3, 100e5, 870.0, 1e-7)) * 60e3, 4)
    4.3584
    """
    return area * orifice_velocity(dh, dp, rho, mu, cd, re_t)


def orifice_drop(dh: Value, u: Value, rho: Value, mu: Value, cd: Value = 0.61, re_t: Value = 9.33) -> Value:
    """Pressure drop (Pa) of oil that is driven through an orifice at mean velocity ``u`` (m/s), signed like u.

    Form: dp = rho / (2 Cd^2) u |u| + mu Rt / (2 Cd^2 Dh) u, the inverse of ``orifice_velocity``; arguments and
    source there. Exactly zero at ``u`` = 0, with a finite slope there; ``dh`` above zero.

    It returns the drop from which that law made the velocity: the 1 mm hole at 100 bar.

    >>> u = orifice_velocity(1e-3, 100e5, 870.0, 0.04)
    >>> round(float(orifice_drop(1e-3, u, 870.0, 0.04)) / 1e5, 6)
    100.0
    """
    return (rho * np.abs(u) + mu * re_t / dh) * u / (2 * cd**2)


def rated_laminar_flow(dp: Value, flow: Value, drop: Value, rated_mu: Value, mu: Value) -> Value:
    """Flow (m3/s) through a laminar element known by one rated point: Q = flow dp / drop rated_mu / mu.

    ``flow`` (m3/s) passes at ``drop`` (Pa) with oil of ``rated_mu`` (Pa s); ``mu`` is that of the oil now. For
    fine passages such as a filter element or the tubes of a cooler. Source: laminar flow, as in
    ``laminar_line_drop``; that an element stays laminar is common practice. Half the drop with oil twice as
    thick passes a quarter (by hand):

    >>> round(rated_laminar_flow(0.5e5, 60.0, 1e5, 0.03, 0.06), 9)
    15.0
    """
    return flow * dp / drop * rated_mu / mu


def annular_gap_flow(
    diameter: Value, clearance: Value, length: Value, dp: Value, mu: Value, eccentricity: Value = 0.0
) -> Value:
    """Flow (m3/s) along the gap round a close-fitting part: Q = pi D c^3 dp / (12 mu L) (1 + 1.5 e^2).

    ``clearance`` c is radial, half the difference of the diameters (m); ``eccentricity`` e runs from 0
    (centred) to 1 (touching), where the flow is 2.5 times as large. Laminar and fully developed; c far below
    D and L.

    Source: R. W. Fox, A. T. McDonald, Introduction to Fluid Mechanics, example 8.1 (result from memory);
    factor for eccentricity, from memory: Merritt (1967). A 25 mm piston with 5 um, in mm3/s:

    >>> round(annular_gap_flow(25e-3, 5e-6, 15e-3, 19000e3, 0.018) * 1e9, 1)
    57.6
    """
    return np.pi * diameter * clearance**3 * dp / (12 * mu * length) * (1 + 1.5 * eccentricity**2)


def check_opening(dp: Value, cracking: Value, full_open: Value) -> Value:
    """Opening 0..1 of a spring-loaded check valve: (dp - cracking) / (full_open - cracking), clipped.

    ``dp`` is inlet minus outlet pressure; ``full_open`` lies above ``cracking`` (Pa). Exactly 0 up to
    cracking. Source: force balance of a spring of constant rate on a constant area; mass and flow force left
    out.

    >>> [float(check_opening(dp, 1e5, 3e5)) for dp in (-5e5, 1e5, 2e5, 9e5)]
    [0.0, 0.0, 0.5, 1.0]
    """
    return np.minimum(np.maximum((dp - cracking) / (full_open - cracking), 0.0), 1.0)


def regulated_flow(dp: Value, flow: Value, least: Value, rise: Value = 0.0) -> Value:
    """Flow (m3/s) of a pressure-compensated flow control, signed like ``dp``.

    Up to the drop ``least`` (Pa) its compensator is wide open and it is an orifice that passes ``flow`` there:
    least ((1 - l) g |g| + l g) = dp with g the share of ``flow`` and l = 0.05, the laminar end of
    ``orifice_velocity``. Above, the compensator keeps the drop over its needle, and the flow grows by the share
    ``rise`` (per Pa) only. Backwards it is the orifice at any drop.

    Source of the form: a needle behind a hydrostat, common practice; l only keeps the slope finite at no
    drop. Half the flow at a little over a quarter of the least drop, all of it from there on:

    >>> [round(float(regulated_flow(dp, 1.0, 8e5)), 3) for dp in (0.0, 2.1e5, 8e5, 200e5)]
    [0.0, 0.5, 1.0, 1.0]
    """
    over = np.maximum(dp - least, 0.0)
    x = (dp - over) / least
    share = 2 * x / (LAMINAR_SHARE + np.sqrt(LAMINAR_SHARE**2 + 4 * (1 - LAMINAR_SHARE) * np.abs(x)))
    return flow * (share + rise * over)
