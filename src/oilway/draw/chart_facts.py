"""What the chart of pressure-flow curves marks and says of each relief or reducing valve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from oilway.draw.labels import Floats
from oilway.errors import InputError, Place, Problem
from oilway.quantity import Units, show
from oilway.study.curve import Curve
from oilway.study.reducing import ReducingCurve

AnyCurve = Curve | ReducingCurve
MOST = 4  # curves of one chart


@dataclass(frozen=True)
class Mark:
    """A marked point of a curve (SI); ``share`` of the full size of its marker."""

    flow: float
    pressure: float
    share: float = 1.0
    hollow: bool = False


@dataclass(frozen=True)
class Facts:
    """One curve as drawn, SI: its branches with what leads into the rising one, marks, bar and words.

    ``lead`` is (flows, pressures) before the rising branch; ``bar`` two pressures, ``beside`` the text beside it;
    ``label`` is read at the first of ``marks``; ``words`` say all of it for whoever cannot see it.
    """

    curve: AnyCurve
    lead: tuple[Floats, Floats]
    marks: tuple[Mark, ...]
    bar: tuple[float, float]
    beside: str
    label: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class Layout:
    """All curves of one chart, and the words that they share: axes, key, and where the figures come from."""

    facts: list[Facts]
    flow: str
    pressure: str
    heading: str
    read: str
    filled: str
    hollow: str
    bar: str
    extremes: tuple[float, float]  # least and greatest flow


def lay_out(curves: Sequence[AnyCurve], units: Units) -> Layout:
    """What a chart of these curves shows.

    Errors: :class:`InputError` for none, for too many, and for reliefs and reducing valves together.
    """
    if not 1 <= len(curves) <= MOST:
        what = f"a chart has room for one to {MOST} curves, not for {len(curves)}"
        raise InputError(Problem(Place("chart"), what, "draw the others on a chart of their own"))
    reliefs = [c for c in curves if isinstance(c, Curve)]
    reducing = [c for c in curves if isinstance(c, ReducingCurve)]
    if reliefs and reducing:
        what = "one chart shows inlet pressures or reduced pressures, not both"
        raise InputError(Problem(Place("chart"), what, "draw the reducing valves on a chart of their own"))
    return _of_reducing(reducing, units) if reducing else _of_reliefs(reliefs, units)


def _range(values: Sequence[float], kind: str, units: Units) -> str:
    return " to ".join(dict.fromkeys(show(value, kind, units) for value in (min(values), max(values))))


def _of_reliefs(curves: Sequence[Curve], units: Units) -> Layout:
    flows = _range([c.cracked_flow for c in curves], "flow", units)
    return Layout(
        [_relief(c, units) for c in curves],
        "flow", "inlet pressure", "Pressure-flow curve", f"Cracking and reseating read at {flows}.",
        "cracks, full flow", "reseats", "override",
        (0.0, max(c.full_flow for c in curves)),
    )  # fmt: skip


def _relief(curve: Curve, units: Units) -> Facts:
    def said(pressure: float) -> str:
        return show(pressure, "pressure", units)

    full, cracked, half = (
        show(q, "flow", units) for q in (curve.full_flow, curve.cracked_flow, curve.full_flow / 2)
    )
    override = f"override {said(curve.override)}, {show(curve.override_share, 'ratio', units)}"
    return Facts(
        curve,
        (np.zeros(1), np.zeros(1)),  # up along the axis to where the valve begins to open
        # Cracking is drawn smaller, so that reseating shows round it where the two are close.
        (
            Mark(curve.cracked_flow, curve.cracking, 0.6),
            Mark(curve.cracked_flow, curve.reseating, hollow=True),
            Mark(curve.full_flow, curve.full),
        ),
        (curve.cracking, curve.full),
        f"full flow {said(curve.full)}\nat {full}\n{override}",
        f"cracks {said(curve.cracking)}\nreseats {said(curve.reseating)}",
        (
            *(f"{opening.part} opens at {said(opening.pressure)}" for opening in curve.openings),
            f"cracking pressure {said(curve.cracking)} at {cracked}",
            f"full-flow pressure {said(curve.full)} at {full}",
            override,
            f"reseating pressure {said(curve.reseating)} at {cracked}",
            f"rising less falling pressure {said(curve.hysteresis)} at {half}",
        ),
    )


def _of_reducing(curves: Sequence[ReducingCurve], units: Units) -> Layout:
    inlet = _range([c.inlet_pressure for c in curves], "pressure", units)
    back = max(float(c.pushed_flows.max(initial=0.0)) for c in curves)
    pushed = ", pushed back below 0" if back else ""
    return Layout(
        [_reducing(c, units) for c in curves],
        f"flow drawn{pushed}", "reduced pressure", "Reducing curve", f"Inlet held at {inlet}.",
        "setting, full flow", "no flow", "droop",
        (-back, max(c.full_flow for c in curves)),
    )  # fmt: skip


def _reducing(curve: ReducingCurve, units: Units) -> Facts:
    def said(pressure: float) -> str:
        return show(pressure, "pressure", units)

    full, half, set_at = (
        show(q, "flow", units) for q in (curve.full_flow, curve.full_flow / 2, curve.setting_flow)
    )
    droop, held = f"droop {said(curve.droop)}", f"held pressure at no flow {said(curve.held)}"
    marks = [Mark(0.0, curve.held, hollow=True), Mark(curve.full_flow, curve.full)]
    words = [held, f"{said(curve.full)} at {full}", droop, f"hysteresis {said(curve.hysteresis)} at {half}"]
    if (at_setting := curve.at_setting) is not None:
        marks.append(Mark(curve.setting_flow, at_setting, 0.6))
        words.insert(1, f"{said(at_setting)} at the {set_at} of its setting")
    if curve.pushed_rise is not None:
        back = show(float(curve.pushed_flows[-1]), "flow", units)
        words.append(f"{said(curve.held + curve.pushed_rise)} with {back} pushed back")
    ends = " to ".join(said(p) for p in (curve.inlet_pressure, curve.other_inlet))
    words.append(f"inlet from {ends} changes it by {said(curve.influence)}")
    return Facts(
        curve,
        (-curve.pushed_flows[::-1], curve.pushed[::-1]),
        tuple(marks),
        (curve.full, curve.held),
        f"full flow {said(curve.full)}\nat {full}\n{droop}",
        f"holds {said(curve.held)}\nat no flow",
        tuple(words),
    )
