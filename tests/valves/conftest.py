"""Fixtures for the valves: a valve on its stand without dry friction, and its state at a point given in words."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

import oilway
from oilway.model.machine import Machine
from oilway.solve.point import solve_point
from oilway.solve.result import State


@pytest.fixture
def at() -> Callable[..., State]:
    """``at(machine, {"tank.pressure": "50 psi"}, start)``: the state at a point in words, from where it stood."""

    def solve(machine: Machine, words: dict[str, str] | None = None, start: State | None = None) -> State:
        return solve_point(machine, machine.point_from(words or {}), None if start is None else start.z)

    return solve


@pytest.fixture
def smooth() -> Callable[..., Machine]:
    """``smooth("sequence", {...})``: a shipped valve on its stand, its moving parts without dry friction.

    A balance worked by hand has one answer then instead of a stick band.
    """

    def build(name: str, changes: dict[str, str] | None = None) -> Machine:
        plain = oilway.load(name, changes)
        for part in plain.system.moving:
            plain = plain.with_part(part, {"dry friction": 0.0})
        return plain

    return build


@pytest.fixture
def circle() -> Callable[..., float]:
    """``circle(8)``, ``circle(16, 8)``: area (m2) of a circle or a ring from its diameters in mm."""
    return lambda outer, inner=0.0: math.pi / 4 * (outer**2 - inner**2) * 1e-6


@pytest.fixture
def coil() -> Callable[[float, float, float], float]:
    """``coil(3, 16, 8)``: rate (N/m) of a steel spring, k = G d^4 / (8 D^3 n); wire and mean diameter in mm."""
    return lambda wire, mean, coils: 79.3e9 * (wire * 1e-3) ** 4 / (8 * (mean * 1e-3) ** 3 * coils)
