"""Settings by shop knowledge: the adjuster (and a spring rate) solved on the test stand."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from oilway import quantity
from oilway.errors import ImpossibleCircuit, InputError, NoSolution, Place, Problem
from oilway.model.load import stand
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.model.mount import Mounted
from oilway.model.setting import Setting
from oilway.model.system import Vector
from oilway.model.tree import Problems, block_of
from oilway.solve.point import Push, pushed
from oilway.solve.root import bracket_root
from oilway.solve.steady import steady

EXACT = 1.0  # Pa: how close a solved setting comes
STIFFEST, SOFTEST = 1e8, 1e2  # N/m: between these a spring rate is looked for
HALVINGS = 40
WIDER = math.log(2.0)  # steps of the search about the rate in the file
BEYOND = 20.0  # times 'most turns': how far the search may go before the reach of the adjuster is judged
CLOSE = 0.1  # share of a preload: another rate changes it by less


class Stand:
    """One valve on a stand, asked again and again for the pressure that its setting speaks of.

    ``machine`` is the valve on the stand on which it is set, ``adjuster`` its spring there; ``point`` lays
    operating values over the stand's own.  ``push`` is the side from which dry friction is met: ``open`` as on
    rising pressure, the way a valve is set.
    """

    def __init__(
        self, machine: Machine, adjuster: str, point: dict[str, float] | None = None, *, push: Push = "open"
    ) -> None:
        self.machine, self.system = machine, machine.system
        chamber, flow = machine.set_by
        self.read = self.system.index[f"pressure in {chamber}"]
        self.flow = self.system.parameters[flow]
        self.turns = self.system.parameters[f"{adjuster}.turns"]
        heat = {OIL_TEMPERATURE: machine.temperature}
        self.th = pushed(self.system, machine.theta({**heat, **(point or {})}), push)
        self.warm: dict[float, Vector] = {}

    def pressure(self, flow: float) -> float:
        """Pressure (Pa) that the setting speaks of, at a flow (m3/s) over the valve."""
        self.th[self.flow] = flow
        z = steady(self.system, self.th, self.warm.get(flow))
        self.warm[flow] = z
        return float(z[self.read])

    def solve_turns(self, pressure: float, flow: float, most: float, near: float | None = None) -> float:
        """Turns at which the stand reads ``pressure`` at ``flow``; nan when no turns do.

        They are looked for about ``near`` first, where that is given, then up to ``most``.
        """

        def off(turns: float) -> float:
            self.th[self.turns] = turns
            return self.pressure(flow) - pressure

        tried = [(0.0, most)]
        if near is not None and (1 + CLOSE) * near < most:
            tried.insert(0, ((1 - CLOSE) * near, (1 + CLOSE) * near))
        for low, high in tried:
            ends = off(low), off(high)
            if ends[0] * ends[1] <= 0:
                turns = bracket_root(off, low, high, EXACT, ends)
                self.th[self.turns] = turns
                return turns
        return math.nan


def settle(machine: Machine) -> Machine:
    """The machine with every setting given by shop knowledge turned into turns (and a spring rate).

    Errors: :class:`ImpossibleCircuit` for a setting out of the adjuster's reach, :class:`InputError` where a
    cracking pressure is given for a valve whose file does not say what it solves.
    """
    for mounted in machine.mounted:
        if mounted.setting is not None and mounted.valve.adjuster:
            machine = _settle_one(machine, mounted, mounted.setting)
    return machine


def on_setting_stand(machine: Machine) -> Machine:
    """A valve on the stand on which it is set, its internals as they are; the machine itself where that is one."""
    mounted = machine.mounted[0]
    if not mounted.valve.stand.items or not mounted.adjuster:
        return machine
    return put_on_stand(machine, mounted)


def put_on_stand(machine: Machine, mounted: Mounted) -> Machine:
    """A valve of a machine alone on the stand on which it is set, its internals as they are in the machine."""
    own = block_of(mounted.valve.stand, "parts", Problems(), "stand")
    bench = _stand_of(machine, mounted)
    for name, part in bench.parts.items():
        inside = machine.parts.get(mounted.prefix + name)
        if inside is None or name in own.items or part.kind in ("chamber", "tank") or part.kind != inside.kind:
            continue
        # Texts name other parts, and those are called otherwise here.
        bench = bench.with_part(name, {k: v for k, v in inside.values.items() if not isinstance(v, str)})
    return bench


def _stand_of(machine: Machine, mounted: Mounted) -> Machine:
    return stand(
        mounted.valve, mounted.setting, oil=machine.oil, temperature=machine.temperature, to_set=True,
        pool=machine.pool,
    )  # fmt: skip


def _to_set(machine: Machine, mounted: Mounted) -> Machine:
    """The stand on which a setting is made, with the internals of the valve's file."""
    if machine.mounted[0] is mounted and mounted.prefix == "" and not mounted.valve.stand.items:
        return machine
    return _stand_of(machine, mounted)


def _settle_one(machine: Machine, mounted: Mounted, setting: Setting) -> Machine:
    spring = machine.parts[mounted.adjuster]
    most = float(spring.values["most turns"] or 0.0)
    bench = Stand(_to_set(machine, mounted), mounted.valve.adjuster)
    name = mounted.valve.cracking_solves
    asked = bench.read, bench.flow, bench.turns, name, replace(setting, where=Place()), most

    def solve() -> tuple[float | None, float]:
        return _solve(bench, mounted, setting, most)

    pool = machine.pool
    rate, turns = solve() if pool is None else pool.solved(bench.system, bench.th, asked, solve)
    solved = f"turns {turns:.3f} solved"
    if rate is not None:
        owner, _, record = name.rpartition(".")
        machine = machine.with_part(mounted.prefix + owner, {record: rate})
        solved = f"turns {turns:.3f} and {name} {quantity.show(rate, 'rate')} solved"
    machine = machine.with_part(mounted.adjuster, {"turns": min(turns, most)})
    machine.notes.append(f"{mounted.name}: set to {describe(setting)}; {solved}")
    return machine


def describe(setting: Setting, units: quantity.Units = "shop") -> str:
    """The setting in words."""
    full = f"{quantity.show(setting.pressure, 'pressure', units)} at {quantity.show(setting.flow, 'flow', units)}"
    if setting.cracking is None:
        return full
    cracked = quantity.show(setting.cracking, "pressure", units)
    return f"{full}, cracking {cracked} at {quantity.show(setting.cracked_flow, 'flow', units)}"


def _solve(bench: Stand, mounted: Mounted, setting: Setting, most: float) -> tuple[float | None, float]:
    """Spring rate (N/m; none where the file's stays) and turns that make a setting, within ``most`` turns."""
    if setting.cracking is None:
        rate, turns = None, bench.solve_turns(setting.pressure, setting.flow, BEYOND * most)
    else:
        rate, turns = _solve_rate(bench, mounted, setting, most)
    if not turns <= most * (1 + 1e-9):
        raise _out_of_reach(bench, mounted, setting, most, turns)
    return rate, turns


def _solve_rate(bench: Stand, mounted: Mounted, setting: Setting, most: float) -> tuple[float, float]:
    """Spring rate (N/m) and turns that give both the cracking and the full-flow pressure."""
    name = mounted.valve.cracking_solves
    column = bench.system.parameters.get(name)
    if column is None:
        what = f"{mounted.name}: a cracking pressure is given, but its file does not say what it solves"
        raise InputError(Problem(setting.where, what, "give only 'PRESSURE at FLOW', or add 'cracking solves:'"))
    cracking = float(setting.cracking or 0.0)
    nominal = float(bench.th[column])
    preload: float | None = None  # rate times turns: nearly the same for every rate

    def off(log_rate: float) -> float:
        """Full-flow pressure too high by this much; nan where so stiff a spring cannot crack so low."""
        nonlocal preload
        rate = bench.th[column] = math.exp(log_rate)
        # The same preload takes fewer turns of a stiffer spring, so the search is bounded by preload.
        near = None if preload is None else preload / rate
        turns = bench.solve_turns(cracking, setting.cracked_flow, BEYOND * most * nominal / rate, near)
        if math.isnan(turns):
            return math.nan
        preload = rate * turns
        return bench.pressure(setting.flow) - setting.pressure

    log_rate = _root_below_nan(off, math.log(nominal), math.log(SOFTEST), math.log(STIFFEST))
    if log_rate is None:
        raise _unreachable(mounted, setting)
    off(log_rate)
    return math.exp(log_rate), float(bench.th[bench.turns])


def _root_below_nan(off: Callable[[float], float], near: float, least: float, most: float) -> float | None:
    """Where ``off`` changes from below to above zero, though it may turn to nan somewhere above that.

    Looked for about ``near`` first, then further out, from ``least`` to ``most``.
    """
    low = high = min(max(near, least), most)
    at_low = at_high = off(low)
    while not at_low < 0:
        if low <= least:
            return None
        high, at_high = low, at_low
        low = max(low - WIDER, least)
        at_low = off(low)
    while at_high < 0 and high < most:
        low, at_low = high, at_high
        high = min(high + WIDER, most)
        at_high = off(high)
    beyond = high
    for _ in range(HALVINGS):
        if at_high > 0:
            return bracket_root(off, low, high, EXACT, (at_low, at_high))
        if math.isnan(at_high):
            beyond = high
        else:
            low, at_low = high, at_high
        high = 0.5 * (low + beyond)
        at_high = off(high)
    return None


def _unreachable(mounted: Mounted, setting: Setting) -> ImpossibleCircuit:
    return ImpossibleCircuit(
        f"{mounted.name}: no spring makes it crack and pass full flow at {describe(setting)}",
        equation=f"setting of {mounted.name}",
        unknown=mounted.prefix + mounted.valve.cracking_solves,
        hint="the jet alone already raises the pressure by more, or the seat is too small for the flow",
    )


def _out_of_reach(bench: Stand, mounted: Mounted, setting: Setting, most: float, turns: float) -> NoSolution:
    reached = []
    for end in (0.0, most):
        bench.th[bench.turns] = end
        reached.append(quantity.show(bench.pressure(setting.flow), "pressure"))
    hint = f"at that flow it reaches {reached[0]} fully out and {reached[1]} fully in ({most:g} turns)"
    if setting.cracking is not None and math.isfinite(turns):
        rate = quantity.show(float(bench.th[bench.system.parameters[mounted.valve.cracking_solves]]), "rate")
        hint = f"both pressures want a spring of {rate} turned in {turns:.1f} turns; its adjuster has {most:g}"
    return ImpossibleCircuit(
        f"{mounted.name}: a setting of {describe(setting)} is out of its adjuster's reach",
        equation=f"setting of {mounted.name}",
        unknown=f"{mounted.adjuster}.turns",
        hint=hint,
    )
