"""Setting a valve anew, many sets of its parts at once: turned until each holds the setting of the file.

As a technician sets one, and as :mod:`oilway.study.setting` does for one valve: on its stand at full flow, in the
oil of the file, finishing on rising pressure.  Only the adjuster turns; a spring rate that a cracking pressure
solved stays as it is.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from oilway.errors import InputError, Place, Problem
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.system import Vector
from oilway.solve.batch import rests, shown
from oilway.solve.point import pushed
from oilway.solve.sensitivity import gradients
from oilway.solve.steady import steady
from oilway.study.setting import on_setting_stand, put_on_stand

EXACT, ROUNDS = 10.0, 60  # Pa: how close the setting is made, and in how many rounds at most
LESS = 0.05  # of all turns: where a spring is solid fully in, it is tried so much further out
Held = NDArray[np.bool_]


class Anew:
    """One valve of a machine on the stand on which it is set; ``adjuster`` is its turns in the machine.

    ``shared`` are the columns of its parts, in the parameters of the machine and of the stand.
    """

    def __init__(self, machine: Machine, mounted: Mounted) -> None:
        if mounted.setting is None or not mounted.adjuster:
            what = f"{mounted.name}: it has no setting, so it cannot be set anew"
            raise InputError(Problem(mounted.where, what, "add 'setting: PRESSURE at FLOW' to the file"))
        self.name, self.setting = mounted.name, mounted.setting
        self.bench = put_on_stand(machine, mounted) if mounted.prefix else on_setting_stand(machine)
        self.system = self.bench.system
        chamber, feed = self.bench.set_by
        columns = self.system.parameters
        self.read, self.flow = f"pressure:{chamber}", columns[feed]
        self.turns = columns[f"{mounted.valve.adjuster}.turns"]
        self.adjuster = machine.system.parameters[f"{mounted.adjuster}.turns"]
        self.most = float(machine.parts[mounted.adjuster].values["most turns"] or 0.0)
        self.written = pushed(self.system, self.bench.theta(), "open")
        self.written[self.flow] = self.setting.flow
        self.start = steady(self.system, self.written)
        inside = {
            column: columns[name.removeprefix(mounted.prefix)]
            for name, column in machine.system.parameters.items()
            if mounted.holds(name.rpartition(".")[0]) and name.removeprefix(mounted.prefix) in columns
        }
        self.shared = np.array(list(inside.items()), dtype=int).reshape(-1, 2)

    def on_bench(self, th: Vector) -> Vector:
        """Parameters on the stand (sets, k) of sets (sets, m) of the machine."""
        own = np.tile(self.written, (len(th), 1))
        own[:, self.shared[:, 1]] = th[:, self.shared[:, 0]]
        return own

    def pressure(self, own: Vector, z: Vector) -> Vector:
        """The pressures (sets,) that the setting speaks of, at states on the stand."""
        return shown(self.system, own, z, [self.read])[:, 0]

    def states(self, own: Vector, flow: float | None = None, start: Vector | None = None) -> Vector:
        """States on the stand at a flow, that of the setting unless given; nan where there is none."""
        own = own.copy()
        own[:, self.flow] = self.setting.flow if flow is None else flow
        begin = self.start if start is None else np.where(np.isfinite(start), start, self.start)
        return rests(self.system, own, begin).z

    def at_turns(self, own: Vector, turns: Vector | float, start: Vector | None = None) -> tuple[Vector, Vector]:
        """Full-flow states and their pressures with the adjusters at these turns, which ``own`` then holds."""
        own[:, self.turns] = turns
        z = self.states(own, None, start)
        return z, self.pressure(own, z)

    def furthest_in(self, own: Vector) -> tuple[Vector, Vector]:
        """The turns furthest in at which each has a state, and the pressures there; nan where it has none."""
        turns = np.full(len(own), self.most)
        pressures = self.at_turns(own, turns)[1]
        for share in np.arange(1 - LESS, 0, -LESS):
            lost = np.isnan(pressures)
            if not lost.any():
                break
            turns[lost] = share * self.most
            pressures[lost] = self.at_turns(own[lost], turns[lost])[1]
        return turns, pressures

    def set_up(self, own: Vector) -> tuple[Vector, Held]:
        """Turn every adjuster until its valve holds the setting: full-flow states, and where that was possible.

        ``own`` holds the turns then.  Regula falsi with the Illinois rule on all sets side by side.
        """
        low, (high, above_most) = np.zeros(len(own)), self.furthest_in(own)
        most = high.copy()
        ends = [p - self.setting.pressure for p in (self.at_turns(own, low)[1], above_most)]
        held = (ends[0] <= EXACT) & (ends[1] >= -EXACT)
        z, side, off = np.full((len(own), self.system.size), np.nan), np.zeros(len(own)), np.full(len(own), np.inf)
        for _ in range(ROUNDS):
            with np.errstate(all="ignore"):
                turns = np.clip(high - ends[1] * (high - low) / (ends[1] - ends[0]), 0.0, most)
            z, pressure = self.at_turns(own, np.where(held, turns, most), z)
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

    def set_in(self, th: Vector) -> Held:
        """Set the valve of every set (sets, m) of the machine, whose turns change; which hold the setting."""
        own = self.on_bench(th)
        held = self.set_up(own)[1]
        th[:, self.adjuster] = own[:, self.turns]
        return held

    def slopes(self, parameters: int) -> Vector:
        """Turns per each of so many parameters of the machine (m,), SI, so that the setting stays: exact.

        Where p(turns, x) stays the setting, d(turns)/dx = -(dp/dx) / (dp/d turns).
        """
        by = gradients(self.system, self.start, self.written, [self.read])[1][0]
        out = np.zeros(parameters)
        out[self.shared[:, 0]] = -by[self.shared[:, 1]] / by[self.turns]
        out[self.adjuster] = 0.0
        return out


def settings_of(machine: Machine, parameters: list[str]) -> list[Mounted]:
    """The valves with a setting of their own that have one of these parameters inside."""
    return [
        m
        for m in machine.mounted
        if m.setting is not None and m.adjuster and any(m.holds(name.rpartition(".")[0]) for name in parameters)
    ]


def set_by_settings(machine: Machine, parameters: list[str]) -> list[Anew]:
    """The valves of a machine to set anew where these parameters change: those of :func:`settings_of`.

    Errors: :class:`InputError` where there is none.
    """
    found = settings_of(machine, parameters)
    if not found:
        what = "nothing that differs is inside a valve with a setting: there is nothing to set anew"
        raise InputError(Problem(Place(str(machine.path)), what, "leave --set-anew out"))
    return [Anew(machine, mounted) for mounted in found]
