"""What the tests of the Brackwater fleet share: an example file with changes, and a state of it in words."""

from __future__ import annotations

import math
from functools import cache

import oilway
from oilway.model.machine import Machine
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.story import examples

PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
HP = parse("1 hp", "power")


@cache
def example(name: str, *changes: tuple[str, str]) -> Machine:
    """An example machine by the name of its file, with texts changed: ``("counterbalance.ratio", "3 to 1")``."""
    return oilway.load(examples() / f"{name}.yaml", dict(changes))


def at(machine: Machine, words: str = "") -> State:
    """The machine at a point in words, ``lever=1, load pressure=1500 psi``; the rest as its file says."""
    pairs = (word.split("=") for word in words.split(",") if word)
    return solve_point(machine, machine.point_from({name.strip(): text.strip() for name, text in pairs}))


def circle(diameter: float) -> float:
    """Area (m2) of a diameter (m)."""
    return math.pi / 4 * diameter**2


def ring(outer: float, inner: float) -> float:
    """Area (m2) between two diameters (m)."""
    return circle(outer) - circle(inner)


def pumped(per_rev: float, speed: float, dp: float, state: State, efficiency: float) -> float:
    """m3/s of a fixed pump: theoretical (m3/rev, rev/s) less slip, in proportion to pressure over viscosity.

    The efficiency holds at 2000 psi, 1800 rpm and 32 cSt.
    """
    nu = state.parameter("oil.mu") / state.parameter("oil.rho0") * (1 - state.parameter("oil.air"))
    slip = (1 - efficiency) * per_rev * 30 * dp / (2000 * PSI) * 32e-6 / nu
    return per_rev * speed - slip


def shaft_power(state: State, pump: str) -> float:
    """W that the engine gives a pump."""
    return -sum(entry.value for entry in state.power if entry.part == pump and entry.label == "shaft power")


def heat_of(state: State, *beginnings: str) -> float:
    """W lost as heat in all parts whose names begin so."""
    return sum(e.value for e in state.power if e.label == "heat" and e.part.startswith(beginnings))
