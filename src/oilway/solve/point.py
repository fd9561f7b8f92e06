"""One operating point: which way dry friction acts, oil that nothing moves, and the solved state."""

from __future__ import annotations

from typing import Literal

import numpy as np

from oilway.elements.network import FRICTION
from oilway.errors import InputError, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.system import System, Vector
from oilway.solve.result import State, build_state
from oilway.solve.steady import Effort, steady

Push = Literal["open", "shut"]
BEYOND_TRAVEL = 10.0  # m: a march reference out here keeps dry friction fully on one side
NULL = 1e-12  # relative singular value below which a direction of the unknowns is not fixed by any balance
TAKES_PART = 1e-6


def pushed(system: System, th: Vector, push: Push) -> Vector:
    """Parameters with dry friction acting against parts being pushed ``open`` (pressure rising) or ``shut``."""
    th = th.copy()
    th[system.parameters[FRICTION]] = 1.0
    places = [system.parameters[f"{name}.march reference"] for name in system.moving]
    th[places] = -BEYOND_TRAVEL if push == "open" else BEYOND_TRAVEL
    return th


def solve_point(
    machine: Machine,
    point: dict[str, float] | None = None,
    start: Vector | None = None,
    *,
    push: Push = "open",
    effort: Effort | None = None,
) -> State:
    """The state of rest of a machine at an operating point (full parameter name to SI value).

    Dry friction acts the way it does on rising pressure (``push="open"``), the way reliefs are set.  A chamber
    whose pressure nothing fixes keeps the pressure given under ``trapped``, or 0, and is named in
    ``State.isolated``.  Errors: :class:`NoSolution`, :class:`ImpossibleCircuit`; no numbers then.
    """
    system = machine.system
    _check_point(machine, point or {})
    th = pushed(system, machine.theta(point), push)
    z = steady(system, th, start, effort)
    isolated = isolated_chambers(system, z, th)
    if isolated:
        for chamber in isolated:
            z[system.index[f"pressure in {chamber}"]] = machine.trapped.get(chamber, 0.0)
        z = steady(system, th, z, effort)
        isolated = isolated_chambers(system, z, th)
    state = build_state(machine, {**machine.point, **(point or {})}, th, z)
    state.isolated = isolated
    return state


def isolated_chambers(system: System, z: Vector, th: Vector) -> list[str]:
    """Chambers whose pressure no balance fixes: shut off on all sides, with nothing leaking."""
    _, jacobian = system.scaled(z, th)
    _, sizes, directions = np.linalg.svd(jacobian)
    free = directions[sizes < NULL * max(float(sizes[0]), 1.0)]
    if not len(free):
        return []
    share = np.max(np.abs(free), axis=0)
    return [u.owner for k, u in enumerate(system.unknowns) if u.kind == "pressure" and share[k] > TAKES_PART]


def _check_point(machine: Machine, point: dict[str, float]) -> None:
    for name in point:
        if name != OIL_TEMPERATURE and name not in machine.system.parameters:
            raise InputError(Problem(Place("operating point"), f"there is no parameter '{name}' in this machine"))
