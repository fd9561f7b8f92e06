"""Stability margin: how well a valve is damped in its circuit, and what would damp it better."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from oilway.errors import NoSolution
from oilway.model.system import Vector
from oilway.solve.result import State
from oilway.solve.root import bracket_root
from oilway.solve.stability import NEGLIGIBLE, Mode, stability
from oilway.solve.steady import steady

TARGET = 0.1  # damping ratio: a swing dies away to half in one period, to a tenth in four (common practice)
# What can be built otherwise, by kind of part.  Areas are left out: a seat and its faces change together.
CHANGEABLE: dict[str, tuple[str, ...]] = {
    "annular gap": ("clearance",),
    "chamber": ("volume",),
    "hose": ("length", "diameter"),
    "line": ("length", "diameter"),
    "moving part": ("mass", "viscous friction"),
    "orifice": ("diameter",),
    "spool edge": ("width",),
    "spring": ("rate", "wire diameter", "active coils"),
}
NUDGE = 1e-3  # relative change of a parameter to either side for its derivative
FARTHEST = 10.0  # a parameter is looked for between a tenth of what it is and ten times that
STRIDES = 10  # steps on the way there
EXACT = 1e-6  # of the damping ratio
SEARCHED = 3  # so many of the ranked parameters are tried


@dataclass(frozen=True)
class Influence:
    """What one parameter does to the damping ratio.

    ``value`` in SI, of quantity kind ``kind``; ``slope`` is d(damping ratio) / d(ln parameter).  ``factor`` by
    which it alone must change for the target: ``None`` out of reach, or not ``searched`` for.
    """

    parameter: str
    value: float
    kind: str
    slope: float
    factor: float | None = None
    searched: bool = False


@dataclass(frozen=True)
class Margin:
    """The least damped mode that the parts of one valve lead, and what moves it, strongest first.

    ``mode`` is ``None`` where nothing of the valve swings; ``resting`` names its parts on a seat or stop.
    """

    valve: str
    mode: Mode | None
    target: float
    influences: tuple[Influence, ...] = ()
    resting: tuple[str, ...] = ()

    @property
    def reached(self) -> bool:
        """True when it is damped as well as asked for."""
        return self.mode is None or self.mode.damping >= self.target


def margins(state: State, target: float = TARGET) -> list[Margin]:
    """The margin of every valve of a solved state, and of moving parts that stand in the machine itself.

    Slopes are central differences between equilibria solved anew; all else stays, the adjuster's turns too.  Dry
    friction is left out of the modes, as in :func:`oilway.solve.stability.stability`.
    """
    out, seen = [], set()
    for mounted in state.machine.mounted:
        # The parts of a valve within a valve belong to the outer one, which stands first.
        parts = [n for n in state.statuses if n.startswith(mounted.prefix) and n not in seen]
        seen.update(parts)
        if parts:
            near = {*mounted.outside.values(), *_touched(state, parts)}
            out.append(_Valve(state, mounted.prefix, parts, near).margin(mounted.name, target))
    for part in state.statuses:
        if part not in seen:
            out.append(_Valve(state, "", [part], _touched(state, [part])).margin(part, target))
    return out


def _touched(state: State, moving: Iterable[str]) -> set[str]:
    """Chambers that what sits on these moving parts meets: faces, seats, edges."""
    own = set(moving)
    return {c for p in state.machine.parts.values() if p.values.get("on") in own for c in p.nodes.values()}


class _Valve:
    """Some moving parts at a solved state, and their modes at other values of a parameter."""

    def __init__(self, state: State, prefix: str, parts: list[str], near: set[str]) -> None:
        self.state, self.prefix, self.near, self.parts = state, prefix, near, parts
        self.free = [p for p in parts if state.statuses[p].word == "open"]
        self.own = {f"{what} of {part}" for part in self.free for what in ("lift", "speed")}

    def margin(self, name: str, target: float) -> Margin:
        """Mode, slopes, and how far the strongest parameters must change."""
        resting = tuple(p for p in self.parts if p not in self.free)
        worst = min(self._led(self.state.z, self.state.th), key=lambda mode: mode.damping, default=None)
        if worst is None:
            return Margin(name, None, target, (), resting)
        found = [item for item in self._influences(worst) if item is not None]
        found.sort(key=lambda item: (-abs(item.slope), item.parameter))
        if worst.damping < target:
            found[:SEARCHED] = [self._searched(item, target) for item in found[:SEARCHED]]
        return Margin(name, worst, target, tuple(found), resting)

    def _led(self, z: Vector, th: Vector) -> list[Mode]:
        """Modes that swing, or grow, with a part of this valve among their leading unknowns."""
        modes = stability(self.state.machine.system, z, th).modes
        return [m for m in modes if self.own & set(m.who) and (m.frequency > 0 or m.growth > NEGLIGIBLE)]

    def _influences(self, worst: Mode) -> Iterable[Influence | None]:
        machine = self.state.machine
        for name, part in machine.parts.items():
            if not self._is_own(name):
                continue
            for key in CHANGEABLE.get(part.kind, ()):
                full = f"{name}.{key}"
                if full in machine.system.parameters and self.state.parameter(full) > 0:
                    yield self._influence(full, worst)

    def _is_own(self, name: str) -> bool:
        """Whether a part is of this valve, or meets it in the circuit and is of no other valve."""
        machine = self.state.machine
        if self.prefix and name.startswith(self.prefix):
            return True
        part = machine.parts[name]
        if part.kind == "chamber":
            return name in self.near
        if any(m.prefix and name.startswith(m.prefix) for m in machine.mounted):
            return False
        own = {name, part.values.get("on")} & set(self.parts)
        return bool(own) or bool(self.near & set(part.nodes.values()))

    def _influence(self, parameter: str, worst: Mode) -> Influence | None:
        """Slope of the mode's damping ratio; ``None`` where a nudge leads to no like state."""
        place = complex(worst.growth, 2 * math.pi * worst.frequency)
        ends = []
        for step in (-NUDGE, NUDGE):
            near = self._at(parameter, 1 + step, self.state.z)
            if near is None:
                return None
            modes = near[1]
            ends.append(min(modes, key=lambda m: abs(complex(m.growth, 2 * math.pi * m.frequency) - place)))
        slope = (ends[1].damping - ends[0].damping) / math.log((1 + NUDGE) / (1 - NUDGE))
        kind = self.state.machine.resolve(parameter)[1]
        return Influence(parameter, self.state.parameter(parameter), kind, slope)

    def _at(self, parameter: str, factor: float, start: Vector) -> tuple[Vector, list[Mode]] | None:
        """State and modes with one parameter changed; ``None`` where the valve then stands otherwise."""
        system, th = self.state.machine.system, self.state.th.copy()
        th[system.parameters[parameter]] *= factor
        try:
            z = steady(system, th, start)
        except NoSolution:
            return None
        words = {s.part: s.word for s in system.ledger(z, th)[1]}
        modes = self._led(z, th)
        return (z, modes) if modes and all(words[p] == "open" for p in self.free) else None

    def _searched(self, item: Influence, target: float) -> Influence:
        """With the factor that brings the least damped mode of the valve to the target, if one does."""
        low, high = self._reach(item)
        end = math.log(high if item.slope > 0 else low)
        state = [self.state.z]

        def short(log_factor: float) -> float:
            found = self._at(item.parameter, math.exp(log_factor), state[0])
            if found is None:
                return math.nan
            state[0] = found[0]
            return min(mode.damping for mode in found[1]) - target

        before = 0.0, short(0.0)
        for k in range(1, STRIDES + 1):
            here = (x := end * k / STRIDES), short(x)
            if math.isnan(here[1]):
                break
            if here[1] >= 0:
                root = bracket_root(short, before[0], here[0], EXACT, (before[1], here[1]))
                return replace(item, factor=math.exp(root), searched=True)
            before = here
        return replace(item, searched=True)

    def _reach(self, item: Influence) -> tuple[float, float]:
        """Least and greatest factor: ten times either way, within the legal range of the key."""
        owner, _, key = item.parameter.rpartition(".")
        record = next(r for r in self.state.machine.elements[owner].records if r.name == key)
        return max(1 / FARTHEST, record.low / item.value), min(FARTHEST, record.high / item.value)
