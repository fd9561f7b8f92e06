"""The figures that a choice of parts is judged by: of each valve set anew on its stand, and of the machine."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from oilway.model.machine import Machine
from oilway.model.system import System, Vector
from oilway.solve.batch import rests, shown
from oilway.solve.point import pushed, solve_point
from oilway.solve.stability import stability
from oilway.study.anew import Anew
from oilway.study.sized import ENDS
from oilway.study.spread_work import CRACKING, FULL, OVERRIDE, channel_kind, known_channels
from oilway.study.sweep import is_drawn

DAMPING, LOWEST, HIGHEST, TURNS = "damping ratio", "lowest setting", "highest setting", "turns"
KINDS = {
    FULL: "pressure",
    CRACKING: "pressure",
    OVERRIDE: "pressure",
    DAMPING: "number",
    LOWEST: "pressure",
    HIGHEST: "pressure",
    TURNS: "turns",
}
OPENS = (CRACKING, OVERRIDE)  # figures of a valve that opens by the pressure it is set to
QUARTER = 0.25  # of the full flow: with the cracking and the full flow, where its damping is looked at


class Valve:
    """One valve that is set anew, and what its figures are called: by its name too where it is in a machine."""

    def __init__(self, setter: Anew, of: str) -> None:
        self.setter, self.of = setter, of
        left_out = OPENS if is_drawn(setter.bench) else ()
        self.names = {name: name + of for name in KINDS if name not in left_out}

    def figures(self, th: Vector, wanted: Iterable[str]) -> tuple[dict[str, Vector], NDArray[np.bool_]]:
        """Set the valve of every set (sets, m), whose turns change: its figures, and which hold the setting.

        The damping ratio is the least at the cracking flow, a quarter of the full flow, and full flow.
        """
        setter = self.setter
        own = setter.on_bench(th)
        out = {LOWEST: setter.at_turns(own, ENDS[0] * setter.most)[1], HIGHEST: setter.furthest_in(own)[1]}
        z, held = setter.set_up(own)
        th[:, setter.adjuster] = own[:, setter.turns]
        out[FULL], out[TURNS] = setter.pressure(own, z), own[:, setter.turns].copy()
        cracked = setter.states(own, setter.setting.cracked_flow, z)
        known = held & np.isfinite(z).all(axis=1)
        if CRACKING in self.names:
            out[CRACKING] = setter.pressure(own, cracked)
            out[OVERRIDE] = out[FULL] - out[CRACKING]
            known &= np.isfinite(out[OVERRIDE])
        if self.names[DAMPING] in wanted:
            out[DAMPING] = self._damping(own, cracked, z)
        for name in set(out) - {LOWEST, HIGHEST}:
            out[name] = np.where(known, out[name], np.nan)
        return {self.names[name]: values for name, values in out.items()}, known

    def _damping(self, own: Vector, cracked: Vector, full: Vector) -> Vector:
        setter, flow = self.setter, self.setter.setting.flow
        between = setter.states(own, QUARTER * flow, full)
        places = ((setter.setting.cracked_flow, cracked), (QUARTER * flow, between), (flow, full))
        found = []
        for q, z in places:
            own[:, setter.flow] = q
            found.append(damping(setter.system, z, own))
        return np.asarray(np.min(found, axis=0))


class Whole:
    """The machine at its operating point: channels, and the damping ratio of all of it where it is a machine."""

    def __init__(self, machine: Machine, point: dict[str, float], is_machine: bool) -> None:
        self.machine, self.system = machine, machine.system
        self.symbols = known_channels(machine)
        self.kinds = {name: channel_kind(machine, name) for name in self.symbols}
        if is_machine:
            self.kinds[DAMPING] = KINDS[DAMPING]
        self.written = pushed(self.system, machine.theta(point), "open")
        self.start = solve_point(machine, point).z

    def figures(self, th: Vector, wanted: list[str]) -> dict[str, Vector]:
        """The figures ``wanted`` of every set (sets, m)."""
        wanted = [name for name in wanted if name in self.kinds]
        if not wanted:
            return {}
        z = rests(self.system, th, self.start).z
        channels = [name for name in wanted if name in self.symbols]
        values = shown(self.system, th, z, [self.symbols[n] for n in channels]) if channels else np.empty((0, 0))
        out = {name: values[:, k] for k, name in enumerate(channels)}
        if DAMPING in wanted:
            out[DAMPING] = damping(self.system, z, th)
        return out


def damping(system: System, z: Vector, th: Vector) -> Vector:
    """The least damping ratio (sets,) about states (sets, n); nan where there is none."""

    def one(state: Vector, own: Vector) -> float:
        if not np.isfinite(state).all():
            return math.nan
        worst = stability(system, state, own).worst
        return math.nan if worst is None else worst.damping

    return np.array([one(*pair) for pair in zip(z, th, strict=True)])
