"""How far sound machines differ: many sets of parts within their tolerances, and which part matters most.

Two answers stand beside each other: a count over many sets drawn at random, and the first-order estimate from the
exact slopes at the written values.  Parts are drawn one by one, evenly within their tolerance, which says no more
than that a part was let through (the cautious side; common practice).  Adjusters keep their turns.
Source of the first-order estimate: BIPM, "Guide to the expression of uncertainty in measurement" (JCGM 100:2008),
5.1.2, eq. 10, and 4.3.7: a quantity anywhere within +-a has a standard deviation of a / sqrt(3).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.model.machine import Machine
from oilway.model.setting import CRACKED
from oilway.model.system import System, Vector
from oilway.solve.batch import Failure, marches, rests, shown
from oilway.solve.point import pushed, solve_point
from oilway.solve.sensitivity import gradients
from oilway.solve.steady import steady
from oilway.study.allowed import Tolerance, tolerances
from oilway.study.curve import LEAST
from oilway.study.inspect import read_limit
from oilway.study.sweep import is_drawn, on_its_stand, spaced

NUMBER, SEED = 1000, 1
POINTS = 24  # of a curve
MOST = 1_000_000
SHARES = (0.05, 0.5, 0.95)  # of the sets that lie below the lines of a band
FULL, CRACKING, OVERRIDE = "full-flow pressure", "cracking pressure", "override"
KINDS = {"pressure": "pressure", "lift": "length", "speed": "velocity", "flow": "flow"}


@dataclass(frozen=True)
class Influence:
    """One tolerance and what it does: ``slope`` of the output by the parameter (SI).

    ``effect`` of its whole reach, and its ``share`` of the variance of the first-order estimate.
    """

    tolerance: Tolerance
    slope: float
    effect: float
    share: float


@dataclass
class Output:
    """One number of the machine over all sets: ``values`` (sets,) SI, nan for a set without a result.

    ``nominal`` at the written values.  ``accepted`` is the share of all sets within the ``limit`` entered (a set
    without a result is not accepted), ``None`` without one.
    """

    name: str
    kind: str
    nominal: float
    values: Vector
    influences: list[Influence]
    limit: str = ""
    accepted: float | None = None

    @property
    def deviation(self) -> float:
        """First-order standard deviation, SI."""
        return math.sqrt(sum(i.effect**2 for i in self.influences) / 3)

    @property
    def extreme(self) -> float:
        """First-order effect of every part at its worst end at once, SI."""
        return sum(abs(i.effect) for i in self.influences)

    def at(self, *shares: float) -> list[float]:
        """Values below which these shares of the sets lie."""
        return [float(v) for v in np.nanquantile(self.values, shares)]


@dataclass
class Band:
    """Curves of many valves: ``flows`` (n,) m3/s, pressures (Pa) as written (n,) and at ``SHARES`` (n, 3)."""

    flows: Vector
    nominal: Vector
    lines: Vector


@dataclass
class Spread:
    """The spread of a machine, or of a valve on its stand; ``band`` where a curve was taken."""

    machine: Machine
    number: int
    seed: int
    tolerances: list[Tolerance]
    outputs: list[Output]
    failures: list[Failure] = field(default_factory=list)
    band: Band | None = None


def spread(
    machine: Machine,
    declared: Mapping[str, str] | None = None,
    *,
    limits: Mapping[str, str] | None = None,
    channels: list[str] | None = None,
    point: dict[str, float] | None = None,
    number: int = NUMBER,
    seed: int = SEED,
) -> Spread:
    """Draw ``number`` sets and solve them: a relief valve over its curve, anything else at its operating point.

    ``declared`` tolerances go over those of common practice; ``limits`` map an output to 'at most ...',
    'at least ...' or '... to ...'; ``channels`` are names of :func:`known_channels`.
    Errors: :class:`InputError`; :class:`NoSolution` where the machine as written does not solve.
    """
    if not 2 <= number <= MOST:
        raise InputError(Problem(Place("--number"), f"{number} sets cannot be drawn", f"write 2 to {MOST}"))
    stood = _on_stand(machine, point or {})
    machine = stood or machine
    tols = tolerances(machine, declared)
    if not tols:
        what = "no part of it has a tolerance"
        raise InputError(Problem(Place(str(machine.path)), what, "declare one: --tolerance 'PART.KEY=5 %'"))
    th = pushed(machine.system, machine.theta(point), "open")
    sets = drawn(machine.system, th, tols, number, seed)
    told = Spread(machine, number, seed, tols, [])
    names = check_channels(machine, channels or ([] if stood else _usual(machine)))
    if stood:
        _over_curve(told, th, sets)
    if names:
        _at_point(told, th, sets, names, point)
    _judge(told, limits or {})
    return told


def drawn(system: System, th: Vector, tols: list[Tolerance], number: int, seed: int) -> Vector:
    """Parameters (number + 1, m): the first row as written, the others drawn within their tolerances."""
    sets, draw = np.tile(th, (number + 1, 1)), np.random.default_rng(seed)
    for tol in tols:
        sets[1:, system.parameters[tol.parameter]] += tol.reach * draw.uniform(-1, 1, number)
    return sets


def _on_stand(machine: Machine, point: dict[str, float]) -> Machine | None:
    """A relief valve alone, on the stand on which it is set; none for a machine, and for a reducing valve."""
    if not machine.mounted or machine.mounted[0].prefix or is_drawn(machine):
        return None
    return on_its_stand(machine, point)[0]


def _usual(machine: Machine) -> list[str]:
    """What is told of a machine unless asked otherwise: speeds of cylinders, pressures where pumps deliver."""
    speeds = [name for name in machine.system.rest.shown if name.startswith("speed:")]
    fed = {p.nodes.get("outlet", "") for p in machine.parts.values() if "pump" in p.kind}
    return speeds + [f"pressure:{c}" for c in machine.system.chambers if c in fed]


def known_channels(machine: Machine) -> dict[str, str]:
    """Every channel whose value the System gives as a symbol, and what it is called there.

    Named as in :mod:`oilway.study.frame`: a flow counts from the chamber at the first port of its part.
    """
    symbols = machine.system.rest.shown
    known = {name: name for name in symbols if not name.startswith("flow:")}
    for name, part in machine.parts.items():
        first = next(iter(part.nodes.values()), "")
        if len(part.nodes) > 1 and f"flow:{name}@{first}" in symbols:
            known[f"flow:{name}"] = f"flow:{name}@{first}"
    return known


def check_channels(machine: Machine, channels: list[str], where: str = "--of") -> list[str]:
    """The channels.  Errors: :class:`InputError` naming every one that is not known here."""
    shown_here = known_channels(machine)
    problems = []
    for name in channels:
        if name not in shown_here:
            hint = did_you_mean(name, shown_here) or "known here: " + ", ".join(list(shown_here)[:8])
            problems.append(Problem(Place(where), f"there is no '{name}' whose spread can be told", hint))
    if problems:
        raise InputError(problems)
    return channels


def _over_curve(told: Spread, th: Vector, sets: Vector) -> None:
    """Cracking and full-flow pressure and override of a relief valve, and the band of its curve."""
    machine, system = told.machine, told.machine.system
    chamber, feed = machine.set_by
    column, setting = system.parameters[feed], machine.mounted[0].setting
    full = float(th[column])
    cracked = setting.cracked_flow if setting is not None else CRACKED * full
    flows = spaced(LEAST * full, full, POINTS, cracked)
    first = th.copy()
    first[column] = flows[0]
    found = marches(system, sets, feed, flows, steady(system, first))
    told.failures += found.failures
    inlet = system.index[f"pressure in {chamber}"]
    pressures = found.z[:, :, inlet]
    if not np.isfinite(pressures[0]).all():
        raise found.failures[0].error
    at = int(np.argmin(np.abs(flows - cracked)))
    slopes = {}
    for k in (at, POINTS - 1):
        here = th.copy()
        here[column] = flows[k]
        slopes[k] = gradients(system, steady(system, here, found.z[0, k]), here, [f"pressure:{chamber}"])[1][0]
    ends = {CRACKING: (pressures[:, at], slopes[at]), FULL: (pressures[:, -1], slopes[POINTS - 1])}
    ends[OVERRIDE] = tuple(b - a for a, b in zip(ends[CRACKING], ends[FULL], strict=True))
    told.outputs += [_output(told, name, "pressure", *both) for name, both in ends.items()]
    told.band = Band(flows, pressures[0], np.nanquantile(pressures[1:], SHARES, axis=0).T)


def _at_point(told: Spread, th: Vector, sets: Vector, names: list[str], point: dict[str, float] | None) -> None:
    """Channels at the operating point."""
    system = told.machine.system
    start = solve_point(told.machine, point).z
    found = rests(system, sets, start)
    told.failures += [f for f in found.failures if f.index not in {known.index for known in told.failures}]
    symbols = [known_channels(told.machine)[name] for name in names]
    values = shown(system, sets, found.z, symbols)
    slopes = gradients(system, found.z[0], th, symbols)[1]
    for k, name in enumerate(names):
        told.outputs.append(_output(told, name, KINDS[name.partition(":")[0]], values[:, k], slopes[k]))


def _output(told: Spread, name: str, kind: str, values: Vector, slopes: Vector) -> Output:
    columns = told.machine.system.parameters
    effects = [(t, float(slopes[columns[t.parameter]])) for t in told.tolerances]
    whole = sum((slope * t.reach) ** 2 for t, slope in effects) or 1.0
    found = [Influence(t, s, s * t.reach, (s * t.reach) ** 2 / whole) for t, s in effects]
    found.sort(key=lambda i: (-i.share, i.tolerance.parameter))
    return Output(name, kind, float(values[0]), values[1:], found)


def _judge(told: Spread, limits: Mapping[str, str]) -> None:
    by_name = {o.name: o for o in told.outputs}
    for name, text in limits.items():
        if name not in by_name:
            hint = did_you_mean(name, by_name) or "known here: " + ", ".join(by_name)
            raise InputError(Problem(Place("--limit"), f"there is no output '{name}'", hint))
        output = by_name[name]
        low, high = read_limit(text, output.kind)
        output.limit = text
        output.accepted = float(np.mean((output.values >= low) & (output.values <= high)))
