"""Choose free parts of a valve or a machine for targets: every combination is set anew, solved and judged.

A combination is the machine with those parts in it; a valve with one of them inside is set on its stand, its
adjuster turned until it holds the setting of the file.  Figures are then read off as for the machine as written.
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
from oilway.study.anew import set_by_settings, settings_of
from oilway.study.controls import as_set
from oilway.study.free import Free, Target, declared, read_free, read_target
from oilway.study.plan_ratings import refuse_above, refuse_unrated
from oilway.study.size_figures import KINDS, Valve, Whole
from oilway.study.sweep import is_drawn, on_its_stand

MOST = 20_000  # combinations


@dataclass
class Sizing:
    """All combinations: ``values`` (sets, free) SI, ``figures`` (sets,) SI by name, nan where there is none.

    ``kinds`` are the quantity kinds of the figures, ``set_anew`` the names of the valves set for each.

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
    kinds: dict[str, str]
    set_anew: list[str]
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

    @property
    def closest(self) -> int | None:
        """The combination that holds the setting and whose worst target is least missed; none where none holds."""
        worst = np.where(self.set_up, self.inside.min(axis=1), -np.inf)
        return int(np.argmax(worst)) if np.isfinite(worst).any() else None


def size(
    machine: Machine,
    free: Mapping[str, str] | None = None,
    targets: Iterable[str] = (),
    *,
    rated: float | None = None,
    point: dict[str, float] | None = None,
) -> Sizing:
    """Try every combination of the ``free`` parts ('part.key' to '0.4..1.2 mm') against the ``targets``.

    Those the file lists under ``size`` count where none are given.  A relief valve alone stands on the stand on
    which it is set, anything else at its operating point, ``point`` laid over it.  ``rated`` (Pa) is the rated
    pressure of a valve alone: without a rating nothing is set, nor above the lowest.
    Errors: :class:`InputError` with everything that cannot be used; :class:`NoSolution` where the machine as
    written does not solve.
    """
    alone = bool(machine.mounted) and not machine.mounted[0].prefix
    listed = declared(machine)
    if alone and machine.mounted[0].setting is not None and not is_drawn(machine):
        machine = on_its_stand(machine, point or {})[0]
    parts = _read_free(machine, dict(free or listed[0]))
    valves = _set_anew(machine, parts, rated)
    whole = Whole(machine, dict(point or {}), not alone)
    kinds = {valve.names[n]: KINDS[n] for valve in valves for n in valve.names} | whole.kinds
    wanted = _read_targets(list(targets) or listed[1], kinds)
    grid = np.meshgrid(*(np.array(p.values) for p in parts), indexing="ij")
    values = np.stack([axis.ravel() for axis in grid], axis=1)
    th = np.tile(whole.written, (len(values), 1))
    th[:, [machine.system.parameters[p.parameter] for p in parts]] = values
    figures, set_up = _figures(th, valves, whole, [t.figure for t in wanted])
    inside = np.array([[t.inside(float(v)) for v in figures[t.figure]] for t in wanted]).T
    kinds = {name: kinds[name] for name in kinds if name in figures}
    found = Sizing(machine, parts, wanted, values, figures, inside, set_up, kinds, [v.setter.name for v in valves])
    found.matter = _matter(found)
    return found


def _set_anew(machine: Machine, parts: list[Free], rated: float | None) -> list[Valve]:
    """The valves to set anew.  Errors: :class:`InputError` for a missing rating, or a setting above one."""
    names = [p.parameter for p in parts]
    if not settings_of(machine, names):
        return []
    setters = set_by_settings(machine, names)
    turned = [
        p.parameter for p in parts if machine.system.parameters[p.parameter] in {a.adjuster for a in setters}
    ]
    if turned:
        what = f"{', '.join(turned)}: the turns of the adjuster follow from the setting"
        raise InputError(Problem(Place("--free"), what, "leave them out"))
    set_here = {a.name for a in setters}
    found = [control for control in as_set(machine) if control.name in set_here]
    refuse_unrated(machine, found, rated)
    refuse_above(machine, found, rated)
    alone = not machine.mounted[0].prefix
    return [Valve(a, "" if alone and a.name == machine.mounted[0].name else f" of {a.name}") for a in setters]


def _figures(
    th: Vector, valves: list[Valve], whole: Whole, wanted: list[str]
) -> tuple[dict[str, Vector], NDArray[np.bool_]]:
    """Every figure of every set once its valves are set, and which sets hold all settings."""
    out: dict[str, Vector] = {}
    set_up = np.ones(len(th), dtype=bool)
    for valve in valves:
        figures, held = valve.figures(th, wanted)
        out |= figures
        set_up &= held
    for name, values in whole.figures(th, [n for n in wanted if n not in out]).items():
        out[name] = np.where(set_up, values, np.nan)
    return out, set_up


def _read_free(machine: Machine, free: Mapping[str, str]) -> list[Free]:
    problems: list[Problem] = []
    parts = []
    if not free:
        hint = "for example --free 'main orifice.diameter=0.4..1.2 mm', or list them in the file under 'size'"
        problems.append(Problem(Place("--free"), "nothing is said", hint))
    for word, text in free.items():
        try:
            parts.append(read_free(machine, word, text))
        except QuantityError as err:
            problems.append(Problem(Place("--free"), f"{word}: {err.what}", err.hint))
        except InputError as err:
            problems.extend(err.problems)
    count = math.prod(len(p.values) for p in parts)
    if count > MOST:
        what = f"{count} combinations are too many"
        problems.append(Problem(Place("--free"), what, f"give lists, or fewer free parts: at most {MOST}"))
    if problems:
        raise InputError(problems)
    return parts


def _read_targets(targets: list[str], kinds: dict[str, str]) -> list[Target]:
    problems: list[Problem] = []
    wanted = []
    if not targets:
        hint = "for example --target 'override<=60 psi', or list them in the file under 'size'"
        problems.append(Problem(Place("--target"), "nothing is said", hint))
    for text in targets:
        try:
            wanted.append(read_target(text, kinds))
        except QuantityError as err:
            problems.append(Problem(Place("--target"), f"{text}: {err.what}", err.hint))
        except InputError as err:
            problems.extend(err.problems)
    if problems:
        raise InputError(problems)
    return wanted


def _matter(found: Sizing) -> list[int]:
    """Free parts by how much of the variance of the nearest target their values explain, most first."""
    score = np.clip(np.where(found.set_up, found.inside.min(axis=1), -1.0), -1.0, 1.0)

    def explained(k: int) -> float:
        groups = [score[found.values[:, k] == v] for v in np.unique(found.values[:, k])]
        return float(np.var([g.mean() for g in groups]))

    return sorted(range(len(found.free)), key=lambda k: (-explained(k), k))
