"""Forms made from the records of the elements: what may be filled in, in which unit, and what it means."""

from __future__ import annotations

import inspect
import math
from dataclasses import dataclass

from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.record import REQUIRED, Record
from oilway.model.catalogue import REFERS, kinds, shipped_valves
from oilway.model.oil_block import OIL_RECORDS
from oilway.model.tree import Problems, block_of, text_of
from oilway.model.valve import ACTS, ROLES, Valve, read_ports, read_valve
from oilway.quantity import Units

STAND_ONLY = ("test pump", "test load")


@dataclass(frozen=True)
class Field:
    """One key of a form.

    ``sort`` is ``port`` (the name of a chamber), ``amount`` (a number with a unit), ``choice``, ``reference`` (the
    name of another part, of one of the kinds in ``choices``) or ``text``.  ``default``, ``low`` and ``high`` are
    texts as one would type them, empty where there is none.
    """

    name: str
    sort: str
    meaning: str
    required: bool
    default: str = ""
    low: str = ""
    high: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()
    source: str = ""


@dataclass(frozen=True)
class Form:
    """What a part of some kind, or a valve of some name, takes; ``about`` says in a sentence what it is."""

    kind: str
    about: str
    fields: tuple[Field, ...]


def forms(units: Units = "shop") -> list[Form]:
    """A form for every kind of part, in the order of a lesson."""
    return [
        Form(kind, _first_sentence(element), (*_ports(element), *(_field(r, units) for r in element.records)))
        for kind, element in kinds().items()
        if kind not in STAND_ONLY
    ]


def head_forms(units: Units = "shop") -> list[Form]:
    """The forms of what stands beside the parts: ``oil``, ``machine``, ``valve`` and one ``port`` of a valve."""
    note = Field("note", "text", "what the reader should know of it", False)
    setting = "a pressure at a flow, '2300 psi at 18 gpm'; solved by turning the adjuster"
    return [
        Form("oil", "The oil and the air around it", tuple(_field(r, units) for r in OIL_RECORDS)),
        Form("machine", "Its name", (Field("machine", "text", "what it is called", True), note)),
        Form("valve", "Its name, and how it is set", (
            Field("valve", "text", "what it is called", True),
            Field("acts as", "choice", "what it does in a machine", False, choices=ACTS),
            Field("adjuster", "reference", "spring that its adjuster turns", False, choices=("spring",)),
            Field("setting", "text", setting, False),
            Field("rated flow", "amount", "flow that its test stand gives it", False, "15 gpm", unit="gpm"),
            note,
        )),
        Form("port", "Where a line is screwed in", (
            Field("chamber", "port", "chamber behind the port", True),
            Field("role", "choice", "what the port is for", True, choices=ROLES),
            Field("unconnected", "choice", "whether it may be left plugged", False, "not allowed",
                  choices=("plugged", "not allowed")),
        )),
    ]  # fmt: skip


def valve_forms() -> list[Form]:
    """A form for mounting each shipped valve: its ports, its options and its setting."""
    return [valve_form(name, read_valve(path)) for name, path in shipped_valves().items()]


def valve_form(name: str, valve: Valve) -> Form:
    """The form for mounting one valve."""
    problems = Problems()
    fields = [
        Field(p.name, "port", f"chamber at port {p.name} ({p.role})", not p.plugged) for p in valve.ports.values()
    ]
    for option in valve.options.items:
        block = block_of(valve.options, option, problems, name)
        choices = block_of(block, "choices", problems, name)
        for choice in choices.items:
            of = block_of(choices, choice, problems, name)
            for port in read_ports(block_of(of, "ports", problems, name), problems).values():
                fields.append(Field(port.name, "port", f"chamber at port {port.name}, with '{choice}'", False))
        default = text_of(block, "default", problems, name)
        meaning = text_of(block, "note", problems, name, "") or "how it is built"
        fields.append(Field(option, "choice", meaning, False, default, choices=tuple(choices.items)))
    setting = valve.setting.text if valve.setting else ""
    if valve.adjuster:
        meaning = "what it is set to: a pressure at a flow; 'cracks A, B at C' where its file allows"
        fields.append(Field("setting", "text", meaning, False, setting))
    return Form(name, valve.title, tuple(fields))


def _ports(element: type[Element]) -> list[Field]:
    return [Field(p.name, "port", p.meaning, True) for p in element.ports]


def _field(record: Record, units: Units) -> Field:
    required = record.default == REQUIRED
    default = "" if required or record.default is None else _typed(record, record.default, units)
    if record.kind == "choice":
        return Field(record.name, "choice", record.meaning, required, default, choices=record.choices)
    if record.kind == "reference":
        return Field(record.name, "reference", record.meaning, required, choices=REFERS[record.refers_to])
    if not record.is_quantity:
        return Field(record.name, "text", record.meaning, required, default)
    low, high = (_typed(record, v, units) if math.isfinite(v) else "" for v in (record.low, record.high))
    unit = quantity.unit(record.kind, units)
    return Field(
        record.name, "amount", record.meaning, required, default, low, high, unit, source=record.source
    )  # fmt: skip


def _typed(record: Record, value: float | str, units: Units) -> str:
    """A value as one would type it; with more digits where it would else read back as another number."""
    if isinstance(value, str):
        return value
    shown = quantity.show(value, record.kind, units)
    if abs(quantity.parse(shown, record.kind) - value) <= 0.01 * abs(value):
        return shown
    return f"{quantity.number(value, record.kind, units):.3g} {quantity.unit(record.kind, units)}".rstrip()


def _first_sentence(element: type[Element]) -> str:
    text = " ".join((inspect.getdoc(element) or "").split("\n\n")[0].split())
    return text.partition(". ")[0].rstrip(".")
