"""What a user can change while looking: the operating point, and what wears or is exchanged inside."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from oilway import quantity
from oilway.elements.record import Record
from oilway.model.load import LOAD
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.oil import COLDEST, HOTTEST
from oilway.study.scale import full_scale

POINT, OIL, ADJUSTERS, INSIDE = "operating point", "oil", "adjusters", "inside"
STEPS = 100  # a slider has at least as many steps
COLD, HOT = -20.0, 100.0  # degC: a frosty morning, and too hot for any seal
HEAT = Record(
    "temperature", "temperature", "of the oil everywhere in the machine", low=COLDEST, high=HOTTEST, source="given"
)
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

    ``low`` and ``high`` are round in the shop's unit, or as far as the part goes.  ``value`` is what the file
    says (of the blocked load of a test stand, the end of the slider).  ``group`` is ``operating point``, ``oil``,
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
    found = [h for h in (*_axes(machine), *_internals(machine)) if h is not None]
    groups = (POINT, ADJUSTERS, OIL, INSIDE)
    return sorted(found, key=lambda h: (groups.index(h.group), order.get(h.part, -1)))


def start(machine: Machine) -> dict[str, float]:
    """Values (SI by parameter) where sliders begin elsewhere than the file: the blocked load of a test stand."""
    own = _own(machine)
    return {h.parameter: h.value for h in handles(machine) if h.value != own[h.parameter]}


def _own(machine: Machine) -> dict[str, float]:
    """Every parameter at the file's own operating point, and the oil temperature."""
    th = machine.theta()
    values = {name: float(th[k]) for name, k in machine.system.parameters.items()}
    return values | {OIL_TEMPERATURE: machine.point.get(OIL_TEMPERATURE, machine.temperature)}


def _axes(machine: Machine) -> Iterator[Handle | None]:
    own, full = _own(machine), full_scale(machine)
    for axis in machine.axes.values():
        for parameter in axis.targets:
            word = axis.word if len(axis.targets) == 1 else parameter
            part, _, name = parameter.rpartition(".")
            if parameter == OIL_TEMPERATURE:
                yield _handle(machine, word, parameter, HEAT, (COLD, HOT), own[parameter], OIL)
            elif not _unused(machine, part, name, own):
                record, group = _record(machine, part, name), ADJUSTERS if name == "turns" else POINT
                span = _span_of_axis(record, own, part, full)
                yield _handle(machine, word, parameter, record, span, own[parameter], group)


def _unused(machine: Machine, part: str, name: str, own: dict[str, float]) -> bool:
    """Turns of a spring that no thread moves, and the way of giving a load that its file does not take."""
    if name == "turns":
        return own[f"{part}.pitch"] == 0.0
    ways = machine.elements[part].exclusive
    used = next((way for way in ways if own[f"{part}.{way}"] != 0.0), ways[-1] if ways else name)
    return name in ways and name != used


def _span_of_axis(record: Record, own: dict[str, float], part: str, full: float) -> tuple[float, float]:
    """A range that shows what there is to see; named points widen it, limits cut it."""
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


def _internals(machine: Machine) -> Iterator[Handle | None]:
    own = _own(machine)
    for part, element in machine.elements.items():
        for name, span in INTERNALS.get(element.kind, {}).items():
            parameter = f"{part}.{name}"
            value = own.get(parameter, 0.0)
            if parameter not in own or value == span == 0.0:
                continue
            ends = (0.0, max(span, 3 * value)) if span else (value / 3, 3 * value)
            yield _handle(machine, parameter, parameter, _record(machine, part, name), ends, value, INSIDE)


def _record(machine: Machine, part: str, name: str) -> Record:
    return next(r for r in machine.elements[part].records if r.name == name)


def _handle(
    machine: Machine,
    word: str,
    parameter: str,
    record: Record,
    span: tuple[float, float],
    value: float,
    group: str,
) -> Handle | None:
    """The handle, or None where there is no room to move."""
    part = parameter.rpartition(".")[0]
    named = [point[parameter] for point in machine.points.values() if parameter in point]
    if part != LOAD:  # on the plain stand a load that blocks stands far above any pressure
        named.append(value)
    least, most = _limits(machine, part, record)
    low, high = max(min([span[0], *named]), least), min(max([span[1], *named]), most)
    if not low < high:
        return None
    step = _step(record.kind, (low, high))
    low, high = (min(max(end, least), most) for end in _rounded(record.kind, (low, high), step))
    value = min(max(value, low), high)
    return Handle(word, parameter, part, record.kind, low, high, value, step, group, record.meaning, record.source)


def _limits(machine: Machine, part: str, record: Record) -> tuple[float, float]:
    """The legal range, and how far this part goes."""
    values = machine.parts[part].values if part else {}
    ends = {"turns": "most turns"} | ({"position": "stroke"} if "bore" in values else {})
    most = values.get(ends.get(record.name, ""))
    return record.low, record.high if most is None else min(record.high, float(most))


def _step(kind: str, span: tuple[float, float]) -> float:
    """A round step in the shop unit (1, 2 or 5 times a power of ten), in SI."""
    size = quantity.KINDS[kind].units[quantity.unit(kind)]
    wanted = abs(span[1] - span[0]) / size / STEPS
    power = 10.0 ** math.floor(math.log10(wanted))
    return size * power * max(m for m in (1, 2, 5) if m * power <= wanted * (1 + 1e-9))


def _rounded(kind: str, span: tuple[float, float], step: float) -> tuple[float, float]:
    """The range, its ends outwards on whole steps of the shop unit."""
    offset = quantity.KINDS[kind].offsets.get(quantity.unit(kind), 0.0)
    low, high = ((end - offset) / step for end in span)
    return offset + step * math.floor(low + 1e-9), offset + step * math.ceil(high - 1e-9)
