"""What a user can change while looking: the operating point, and what wears or is exchanged inside."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from oilway import quantity
from oilway.elements.record import Record
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.oil import COLDEST, HOTTEST
from oilway.study.scale import full_scale

POINT, OIL, ADJUSTERS, INSIDE = "operating point", "oil", "adjusters", "inside"
STEPS = 100  # a slider has at least as many steps
COLD, HOT = max(-20.0, COLDEST), min(100.0, HOTTEST)  # degC: a frosty morning, and too hot for any seal
# Records that wear, clog or are exchanged on a bench; by kind, with the span (SI) of a slider whose file says 0.
INTERNALS: dict[str, dict[str, float]] = {
    "orifice": {"diameter": 0.0},
    "spring": {"rate": 0.0, "compression": 0.0},
    "poppet seat": {"worn gap": 50e-6},
    "spool edge": {"clearance": 30e-6},
    "annular gap": {"clearance": 50e-6},
    "moving part": {"dry friction": 20.0},
    "cylinder": {"seal clearance": 100e-6},
    "accumulator": {"precharge": 0.0},
    "fixed pump": {"volumetric efficiency": 0.0},
    "pressure-compensated pump": {"volumetric efficiency": 0.0},
    "load-sensing pump": {"volumetric efficiency": 0.0},
    "motor": {"volumetric efficiency": 0.0},
}
# Of axes whose file says 0, where the number itself tells no size: the span by quantity kind, SI.
SPANS = {"pressure": 200 * quantity.PSI, "force": 10e3, "torque": 200.0, "flow": 1e-3, "rotation": 30.0}


@dataclass(frozen=True)
class Handle:
    """One thing to change: ``parameter`` of the machine, said as ``word``; range, value and step in SI.

    ``value`` is what the file says, brought into the range.  ``group`` is ``operating point``, ``oil``,
    ``adjusters`` or ``inside``; ``part`` is empty for the oil.
    """

    word: str
    parameter: str
    part: str
    kind: str
    low: float
    high: float
    value: float
    step: float
    group: str
    meaning: str
    source: str


def handles(machine: Machine) -> list[Handle]:
    """Everything that can be changed live, the operating point first, in the order of the file."""
    order = {name: i for i, name in enumerate(machine.parts)}
    found = [*_axes(machine), *_internals(machine)]
    groups = (POINT, ADJUSTERS, OIL, INSIDE)
    return sorted(found, key=lambda h: (groups.index(h.group), order.get(h.part, -1)))


def start(machine: Machine) -> dict[str, float]:
    """Values (SI by parameter) that handles begin at where the file's own lies outside the range of a slider."""
    own = _own(machine)
    return {h.parameter: h.value for h in handles(machine) if h.value != own[h.parameter]}


def _own(machine: Machine) -> dict[str, float]:
    """Every parameter at the file's own operating point, and the oil temperature."""
    th = machine.theta()
    values = {name: float(th[k]) for name, k in machine.system.parameters.items()}
    return values | {OIL_TEMPERATURE: machine.point.get(OIL_TEMPERATURE, machine.temperature)}


def _axes(machine: Machine) -> Iterator[Handle]:
    own, full = _own(machine), full_scale(machine)
    for axis in machine.axes.values():
        for parameter in axis.targets:
            word = axis.word if len(axis.targets) == 1 else parameter
            if parameter == OIL_TEMPERATURE:
                meaning = "of the oil everywhere in the machine"
                yield _handle(word, parameter, "", "temperature", (COLD, HOT), own[parameter], OIL, meaning, "")
                continue
            part, _, name = parameter.rpartition(".")
            if _unused(machine, part, name, own):
                continue
            record = _record(machine, part, name)
            group = ADJUSTERS if name == "turns" else POINT
            span = _widened(machine, parameter, record, _span_of_axis(record, own, part, full))
            yield _handle(
                word, parameter, part, record.kind, span, own[parameter], group, record.meaning, record.source
            )


def _unused(machine: Machine, part: str, name: str, own: dict[str, float]) -> bool:
    """Turns of a spring that no thread moves, and the way of giving a load that its file does not take."""
    if name == "turns":
        return own[f"{part}.pitch"] == 0.0
    ways = machine.elements[part].exclusive
    used = next((way for way in ways if own[f"{part}.{way}"] != 0.0), ways[-1] if ways else name)
    return name in ways and name != used


def _span_of_axis(record: Record, own: dict[str, float], part: str, full: float) -> tuple[float, float]:
    """A range that shows what there is to see; named points widen it, what is legal cuts it."""
    value = own[f"{part}.{record.name}"]
    if record.name == "turns":
        return 0.0, own[f"{part}.most turns"]
    if record.name == "position" and f"{part}.bore" in own:
        return 0.0, own[f"{part}.stroke"]
    if record.name == "load pressure":
        return (0.0 if value >= 0 else -full), 1.25 * full
    if record.kind == "rotation":
        return 0.25 * value, 1.25 * value or SPANS["rotation"]
    if math.isfinite(record.low) and math.isfinite(record.high) and record.kind in ("number", "ratio"):
        return record.low, record.high
    reach = 1.5 * value or SPANS.get(record.kind, 1.0)
    if record.kind == "pressure":
        reach = max(reach, SPANS["pressure"])
    return min(0.0, reach), max(0.0, reach)


def _widened(machine: Machine, parameter: str, record: Record, span: tuple[float, float]) -> tuple[float, float]:
    """The range with the values of named points in it, cut to what is legal."""
    named = [point[parameter] for point in machine.points.values() if parameter in point]
    return max(min([span[0], *named]), record.low), min(max([span[1], *named]), record.high)


def _internals(machine: Machine) -> Iterator[Handle]:
    own = _own(machine)
    for part, element in machine.elements.items():
        for name, span in INTERNALS.get(element.kind, {}).items():
            parameter = f"{part}.{name}"
            if parameter not in own:
                continue
            record, value = _record(machine, part, name), own[parameter]
            if value == 0.0 and span == 0.0:
                continue
            low, high = (0.0, max(span, 3 * value)) if span else (value / 3, 3 * value)
            yield _handle(
                parameter, parameter, part, record.kind, _widened(machine, parameter, record, (low, high)),
                value, INSIDE, record.meaning, record.source,
            )  # fmt: skip


def _record(machine: Machine, part: str, name: str) -> Record:
    return next(r for r in machine.elements[part].records if r.name == name)


def _handle(
    word: str, parameter: str, part: str, kind: str, span: tuple[float, float], value: float,
    group: str, meaning: str, source: str,
) -> Handle:  # fmt: skip
    step = _step(kind, span)
    low, high = _rounded(kind, span, step)
    return Handle(word, parameter, part, kind, low, high, min(max(value, low), high), step, group, meaning, source)


def _step(kind: str, span: tuple[float, float]) -> float:
    """A round step in the shop unit (1, 2 or 5 times a power of ten), in SI."""
    size = quantity.KINDS[kind].units[quantity.unit(kind)]
    wanted = abs(span[1] - span[0]) / size / STEPS
    power = 10.0 ** math.floor(math.log10(wanted))
    return size * power * max(m for m in (1, 2, 5) if m * power <= wanted * (1 + 1e-9))


def _rounded(kind: str, span: tuple[float, float], step: float) -> tuple[float, float]:
    """The range, its ends on whole steps of the shop unit inside it."""
    offset = quantity.KINDS[kind].offsets.get(quantity.unit(kind), 0.0)
    low, high = ((end - offset) / step for end in span)
    return offset + step * math.ceil(low - 1e-9), offset + step * math.floor(high + 1e-9)
