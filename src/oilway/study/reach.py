"""How far the parts of a valve lift in its own work: what a picture of them is scaled by."""

from __future__ import annotations

from oilway.errors import OilwayError
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.solve.point import solve_point
from oilway.study.setting import put_on_stand

LEAST_SHARE = 0.02  # of its travel: a part that hardly moves is not drawn as if it moved far


def reaches(machine: Machine) -> dict[str, float]:
    """The largest lift (m) of each moving part at full flow on its valve's own stand, by full name.

    A stand with named points shows them all; the plain one shows its full flow.  Each valve of a machine is put
    on its stand as it is set there, and the machine's own operating point counts too.  A part that lifts nowhere
    counts with its travel.  Nothing is raised: what has no solution is left out.
    """
    found: dict[str, float] = {}
    _over(found, machine, "")
    for mounted in machine.mounted:
        if mounted.prefix:
            _over(found, _alone(machine, mounted), mounted.prefix)
    return {
        name: _within(found.get(name, 0.0), float(part.values["travel"] or 0.0))
        for name, part in machine.parts.items()
        if part.kind == "moving part"
    }


def _over(found: dict[str, float], machine: Machine | None, prefix: str) -> None:
    """Raise what was found by the lifts of a machine at its points; its parts are called ``prefix`` + name."""
    if machine is None:
        return
    for point in machine.points.values() or [{}]:
        try:
            state = solve_point(machine, point)
        except OilwayError:
            continue
        for name, status in state.statuses.items():
            found[prefix + name] = max(found.get(prefix + name, 0.0), status.lift)


def _alone(machine: Machine, mounted: Mounted) -> Machine | None:
    try:
        return put_on_stand(machine, mounted)
    except OilwayError:
        return None


def _within(lift: float, travel: float) -> float:
    return travel if lift <= 0 else min(max(lift, LEAST_SHARE * travel), travel)
