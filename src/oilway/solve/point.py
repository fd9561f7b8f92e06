"""One operating point: which way dry friction acts, oil that nothing moves, and the solved state."""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

import numpy as np

from oilway.elements.chamber import VOID
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
    _check_point(machine, point or {})
    th = pushed(machine.system, machine.theta(point), push)
    z, isolated = rest(machine, th, start, effort)
    state = build_state(machine, {**machine.point, **(point or {})}, th, z)
    state.isolated = isolated
    return state


def rest(
    machine: Machine,
    th: Vector,
    start: Vector | None = None,
    effort: Effort | None = None,
    *,
    settled: Collection[str] = (),
) -> tuple[Vector, list[str]]:
    """Unknowns z (n,) at rest for parameters th (m,), and the chambers whose pressure nothing fixes.

    Those keep the pressure given under ``trapped``, or 0.  ``settled`` names chambers that stand at ``start`` as
    they are to stand, drawn to vacuum by a load or shut in: while there are no others, they are left so.
    Errors: as :func:`oilway.solve.steady.steady`.
    """
    system = machine.system
    z = steady(system, th, start, effort)
    known = set(in_vacuum(system, z, th)) <= set(settled)
    if not known and (raised := _out_of_void(machine, z, th)) is not None:
        z = steady(system, th, raised, effort)
    isolated = isolated_chambers(system, z, th)
    if not set(isolated) <= set(settled):
        z = steady(system, th, _with_trapped(machine, z, th), effort)
        isolated = isolated_chambers(system, z, th)
    return z, isolated


def in_vacuum(system: System, z: Vector, th: Vector) -> list[str]:
    """Chambers with a void in them."""
    lowest = VOID - th[system.parameters["oil.p_ambient"]]
    return [u.owner for k, u in enumerate(system.unknowns) if u.kind == "pressure" and z[k] < lowest]


def isolated_chambers(system: System, z: Vector, th: Vector) -> list[str]:
    """Chambers whose pressure no balance fixes: shut off on all sides, with nothing leaking."""
    return [system.unknowns[k].owner for k in _unfixed(system, _free(system, z, th))]


def _free(system: System, z: Vector, th: Vector) -> Vector:
    """Directions (k, n) of the scaled unknowns in which nothing changes any balance."""
    _, jacobian = system.scaled(z, th)
    if not jacobian.size:
        return np.zeros((0, 0))
    _, sizes, directions = np.linalg.svd(jacobian)
    free: Vector = directions[sizes < NULL * max(float(sizes[0]), 1.0)]
    return free


def _unfixed(system: System, free: Vector) -> list[int]:
    """The pressures that take part in a free direction."""
    share = np.max(np.abs(free), axis=0, initial=0.0)
    return [k for k, u in enumerate(system.unknowns) if u.kind == "pressure" and share[k] > TAKES_PART]


def _out_of_void(machine: Machine, z: Vector, th: Vector) -> Vector | None:
    """z with vacuum undone in chambers that nothing feeds or drains; None where there is no such chamber.

    On its way to rest a solve may pull a shut-in chamber down to vacuum, where the void hides that nothing
    fixes its pressure.
    """
    system, empty = machine.system, in_vacuum(machine.system, z, th)
    void = [k for k, u in enumerate(system.unknowns) if u.kind == "pressure" and u.owner in empty]
    if not void:
        return None
    raised = z.copy()
    for k in void:
        raised[k] = machine.trapped.get(system.unknowns[k].owner, 0.0)
    unfixed = _unfixed(system, _free(system, raised, th))
    if not set(void) & set(unfixed):
        return None
    keep = [k for k in void if k not in unfixed]
    raised[keep] = z[keep]
    return raised


def _with_trapped(machine: Machine, z: Vector, th: Vector) -> Vector:
    """z moved along its free directions, one chamber after the other, to the pressures trapped there.

    Two ends of a cylinder under load change together, so only one of them can be given: one named under
    ``trapped`` comes first, else the one that needs the least change to stand at 0.
    """
    system = machine.system
    free, scaled = _free(system, z, th), z / system.scale
    while len(free) and (open_ones := _unfixed(system, free)):
        owners = {k: system.unknowns[k].owner for k in open_ones}
        move = {k: machine.trapped.get(o, 0.0) / system.scale[k] - scaled[k] for k, o in owners.items()}
        along = {k: free.T @ free[:, k] / (free[:, k] @ free[:, k]) for k in owners}
        reach = {k: abs(move[k]) * float(np.abs(along[k]).max()) for k in owners}
        chosen = min(owners, key=lambda k: (owners[k] not in machine.trapped, reach[k]))
        scaled += move[chosen] * along[chosen]
        # What is left: the directions that do not change the chamber just set.
        free = np.linalg.svd(free[:, [chosen]].T)[2][1:] @ free
    return scaled * system.scale


def _check_point(machine: Machine, point: dict[str, float]) -> None:
    for name in point:
        if name != OIL_TEMPERATURE and name not in machine.system.parameters:
            raise InputError(Problem(Place("operating point"), f"there is no parameter '{name}' in this machine"))
