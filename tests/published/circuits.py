"""What the published checks of whole circuits share: thin stiff oil, circuits from text, tolerances."""

from __future__ import annotations

import textwrap

import pytest

import oilway
from oilway.laws.density import density_at_temperature
from oilway.model.machine import Machine
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.solve.result import State

BAR = 1e5
PSI = parse("1 psi", "pressure")
GPM = parse("1 gpm", "flow")
WATER = 999.0  # kg/m3 at 15 degC, to which specific gravity refers


def within(expected: float, per_cent: float) -> object:
    """Expected value with a tolerance in per cent of it."""
    return pytest.approx(expected, rel=per_cent / 100)


def stiff_oil(density: float = 870.0, viscosity: str = "2 cSt", modulus: str = "5 GPa") -> str:
    """An oil of a given density at 40 degC, thin and stiff, as textbook formulas have it.

    The density at 15 degC that leads there is found by turning the published expansion round.
    """
    at15 = density
    for _ in range(20):
        at15 *= density / float(density_at_temperature(at15, 40.0))
    return (
        f"{{viscosity at 40 C: {viscosity}, viscosity at 100 C: 1 cSt, density at 15 C: {at15:.9f} kg/m3, "
        f"bulk modulus: {modulus}, entrained air: 0, temperature: 40 C}}"
    )


def machine(parts: str, oil: str = "", top: str = "") -> Machine:
    """A machine from the text of its parts."""
    body = textwrap.indent(textwrap.dedent(parts).strip("\n"), "  ")
    return oilway.loads(
        f"format: 1\nmachine: check\noil: {oil or stiff_oil()}\n{top}parts:\n{body}\n", "check.yaml"
    )


def solve(parts: str, oil: str = "", point: dict[str, str] | None = None, top: str = "") -> State:
    """The state of a circuit at a point in words."""
    built = machine(parts, oil, top)
    return solve_point(built, built.point_from(point or {}))


def power(state: State, part: str, label: str) -> float:
    """One kind of entry in the power ledger, W."""
    return sum(e.value for e in state.power if e.part == part and e.label == label)


def force(state: State, part: str, label: str) -> float:
    """One kind of entry in a force ledger, N."""
    return sum(e.value for e in state.forces[part] if e.label == label)


def between(part: str, high: str, oil: str = "") -> State:
    """One part between two tanks; a dead end hangs on, so that there is something to solve."""
    return solve(
        f"""
        high: {{kind: tank, pressure: {high}}}
        low: {{kind: tank}}
        end: {{kind: chamber}}
        tap: {{kind: orifice, from: high, to: end, diameter: 1 mm}}
        part: {{{part}, from: high, to: low}}
        """,
        oil,
    )
