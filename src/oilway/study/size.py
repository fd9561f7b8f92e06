"""Choose free parts of a relief valve for targets: every combination is set anew, solved and judged.

A combination is one valve on the stand on which it is set, its adjuster turned until it holds the setting of the
file; figures are then read off as for the valve as written.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from oilway.errors import InputError, Place, Problem, QuantityError
from oilway.model.machine import Machine
from oilway.model.system import Vector
from oilway.solve.batch import rests, shown
from oilway.solve.point import pushed
from oilway.solve.stability import stability
from oilway.solve.steady import steady
from oilway.study.free import Free, Target, read_free, read_target
from oilway.study.sized import ENDS
from oilway.study.spread import CRACKING, FULL, OVERRIDE, known_channels
from oilway.study.sweep import is_drawn, on_its_stand

MOST = 20_000  # combinations
EXACT, ROUNDS = 10.0, 60  # Pa: how close the setting is made, and in how many rounds at most
DAMPING, LOWEST, HIGHEST, TURNS = "damping ratio", "lowest setting", "highest setting", "turns"
FIGURES = {
    FULL: "pressure",
    CRACKING: "pressure",
    OVERRIDE: "pressure",
    DAMPING: "number",
    LOWEST: "pressure",
    HIGHEST: "pressure",
    TURNS: "turns",
}


@dataclass
class Sizing:
    """All combinations: ``values`` (sets, free) SI, ``figures`` (sets,) SI by name, nan where there is none.

    ``inside`` (sets, targets) is how far each lies inside its target, as a share of the bound; ``set_up`` tells
    which combinations hold the setting.  ``best`` is the one furthest inside all targets, ``None`` where none
    satisfies; ``matter`` orders the free parts by how much they decide.
    """

    machine: Machine
    free: list[Free]
    targets: list[Target]
    values: Vector
    figures: dict[str, Vector]
    inside: Vector
    set_up: NDArray[np.bool_]
    matter: list[int] = field(default_factory=list)

    @property
    def passed(self) -> NDArray[np.bool_]:
        """Which combinations hold the setting and satisfy every target."""
        kept: NDArray[np.bool_] = self.set_up & (self.inside >= 0).all(axis=1)
        return kept

    @property
    def best(self) -> int | None:
        """The combination whose nearest target is furthest away."""
        worst = np.where(self.passed, self.inside.min(axis=1), -np.inf)
        return int(np.argmax(worst)) if self.passed.any() else None

    def kept(self, target: int) -> int:
        """How many combinations satisfy one target."""
        return int((self.set_up & (self.inside[:, target] >= 0)).sum())

    def without(self, target: int) -> int:
        """How many combinations would satisfy all others."""
        others = np.delete(self.inside, target, axis=1)
        return int((self.set_up & (others >= 0).all(axis=1)).sum())

    def nearest(self, target: int) -> float:
        """The figure of the combination that comes nearest to a target, or lies furthest inside; nan for none."""
        values = self.figures[self.targets[target].figure][self.set_up]
        if not np.isfinite(values).any():
            return math.nan
        return float(np.nanmin(values) if self.targets[target].at_most else np.nanmax(values))


def size(machine: Machine, free: Mapping[str, str], targets: Iterable[str]) -> Sizing:
    """Try every combination of the ``free`` parts ('part.key' to '0.4..1.2 mm') against the ``targets``.

    Errors: :class:`InputError` with everything that cannot be used; :class:`NoSolution` where the valve as written
    does not solve.
    """
    if not machine.mounted or machine.mounted[0].prefix or is_drawn(machine) or not machine.mounted[0].adjuster:
        what = "size is asked of the file of a relief valve with an adjuster"
        raise InputError(
            Problem(Place(str(machine.path)), what, "a machine's valves are changed in their own files")
        )
    bench = on_its_stand(machine, {})[0]
    channels = {name: "flow" for name in known_channels(bench) if name.startswith("flow:")}
    parts, wanted = _read(bench, free, list(targets), FIGURES | channels)
    grid = np.meshgrid(*(np.array(p.values) for p in parts), indexing="ij")
    values = np.stack([axis.ravel() for axis in grid], axis=1)
    th = np.tile(pushed(bench.system, bench.theta(), "open"), (len(values), 1))
    th[:, [bench.system.parameters[p.parameter] for p in parts]] = values
    figures, set_up = _Bench(bench).figures(th, [t.figure for t in wanted])
    inside = np.array([[t.inside(float(v)) for v in figures[t.figure]] for t in wanted]).T
    found = Sizing(bench, parts, wanted, values, figures, inside, set_up)
    found.matter = _matter(found)
    return found


def _read(
    bench: Machine, free: Mapping[str, str], targets: list[str], kinds: dict[str, str]
) -> tuple[list[Free], list[Target]]:
    problems: list[Problem] = []
    parts, wanted = [], []
    for option, given in (("--free", free), ("--target", targets)):
        if not given:
            hint = {"--free": "'main orifice.diameter=0.4..1.2 mm'", "--target": "'override<=60 psi'"}[option]
            problems.append(Problem(Place(option), "nothing is said", f"for example {option} {hint}"))
    for word, text in free.items():
        try:
            parts.append(read_free(bench, word, text))
        except QuantityError as err:
            problems.append(Problem(Place("--free"), f"{word}: {err.what}", err.hint))
        except InputError as err:
            problems.extend(err.problems)
    for text in targets:
        try:
            wanted.append(read_target(text, kinds))
        except QuantityError as err:
            problems.append(Problem(Place("--target"), f"{text}: {err.what}", err.hint))
        except InputError as err:
            problems.extend(err.problems)
    count = math.prod(len(p.values) for p in parts)
    if count > MOST:
        what = f"{count} combinations are too many"
        problems.append(Problem(Place("--free"), what, f"give lists, or fewer free parts: at most {MOST}"))
    if any(f"{bench.mounted[0].adjuster}.turns" == p.parameter for p in parts):
        what = "the turns of the adjuster follow from the setting"
        problems.append(Problem(Place("--free"), what, "leave them out"))
    if problems:
        raise InputError(problems)
    return parts, wanted


class _Bench:
    """A relief valve on its stand, many sets of it at once."""

    def __init__(self, machine: Machine) -> None:
        self.machine, self.system = machine, machine.system
        mounted = machine.mounted[0]
        chamber, feed = machine.set_by
        columns = self.system.parameters
        self.inlet, self.flow = f"pressure:{chamber}", columns[feed]
        self.turns = columns[f"{mounted.adjuster}.turns"]
        self.most = float(machine.parts[mounted.adjuster].values["most turns"] or 0.0)
        assert mounted.setting is not None
        self.setting = mounted.setting
        self.start = steady(self.system, pushed(self.system, machine.theta(), "open"))

    def states(self, th: Vector, flow: float, start: Vector | None = None) -> Vector:
        """States at a flow over the valve; nan where there is none."""
        th = th.copy()
        th[:, self.flow] = flow
        begin = self.start if start is None else np.where(np.isfinite(start), start, self.start)
        return rests(self.system, th, begin).z

    def pressure(self, th: Vector, z: Vector) -> Vector:
        """Inlet pressures (sets,) of states."""
        return shown(self.system, th, z, [self.inlet])[:, 0]

    def at_turns(self, th: Vector, turns: Vector | float, start: Vector | None = None) -> tuple[Vector, Vector]:
        """Full-flow states and their inlet pressures with the adjusters at these turns."""
        th[:, self.turns] = turns
        z = self.states(th, self.setting.flow, start)
        return z, self.pressure(th, z)

    def figures(self, th: Vector, wanted: list[str]) -> tuple[dict[str, Vector], NDArray[np.bool_]]:
        """Every figure of every set once it is set, and which sets hold the setting."""
        out = {
            LOWEST: self.at_turns(th, ENDS[0] * self.most)[1],
            HIGHEST: self.at_turns(th, ENDS[1] * self.most)[1],
        }
        z, set_up = self._set(th)
        out[FULL], out[TURNS] = self.pressure(th, z), th[:, self.turns].copy()
        out[CRACKING] = self.pressure(th, self.states(th, self.setting.cracked_flow, z))
        out[OVERRIDE] = out[FULL] - out[CRACKING]
        if DAMPING in wanted:
            out[DAMPING] = np.array([self._damping(*pair) for pair in zip(z, th, strict=True)])
        symbols = known_channels(self.machine)
        for name in (n for n in wanted if n.startswith("flow:")):
            out[name] = shown(self.system, th, z, [symbols[name]])[:, 0]
        known = set_up & np.isfinite(out[OVERRIDE])
        for name in set(out) - {LOWEST, HIGHEST}:
            out[name] = np.where(known, out[name], np.nan)
        return out, known

    def _set(self, th: Vector) -> tuple[Vector, NDArray[np.bool_]]:
        """Turn every adjuster until its valve holds the setting: full-flow states, and where that was possible.

        Regula falsi with the Illinois rule on all sets side by side.
        """
        low, high = np.zeros(len(th)), np.full(len(th), self.most)
        ends = [self.at_turns(th, t)[1] - self.setting.pressure for t in (low, high)]
        held = (ends[0] <= EXACT) & (ends[1] >= -EXACT)
        z, side = np.full((len(th), self.system.size), np.nan), np.zeros(len(th))
        for _ in range(ROUNDS):
            with np.errstate(all="ignore"):
                turns = np.clip(high - ends[1] * (high - low) / (ends[1] - ends[0]), 0.0, self.most)
            z, pressure = self.at_turns(th, np.where(held, turns, self.most), z)
            off = pressure - self.setting.pressure
            if not (np.abs(off[held]) > EXACT).any():
                break
            above = off > 0
            high, ends[1] = np.where(above, turns, high), np.where(above, off, ends[1])
            low, ends[0] = np.where(above, low, turns), np.where(above, ends[0], off)
            ends[0] = np.where(above & (side > 0), ends[0] / 2, ends[0])
            ends[1] = np.where(~above & (side < 0), ends[1] / 2, ends[1])
            side = np.where(above, 1.0, -1.0)
        return z, held & (np.abs(off) <= EXACT)

    def _damping(self, z: Vector, th: Vector) -> float:
        if not np.isfinite(z).all():
            return math.nan
        worst = stability(self.system, z, th).worst
        return math.nan if worst is None else worst.damping


def _matter(found: Sizing) -> list[int]:
    """Free parts by how much of the variance of the nearest target their values explain, most first."""
    score = np.clip(np.where(found.set_up, found.inside.min(axis=1), -1.0), -1.0, 1.0)

    def explained(k: int) -> float:
        groups = [score[found.values[:, k] == v] for v in np.unique(found.values[:, k])]
        return float(np.var([g.mean() for g in groups]))

    return sorted(range(len(found.free)), key=lambda k: (-explained(k), k))
