"""One operating point: which way dry friction acts, oil that nothing moves, and the solved state."""

from __future__ import annotations

from typing import Literal

from oilway.elements.chamber import VOID
from oilway.elements.network import FRICTION
from oilway.errors import InputError, Place, Problem
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.system import System, Vector
from oilway.solve.result import State, build_state
from oilway.solve.shut_in import at_trapped, free_directions, off_edges, unfixed
from oilway.solve.steady import Effort, steady

Push = Literal["open", "shut"]
BEYOND_TRAVEL = 10.0  # m: a march reference out here keeps dry friction fully on one side


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
    whose pressure nothing fixes stands as near as it can to the pressure given under ``trapped``, or 0, and is
    named in ``State.isolated``.  Errors: :class:`NoSolution`, :class:`ImpossibleCircuit`; no numbers then.
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
) -> tuple[Vector, list[str]]:
    """Unknowns z (n,) at rest for parameters th (m,), and the chambers whose pressure nothing fixes.

    Those stand at the pressure given under ``trapped``, or 0, or as near to it as what is shut lets them
    (:mod:`oilway.solve.shut_in`).
    Errors: as :func:`oilway.solve.steady.steady`.
    """
    system = machine.system
    z = steady(system, th, start, effort)
    if (raised := _out_of_void(machine, z, th)) is not None:
        z = steady(system, th, raised, effort)

    def again(beside: Vector) -> Vector:
        return steady(system, th, beside, effort)

    z, shut_in = off_edges(system, z, th, again)
    return at_trapped(system, z, th, machine.trapped, again) if shut_in else (z, [])


def in_vacuum(system: System, z: Vector, th: Vector) -> list[str]:
    """Chambers with a void in them."""
    lowest = VOID - th[system.parameters["oil.p_ambient"]]
    return [u.owner for k, u in enumerate(system.unknowns) if u.kind == "pressure" and z[k] < lowest]


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
    open_ones = unfixed(system, free_directions(system, raised, th))
    if not set(void) & set(open_ones):
        return None
    keep = [k for k in void if k not in open_ones]
    raised[keep] = z[keep]
    return raised


def _check_point(machine: Machine, point: dict[str, float]) -> None:
    for name in point:
        if name != OIL_TEMPERATURE and name not in machine.system.parameters:
            raise InputError(Problem(Place("operating point"), f"there is no parameter '{name}' in this machine"))
