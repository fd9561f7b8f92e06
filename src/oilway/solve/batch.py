"""The same System at many parameter sets at once: rest, and pressure-flow marches.

Every set goes through the steps of :func:`oilway.solve.steady.steady` from the same start, all sets side by side
on all cores; a set that does not arrive that way is solved alone by that function, with everything it can do.
What it refuses is counted and named, never left out.  Runs in time: :mod:`oilway.solve.batch_runs`.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import lru_cache

import casadi as ca
import numpy as np
from numpy.typing import NDArray

from oilway.elements.network import FRICTION
from oilway.errors import NoSolution
from oilway.model.system import System, Vector
from oilway.solve.elimination import factors
from oilway.solve.result import refuse_impossible
from oilway.solve.steady import (
    FAR,
    HEAVIEST,
    LARGEST_STEP,
    ROUNDED_FROM,
    ROUNDING,
    STRIDE,
    TOLERANCE,
    WARM_STEPS,
    steady,
)
from oilway.solve.tape import Tape

Solved = NDArray[np.bool_]
TOGETHER = 500  # sets that one core takes at a time: what they need stays close to it


@dataclass(frozen=True)
class Failure:
    """A set that has no result: its ``index`` and why."""

    index: int
    error: NoSolution

    def __str__(self) -> str:
        return f"set {self.index}: {self.error}"


@dataclass
class Rests:
    """States of rest ``z`` (sets, n), SI; nan for a set that failed.  ``alone`` counts sets solved one by one."""

    z: Vector
    failures: list[Failure] = field(default_factory=list)
    alone: int = 0

    @property
    def solved(self) -> Solved:
        """Which sets have a result, (sets,)."""
        return np.asarray(np.isfinite(self.z).all(axis=1))


@dataclass
class Marches:
    """States ``z`` (sets, values, n) along a march, SI; nan for a set that failed anywhere."""

    z: Vector
    failures: list[Failure] = field(default_factory=list)
    alone: int = 0


class _Rest:
    """The tapes of a System at rest."""

    def __init__(self, system: System) -> None:
        rest = system.rest
        scale = ca.DM(system.scale)
        z, inertia = ca.SX.sym("z", system.size), ca.SX.sym("inertia", system.size)
        rows, jacobian = ca.substitute([rest.rows, rest.jacobian], [rest.z], [z * scale])
        taken = factors(ca.diag(inertia) - jacobian)
        step = taken.solve(rows)
        stride = ca.DM([STRIDE[u.kind] for u in system.unknowns] / system.scale)
        reach = ca.mmax(ca.fabs(step) / (stride + ca.fmax(ca.fabs(z) - FAR * stride, 0)))
        size = ca.fabs(rows)
        rounded = size / (TOLERANCE + ROUNDING * (ca.fabs(jacobian) @ ca.fabs(z)))
        sign = ca.sign(ca.vertcat(*taken.pivots)) if system.size else ca.SX(0, 1)
        holds = _product(sign)
        judged = ca.vertcat(ca.mmax(size), ca.mmax(rounded), holds)
        self.newton = Tape([rest.th, inertia, z], [judged, z + step / ca.fmax(1, reach)], fixed=(0, 1))
        drives = ca.DM([1.0 if u.kind == "drive" else 0.0 for u in system.unknowns])
        upright = ca.DM([1.0 if u.kind == "pressure" else 0.0 for u in system.unknowns])
        filled = ca.if_else(upright, ca.fmax(z, 0), z) * scale
        stored = ca.substitute(rest.storage, rest.z, filled)
        stored = ca.if_else(drives, 1.0, stored) * ca.DM(system.scale / system.row_scale)
        self.inertia = Tape([z, rest.th], [ca.fmin(stored, HEAVIEST) / LARGEST_STEP], fixed=(1,))
        lifts = ca.substitute(rest.lifts, rest.z, z * scale)
        limits = ca.substitute(rest.limits, rest.z, z * scale)
        self.stands = Tape([z, rest.th], [lifts, limits], fixed=(1,))


def _product(column: ca.SX) -> ca.SX:
    out = ca.SX(1)
    for value in ca.vertsplit(column):
        out = out * value
    return out


def shown(system: System, th: Vector, z: Vector, names: Sequence[str]) -> Vector:
    """Values (sets, names) of :attr:`Rest.shown` at states of rest; nan where the state is."""
    tape = _shown(system, tuple(names))
    return tape(tape.prepare(np.ascontiguousarray(th.T)), np.ascontiguousarray(z.T))[0].T


@lru_cache(maxsize=32)
def _shown(system: System, names: tuple[str, ...]) -> Tape:
    rest = system.rest
    return Tape([rest.z, rest.th], [ca.vertcat(*(rest.shown[name] for name in names))], fixed=(1,))


@lru_cache(maxsize=8)
def _rest(system: System) -> _Rest:
    return _Rest(system)


def rests(system: System, th: Vector, start: Vector | None = None) -> Rests:
    """The state of rest of every set: ``th`` (sets, m), SI.

    ``start`` (n,) or (sets, n) is where each begins, as for :func:`steady`; left out, it is the rest of the first
    set, found cold.  Errors of the first set found cold are raised; all others are counted in the result.
    """
    sets = len(th)
    begin = np.broadcast_to(steady(system, th[0]) if start is None else start, (sets, system.size))
    z, arrived = _side_by_side(system, th, begin)
    found = Rests(z)
    for k in np.nonzero(~arrived)[0]:
        found.alone += 1
        try:
            found.z[k] = steady(system, th[k], begin[k])
        except NoSolution as error:
            found.z[k] = np.nan
            found.failures.append(Failure(int(k), error))
    return found


def _side_by_side(system: System, th: Vector, begin: Vector) -> tuple[Vector, Solved]:
    """Newton on all sets, in groups over the cores: states (sets, n), and which of them arrived."""
    tapes = _rest(system)
    z, arrived = np.empty((len(th), system.size)), np.zeros(len(th), dtype=bool)

    def group(part: slice) -> None:
        z[part], arrived[part] = _newton(system, tapes, th[part], begin[part])

    over_cores(group, len(th))
    return z, arrived


def over_cores(work: Callable[[slice], None], sets: int) -> None:
    """Let every core of this process take groups of sets in turn."""
    cores = cores_here()
    size = min(TOGETHER, max(1, -(-sets // cores)))
    parts = [slice(k, min(k + size, sets)) for k in range(0, sets, size)]
    if cores == 1 or len(parts) == 1:
        for part in parts:
            work(part)
        return
    with ThreadPoolExecutor(min(cores, len(parts))) as pool:
        list(pool.map(work, parts))


def cores_here() -> int:
    """How many cores this process may use."""
    known = getattr(os, "sched_getaffinity", None)
    return len(known(0)) if known is not None else os.cpu_count() or 1


def _newton(system: System, tapes: _Rest, th: Vector, begin: Vector) -> tuple[Vector, Solved]:
    """The warm Newton of :mod:`oilway.solve.steady` on sets side by side: states, and which arrived and hold."""
    columns = np.ascontiguousarray(th.T)
    z = np.ascontiguousarray((begin / system.scale).T)
    inertia = tapes.inertia(tapes.inertia.prepare(columns), z)[0]
    kept = tapes.newton.prepare(columns, inertia)
    out, arrived = z.copy(), np.zeros(len(th), dtype=bool)
    going = np.arange(len(th))
    for _ in range(WARM_STEPS + 1):
        (largest, rounded, holds), moved = tapes.newton(kept, z)
        resting = (largest < ROUNDED_FROM) & (rounded < 1.0)
        here = resting & (holds >= 0)
        out[:, going[here]], arrived[going[here]] = z[:, here], True
        on = ~resting & np.all(np.isfinite(moved), axis=0)
        if not on.any():
            break
        going, z, kept = going[on], moved[:, on], kept[:, on]
    return (out * system.scale[:, None]).T, arrived


def marches(
    system: System, th: Vector, parameter: str, values: Iterable[float] | Sequence[Vector], start: Vector
) -> Marches:
    """States along a march of one parameter, as :func:`oilway.solve.curve.march` gives them, for every set.

    ``values`` are numbers, or arrays (sets,) where each set has its own; ``start`` (n,) or (sets, n).
    """
    th = th.copy()
    th[:, system.parameters[FRICTION]] = 1.0
    places = [system.parameters[f"{name}.march reference"] for name in system.moving]
    column, z = system.parameters[parameter], np.broadcast_to(start, (len(th), system.size))
    th[:, places] = _stands(system, th, z)[0]
    out, found, alive = [], Marches(np.empty(0)), np.ones(len(th), dtype=bool)
    for value in values:
        th[:, column] = value
        stage = rests(system, th[alive], z[alive])
        found.alone += stage.alone
        places_of = np.nonzero(alive)[0]
        found.failures += [Failure(int(places_of[f.index]), f.error) for f in stage.failures]
        z = np.full((len(th), system.size), np.nan)
        z[alive] = stage.z
        found.failures += _impossible(system, th, z)
        alive = np.ones(len(th), dtype=bool)
        alive[[f.index for f in found.failures]] = False
        z[~alive] = np.nan
        lifts = _stands(system, th[alive], z[alive])[0]
        for part, place in enumerate(places):
            th[alive, place] = lifts[:, part]
        out.append(z)
    found.z = np.stack(out, axis=1)
    found.z[~alive] = np.nan
    return found


def _stands(system: System, th: Vector, z: Vector) -> tuple[Vector, Vector]:
    """Lifts of moving parts (sets, k), and the terms that have a limit (sets, l)."""
    tape = _rest(system).stands
    lifts, limits = tape(tape.prepare(np.ascontiguousarray(th.T)), np.ascontiguousarray((z / system.scale).T))
    return lifts.T, limits.T


def _impossible(system: System, th: Vector, z: Vector) -> list[Failure]:
    """The sets whose state breaks a limit that no real one could break."""
    known = np.nonzero(np.all(np.isfinite(z), axis=1))[0]
    if not len(known) or not system.limits:
        return []
    limits = list(system.limits.values())
    values = _stands(system, th[known], z[known])[1]
    low = np.array([-np.inf if i.low is None or not i.impossible else i.low for i in limits])
    high = np.array([np.inf if i.high is None or not i.impossible else i.high for i in limits])
    out = []
    for k in known[np.any((values < low) | (values > high), axis=1)]:
        try:
            refuse_impossible(system, system.ledger(z[k], th[k])[0])
        except NoSolution as error:
            out.append(Failure(int(k), error))
    return out
