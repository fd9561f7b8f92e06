"""The law behind a line of a ledger, in words: its form, and where it is written down.

The functions that compute it stand beside it; their docstrings hold units, limits and a published number.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from oilway.laws import areas, compress, flow_force, gas, lines, power, restrictions, springs


@dataclass(frozen=True)
class Law:
    """A law in words: ``form``, ``source``, and the ``functions`` of :mod:`oilway.laws` that compute it.

    Without functions it is a definition, a given value, or the way contact and friction are solved.
    """

    form: str
    source: str
    functions: tuple[Callable[..., Any], ...] = ()


_HOLE = "drop = density / (2 Cd^2) x (speed^2 + viscosity x Rt / width x speed)"
_BORUTZKY = (
    "W. Borutzky, B. Barnard, J. Thoma, An orifice flow model, Simul. Model. Pract. Theory 10 (2002) 141-152"
)
_MEMORY = ", from memory"
_NORMAL_MAP = (
    "S. M. Robinson, Normal maps induced by linear transformations, Math. Oper. Res. 17 (1992), from memory"
)
_HOLE_SOURCE = f"{_BORUTZKY}{_MEMORY}"
_SPRING = Law(
    "Force = rate x compression; a spring pushes and never pulls.",
    "A. Esposito, Fluid Power with Applications, example 8-1",
    (springs.spring_force, springs.spring_rate),
)
_OPENING = "Opens in proportion from its cracking to its full-open pressure, shut below"

LAWS: dict[str, Law] = {
    "orifice law": Law(f"A hole: {_HOLE}.", _HOLE_SOURCE, (restrictions.orifice_velocity, areas.circle_area)),
    "poppet seat law": Law(
        f"Area = pi x lift x sin(a) x (diameter - lift x sin(a) x cos(a)), a the half angle; through it {_HOLE}.",
        f"geometry; {_HOLE_SOURCE}",
        (areas.poppet_area, restrictions.orifice_velocity),
    ),
    "spool edge law": Law(
        f"Area = the part of ring, holes or notches that the edge uncovers; through it {_HOLE}.",
        f"geometry; {_HOLE_SOURCE}",
        (areas.spool_annulus_area, areas.spool_holes_area, restrictions.orifice_velocity),
    ),
    "annular gap law": Law(
        "Flow = pi x diameter x clearance^3 x drop / (12 x viscosity x length) x (1 + 1.5 x eccentricity^2).",
        f"R. W. Fox, A. T. McDonald, Introduction to Fluid Mechanics, example 8.1{_MEMORY}",
        (restrictions.annular_gap_flow,),
    ),
    "check valve law": Law(
        f"{_OPENING}; through it {_HOLE}.",
        f"balance of a spring on an area; {_HOLE_SOURCE}",
        (restrictions.check_opening, restrictions.orifice_velocity),
    ),
    "bypass": Law(
        f"{_OPENING}; through it {_HOLE}.",
        f"balance of a spring on an area; {_HOLE_SOURCE}",
        (restrictions.check_opening, restrictions.orifice_velocity),
    ),
    "shuttle": Law(f"The open side is a hole: {_HOLE}.", _HOLE_SOURCE, (restrictions.orifice_velocity,)),
    "regulated flow": Law(
        "Below its least drop an orifice; above it the set flow, with a small rise.",
        "a needle behind a hydrostat, common practice",
        (restrictions.regulated_flow,),
    ),
    "line friction": Law(
        "Drop = (friction factor x length / diameter + minor losses) x density x speed^2 / 2.",
        "Darcy and Weisbach, standard",
        (lines.line_drop,),
    ),
    "laminar filter element": Law(
        "Drop = clean drop x flow / rated flow x viscosity / test viscosity / share that is not clogged.",
        "common practice",
        (restrictions.rated_laminar_flow,),
    ),
    "laminar cooler": Law(
        "Drop = rated drop x flow / rated flow x viscosity / test viscosity.",
        "common practice",
        (restrictions.rated_laminar_flow,),
    ),
    "displacement x speed": Law(
        "Flow = displacement x speed of rotation.",
        "A. Esposito, Fluid Power with Applications, example 9-5",
        (power.pump_flow,),
    ),
    "laminar slip": Law(
        "Slip = conductance x pressure / viscosity; the conductance follows from one volumetric efficiency.",
        f"the pump model of W. E. Wilson{_MEMORY}",
        (power.laminar_slip_conductance,),
    ),
    "displacement x pressure / 2 pi": Law(
        "Torque = displacement x pressure difference / (2 pi).", "definition", (power.pump_torque,)
    ),
    "momentum of the jet": Law(
        "Force = (1 - recovered jet) x density x flow x jet speed x cos(jet angle), towards shut.",
        f"Merritt, Hydraulic Control Systems (1967), chapter 5{_MEMORY}",
        (flow_force.flow_force,),
    ),
    "rate x compression": _SPRING,
    "rate x lift": _SPRING,
    "held charge": Law("Pressure x volume^n of the gas stays the same.", "gas law, standard", (gas.gas_volume,)),
    "p/density": Law("Power = mass flow x the integral of dp / density.", "energy balance", (compress.flow_work,)),
    "pressure x area": Law("Force = pressure x area.", "definition", (areas.annulus_area,)),
    "area x velocity": Law("A piston takes up area x velocity of oil.", "geometry"),
    "displaced by the moving part": Law("A moving face displaces area x speed of oil.", "geometry"),
    "force x velocity": Law("Power = force x velocity.", "definition"),
    "torque x speed": Law("Power = torque x speed of rotation x 2 pi.", "definition"),
    "pressure x flow": Law("Power = pressure x flow.", "definition", (power.hydraulic_power,)),
    "given flow": Law("The test pump delivers what the operating point says.", "given"),
    "given load": Law("The load is what the operating point says.", "given"),
    "held pressure": Law("The test load takes whatever flow holds the pressure given.", "given"),
    "viscous friction": Law("Force = coefficient x speed, against the motion; none at rest.", "common practice"),
    "Coulomb friction": Law(
        "Up to its full value it holds a part where it is; one that slides feels all of it, against the motion.",
        f"any text on dry friction; at rest solved as in {_NORMAL_MAP}",
    ),
    "unilateral contact": Law(
        "A seat or a stop pushes or stands apart, never both: force without lift, or lift without force.",
        f"at rest solved as in {_NORMAL_MAP}; in motion K. H. Hunt and F. R. E. Crossley, J. Appl. Mech. 42 "
        "(1975) 440-445, from memory",
    ),
    "stiff clamp": Law(
        "A part that has seized stays where it is, whatever pushes; nothing while it is free.",
        "the definition of a fault",
    ),
    "square law": Law(
        "The pressure lost in a suction line grows with the flow squared, and no more than what is there is lost.",
        "common practice",
        (power.suction,),
    ),
    "no tension in oil": Law(
        "Oil cannot be pulled: at vacuum a void opens and takes up the flow that is missing.",
        "conservation of mass",
    ),
    "oil springs back at the other side": Law(
        "What the oil in a turning chamber had stored by being pressed is lost as heat where the chamber opens.",
        "energy balance",
    ),
}
