"""The curve of a reducing valve: its outlet over the flow drawn from it, and the figures read off it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import ClassVar

import numpy as np

from oilway import quantity
from oilway.errors import ImpossibleCircuit, InputError, Place, Problem, QuantityError
from oilway.model.machine import Machine
from oilway.model.mount import Mounted
from oilway.model.system import System, Vector
from oilway.solve.curve import marching
from oilway.solve.point import pushed
from oilway.solve.steady import steady
from oilway.study.curve import Curve, relief_curve
from oilway.study.sweep import POINTS, Sweep, is_drawn, on_its_stand, spaced

COARSE = 8  # of so many points one is taken on the way to where the curve begins
RELIEVES = 0.01  # of the full flow: a valve that lets out less of what is pushed back is no relieving one


@dataclass
class ReducingCurve(Sweep):
    """The reduced (outlet) pressure over the flow drawn from the outlet, at an inlet held at ``inlet_pressure``.

    ``influence`` (Pa) is how much the reduced pressure at the setting's flow changes when the inlet goes from
    ``inlet_pressure`` to ``other_inlet``, half-way down to the reduced pressure.  ``pushed_flows`` (m3/s, from 0
    up) and ``pushed`` are the branch of oil pushed back into the outlet, as far as the pressure stays below the
    inlet's; empty for a non-relieving valve.
    """

    reads: ClassVar[str] = "reduced pressure"

    setting_flow: float
    inlet_pressure: float
    other_inlet: float
    influence: float
    pushed_flows: Vector
    pushed: Vector
    notes: list[str] = field(default_factory=list)

    @property
    def held(self) -> float:
        """Held pressure at no flow: where the outlet stands after the last oil was drawn."""
        return float(self.falling[0])

    @property
    def at_setting(self) -> float | None:
        """Reduced pressure at the setting's flow, on rising flow; None where the curve ends before it."""
        return self.at(self.rising, self.setting_flow) if self.setting_flow <= self.full_flow else None

    @property
    def droop(self) -> float:
        """Held pressure at no flow less the reduced pressure at full flow."""
        return self.held - self.full

    @property
    def pushed_rise(self) -> float | None:
        """Rise above the held pressure at the most that was pushed back; None for a non-relieving valve."""
        return float(self.pushed[-1]) - self.held if self.pushed.size else None

    def branches(self) -> dict[str, tuple[Vector, Vector]]:
        """As of any curve; flow that is pushed back counts below zero."""
        back = {"pushed back": (-self.pushed_flows, self.pushed)} if self.pushed.size else {}
        return super().branches() | back


def take_curve(
    machine: Machine,
    *,
    flow: float | None = None,
    cracked_flow: float | None = None,
    points: int = POINTS,
    point: dict[str, float] | None = None,
) -> Curve | ReducingCurve:
    """The curve of a valve: :func:`reducing_curve` where it is set by what is drawn, else :func:`relief_curve`.

    Errors: as of either, and :class:`InputError` for a cracking flow where nothing cracks.
    """
    if not is_drawn(machine):
        return relief_curve(machine, flow=flow, cracked_flow=cracked_flow, points=points, point=point)
    if cracked_flow is not None:
        what = "a reducing valve is open at rest and has no cracking pressure"
        raise InputError(Problem(Place("curve"), what, "leave out the flow that counts as cracked"))
    return reducing_curve(machine, flow=flow, points=points, point=point)


def reducing_curve(
    machine: Machine, *, flow: float | None = None, points: int = POINTS, point: dict[str, float] | None = None
) -> ReducingCurve:
    """The curve of a reducing valve on its stand, from nothing drawn to ``flow`` (m3/s) and back.

    ``flow`` is the rated flow of its file unless given, and that of its setting where there is none; ``point``
    lays operating values (inlet pressure, oil temperature, turns ...) over the stand's own.
    Errors: :class:`InputError` for what is no valve set by what is drawn from it, or where its inlet is not held
    at a pressure; :class:`NoSolution`.
    """
    if not is_drawn(machine):
        what = "nothing sets this valve by what is drawn from its outlet"
        raise InputError(Problem(Place(str(machine.path)), what, "its curve is a relief_curve"))
    machine, pump = on_its_stand(machine, point or {})
    inlet = _held_inlet(machine)
    set_at = machine.mounted[0].setting.flow if machine.mounted[0].setting else float(pump.values["flow"] or 0.0)
    full = flow or _rated(machine.mounted[0]) or set_at
    if not full > 0:
        raise InputError(Problem(Place("curve"), "the full flow of a curve is above zero"))
    system, th = machine.system, machine.theta(point)
    read, drawn = system.index[f"pressure in {machine.set_by[0]}"], machine.set_by[1]
    flows = spaced(0.0, full, points, set_at if set_at < full else 0.5 * full)
    # Friction remembers: the valve is taken to no flow first, as when whatever it feeds has come to its stop.
    first = [*flows[:0:-COARSE], 0.0]
    steps = marching(system, th, drawn, [*first, *flows, *flows[::-1], *(-flows[1:])])
    _, up, down = ([next(steps) for _ in range(n)] for n in (len(first), points, points))
    rising = np.array([z[read] for z in up])
    inlet_pressure = float(th[system.parameters[inlet]])
    back = np.array([down[-1][read], *_below(steps, read, inlet_pressure)])
    if flows[len(back) - 1] < RELIEVES * full:
        back = np.empty(0)
    other = 0.5 * (inlet_pressure + float(np.interp(set_at, flows, rising)))
    return ReducingCurve(
        machine.title, flows, rising, np.array([z[read] for z in down[::-1]]),
        set_at, inlet_pressure, other,
        _influence(machine, th, {drawn: min(set_at, full)}, inlet, other),
        flows[: len(back)], back,
        _notes(system, th, flows, up, back),
    )  # fmt: skip


def _held_inlet(machine: Machine) -> str:
    """The parameter that holds the inlet of the valve at its pressure."""
    inlet = machine.mounted[0].at("inlet")
    if f"{inlet}.pressure" not in machine.system.parameters:
        what = "the inlet of a reducing valve is held at a pressure while its curve is taken"
        raise InputError(Problem(Place(str(machine.path)), what, "join its inlet to a tank with a 'pressure'"))
    return f"{inlet}.pressure"


def _rated(mounted: Mounted) -> float | None:
    text = mounted.valve.rated_flow
    try:
        return None if text is None else quantity.parse(text.text, "flow")
    except QuantityError as err:
        raise InputError(Problem(text.where if text else Place(), f"rated flow: {err.what}", err.hint)) from None


def _below(steps: Iterator[Vector], read: int, limit: float) -> Iterator[float]:
    """The pressures of the next steps as long as they stay below a limit (Pa)."""
    try:
        for z in steps:
            if z[read] >= limit:
                return
            yield float(z[read])
    except ImpossibleCircuit:  # from one step to the next beyond any pressure: nothing lets the oil out
        return


def _influence(machine: Machine, th: Vector, at: dict[str, float], inlet: str, other: float) -> float:
    """Change (Pa) of the reduced pressure at one flow when the inlet goes from its own to another pressure."""
    system = machine.system
    th = pushed(system, th, "open")  # as on rising flow
    read = system.index[f"pressure in {machine.set_by[0]}"]
    for name, value in at.items():
        th[system.parameters[name]] = value
    before = steady(system, th)
    th[system.parameters[inlet]] = other
    return float(steady(system, th, before)[read] - before[read])


def _notes(system: System, th: Vector, flows: Vector, up: list[Vector], back: Vector) -> list[str]:
    """What a reader of the figures must know."""
    notes = []
    words = [[status.word for status in system.ledger(z, th)[1]] for z in up]
    for i, part in enumerate(system.moving):
        k = next((k for k, word in enumerate(words) if word[i] == "at its stop"), None)
        if k is not None:
            notes.append(
                f"{part} stands at its stop from {quantity.show(float(flows[k]), 'flow')} on and regulates no more"
            )
    if not back.size:
        notes.append("non-relieving: it does not let out what is pushed back into its outlet")
    elif back.size < flows.size:
        most = quantity.show(float(flows[back.size - 1]), "flow")
        notes.append(
            f"pushed back, no more than {most} leave it before its outlet has reached the inlet's pressure"
        )
    return notes
