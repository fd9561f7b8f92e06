"""The JSON Schema of Oilway's files, for editors that check while one types.

Generated from the same records that the reader checks against, so the two cannot drift apart.  It refuses
unknown and missing keys, words that are none of the choices and units of the wrong kind; names that must fit
one another (chambers, moving parts, ports of a valve of one's own) and legal ranges are the reader's to check.
A file may write plain numbers without quotes, so wherever a number needs no unit both forms are let in.
"""

from __future__ import annotations

import math
import re
from typing import Any
from urllib.parse import quote

from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.record import REQUIRED, Record
from oilway.model.bench import SET_BY_KEYS, STAND_KEYS
from oilway.model.catalogue import kinds, shipped_valves
from oilway.model.load import MACHINE_KEYS, TRAPPED
from oilway.model.machine import OIL_TEMPERATURE
from oilway.model.mount import OWN_KEYS
from oilway.model.oil_block import OIL_RECORDS
from oilway.model.parts import COMMON, legal_range
from oilway.model.setting import HINT
from oilway.model.tree import FORMAT, Problems, block_of, text_of
from oilway.model.valve import ACTS, KEYS, ROLES, SIZE_KEYS, STATE_WORDS, PortOf, Valve, read_ports, read_valve

Schema = dict[str, Any]

TEXT, NOTE = "text", "note"
PART_NAME = "^[^.]+$"
CHANGED = r"^[^.]+\..+$"  # "part.key"
NUMBER = (
    r"^\s*[+\u2212-]?\s*(?:[0-9]+[ -]\s*[0-9]+/[0-9]+|[0-9]+/[0-9]+"
    r"|[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?|(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)\s*"
)


def schema() -> Schema:
    """The schema (draft 2020-12) of machine and valve files, as plain data for ``json.dump``."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Oilway file, format {FORMAT}",
        "description": "A machine (key 'machine') or a valve (key 'valve'), described by its parts.",
        "type": "object",
        "if": {"required": ["valve"], "not": {"required": ["machine"]}},
        "then": _ref("valve file"),
        "else": _ref("machine file"),
        "$defs": {
            **_words(),
            **{f"quantity {name}": _quantity(kind) for name, kind in quantity.KINDS.items()},
            "machine file": _machine_file(),
            "valve file": _valve_file(),
            "oil": _oil(),
            "operating point": _operating_point(),
            "ports": _ports(),
            "options": _options(),
            "states": _states(),
            "stand": _stand(),
            "size": _size(),
            "part": _part(),
            **{f"part {kind}": _element(element) for kind, element in kinds().items()},
            "part valve": _mounted_valve(),
            **{f"valve {name}": _shipped(read_valve(path)) for name, path in shipped_valves().items()},
        },
    }


# -- building blocks ---------------------------------------------------------------------------------------
def _ref(name: str, **more: Any) -> Schema:
    return {"$ref": "#/$defs/" + quote(name), **more}


def _when(key: str, word: str, then: str) -> Schema:
    return {"if": {"properties": {key: {"const": word}}, "required": [key]}, "then": _ref(then)}


def _closed(properties: Schema, required: list[str], **more: Any) -> Schema:
    return {
        "type": "object",
        **more,
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }


def _named(item: Schema, pattern: str = PART_NAME) -> Schema:
    """A mapping whose keys are names of the user's own."""
    return {"type": "object", "propertyNames": {"pattern": pattern}, "additionalProperties": item}


def _words() -> Schema:
    return {
        TEXT: {"type": ["string", "number"], "minLength": 1},
        NOTE: {"type": ["string", "number"], "description": "for the reader of the file; not used"},
        "format": {"enum": [FORMAT, int(FORMAT)], "description": "version of the file format"},
        "chamber": _ref(TEXT, description="name of a chamber or tank"),
        "setting": {"type": "string", "pattern": " at ", "description": HINT},
        "changes": {
            **_named(_ref(TEXT), CHANGED),
            "description": "changed internals, 'main orifice.diameter: 1 mm'",
        },
    }


# -- quantities --------------------------------------------------------------------------------------------
def _quantity(kind: quantity.Kind) -> Schema:
    """A number with one of the units of its kind; a bare number where the kind allows it."""
    units = sorted((u for u in kind.units if u), key=len, reverse=True)
    spelled = "(?:" + "|".join(_spelling(u) for u in units) + r")\s*"
    bare = "" in kind.units
    pattern = NUMBER + (f"(?:{spelled})?" if bare and units else spelled if units else "") + "$"
    return {
        "type": ["string", "number"] if bare else "string",
        "pattern": pattern,
        "description": kind.wanted,
        "examples": [kind.example],
    }


def _spelling(unit: str) -> str:
    """Every spelling of a unit that ``quantity.parse`` takes: capitals, raised digits, signs of a product."""
    twins = {"2": "\\^?[2²]", "3": "\\^?[3³]", "/": r"\s*/\s*"}
    out = []
    for k, letter in enumerate(unit):
        if letter in " -":
            out.append(r"\s*[-*·⋅ ]\s*")
        elif letter in twins:
            out.append(twins[letter])
        elif letter == "u":
            out.append("[uUµμ]")
        elif letter.isalpha() and not (k == 0 and letter in "mM"):
            out.append(f"[{letter.upper()}{letter.lower()}]")
        else:
            out.append(re.escape(letter) if letter in ".^$*+?()[]{}|\\" else letter)
    return "".join(out)


def _record(record: Record) -> Schema:
    """What stands under the key of a record."""
    said = record.meaning
    if not record.is_quantity:
        if record.kind == "choice":
            given = {} if record.default == REQUIRED else {"default": record.default}
            return {"enum": list(record.choices), "description": said, **given}
        return _ref(TEXT, description=said)
    if (legal := legal_range(record)) != "":
        said += f"; {legal}"
    if isinstance(record.default, float):
        said += f"; {quantity.show(record.default, record.kind)} unless given"
    # Bounds hold for numbers written without quotes; a text with a unit is the reader's to compare.
    bounds = {"minimum": record.low, "maximum": record.high} if "" in quantity.KINDS[record.kind].units else {}
    finite = {key: value for key, value in bounds.items() if math.isfinite(value)}
    return _ref(f"quantity {record.kind}", description=said, **finite)


# -- files -------------------------------------------------------------------------------------------------
def _machine_file() -> Schema:
    properties = {
        "format": _ref("format"),
        "machine": _ref(TEXT, description="title of the machine"),
        "note": _ref(NOTE),
        "oil": _ref("oil"),
        "parts": _parts(),
        "operating point": _ref("operating point"),
        "trapped": {
            **_named(_ref(f"quantity {TRAPPED.kind}"), ""),
            "description": "pressure of oil that nothing moves, by chamber",
        },
        "size": _ref("size"),
    }
    assert set(properties) == set(MACHINE_KEYS)
    return _closed(properties, ["format", "machine", "parts"])


def _valve_file() -> Schema:
    properties = {
        "format": _ref("format"),
        "valve": _ref(TEXT, description="title of the valve"),
        "note": _ref(NOTE),
        "ports": _ref("ports"),
        "parts": _parts(),
        "options": _ref("options"),
        "adjuster": _ref(TEXT, description="the spring that a technician turns"),
        "rated flow": _ref("quantity flow", description="full flow on the test stand"),
        "setting": _ref("setting"),
        "cracking solves": _ref(TEXT, description="what a given cracking pressure solves: 'main spring.rate'"),
        "states": _ref("states"),
        "setting acts on": _ref(TEXT, description="the face on which the pressure of its setting acts"),
        "stand": _ref("stand"),
        "acts as": {"enum": list(ACTS), "description": "what it does in a machine; 'check' compares by it"},
        "size": _ref("size"),
    }
    assert set(properties) == set(KEYS)
    return _closed(properties, ["format", "valve", "ports", "parts"])


def _size() -> Schema:
    free = {
        **_named(_ref(TEXT), CHANGED),
        "description": "ranges by part, 'main orifice.diameter: 0.4..1.2 mm in drills'",
    }
    targets = {"type": "array", "items": _ref(TEXT), "description": "'override<=60 psi', 'no chatter'"}
    properties = {"free": free, "targets": targets, "note": _ref(NOTE)}
    assert set(properties) == set(SIZE_KEYS)
    return _closed(properties, [], description="what 'oilway size' may choose, and what is wanted")


def _parts() -> Schema:
    return {**_named(_ref("part")), "minProperties": 1, "description": "the parts by name, each with its kind"}


def _oil() -> Schema:
    properties = {record.name: _record(record) for record in OIL_RECORDS}
    return _closed({**properties, "note": _ref(NOTE)}, [])


def _operating_point() -> Schema:
    """The words that elements declare; any record may be named too, as 'part.key'."""
    words: Schema = {OIL_TEMPERATURE: _ref("quantity temperature")}
    for element in kinds().values():
        for word, name in element.axes.items():
            words[word] = _record(next(r for r in element.records if r.name == name))
    return {
        "type": "object",
        "properties": words,
        "patternProperties": {CHANGED: _ref(TEXT)},
        "additionalProperties": False,
    }


def _ports() -> Schema:
    port = {
        "chamber": _ref("chamber", description="the chamber behind the port"),
        "role": {"enum": list(ROLES), "description": "what the port is for"},
        "unconnected": {
            "enum": ["plugged", "not allowed"],
            "default": "not allowed",
            "description": "what happens when nothing is connected",
        },
    }
    return _named(_closed(port, ["chamber", "role"]), "^.+$")


def _options() -> Schema:
    choice = _closed({"parts": _named(_ref("part")), "ports": _ref("ports"), "note": _ref(NOTE)}, [])
    option = {
        "default": _ref(TEXT, description="the choice taken when nothing is said"),
        "choices": {**_named(choice, "^.+$"), "minProperties": 1},
        "note": _ref(NOTE),
    }
    return _named(_closed(option, ["default", "choices"]), "^.+$")


def _states() -> Schema:
    state = {
        "when": {**_named({"enum": list(STATE_WORDS)}, "^.+$"), "minProperties": 1},
        "say": _ref(TEXT, description="what this state means, in words"),
    }
    return {"type": "array", "items": _closed(state, ["when", "say"])}


def _stand() -> Schema:
    """The test circuit of a valve file."""
    joins = {**_named(_ref("chamber"), "^.+$"), "description": "port of the valve to chamber of the circuit"}
    set_by = {
        "pressure in": _ref("chamber", description="where the pressure of a setting is read"),
        "flow of": {"type": "string", "pattern": CHANGED, "description": "'part.key' of the flow that makes it"},
        "joins": joins,
        "at": _ref("operating point", description="the operating point meanwhile"),
    }
    properties = {
        "parts": _parts(),
        "joins": joins,
        "points": {
            **_named(_ref("operating point"), "^.+$"),
            "description": "named operating points, in the order of a lesson",
        },
        "set by": _closed(set_by, ["pressure in", "flow of"], description="how a setting is made"),
        "note": _ref(NOTE),
    }
    assert set(properties) == set(STAND_KEYS)
    assert set(set_by) == set(SET_BY_KEYS)
    return _closed(properties, ["parts"])


# -- parts -------------------------------------------------------------------------------------------------
def _part() -> Schema:
    every = [*kinds(), "valve"]
    return {
        "type": "object",
        "required": ["kind"],
        "properties": {"kind": {"enum": every}},
        "allOf": [_when("kind", kind, f"part {kind}") for kind in every],
    }


def _element(element: type[Element]) -> Schema:
    common = dict(zip(COMMON, ({"const": element.kind}, _ref(NOTE)), strict=True))
    ports = {port.name: _ref("chamber", description=port.meaning) for port in element.ports}
    records = {record.name: _record(record) for record in element.records}
    required = [*ports, *(r.name for r in element.records if r.default == REQUIRED)]
    title = (element.__doc__ or "").partition("\n")[0]
    return _closed({**common, **ports, **records}, ["kind", *required], description=title)


def _mounted_valve() -> Schema:
    """A mounted valve: ports and options of a shipped one are known here, those of another are let in."""
    own = {
        "kind": {"const": "valve"},
        "valve": _ref(TEXT, description="name of a shipped valve, or a file beside this one"),
        "setting": _ref("setting"),
        "with": _ref("changes"),
        "note": _ref(NOTE),
    }
    assert set(own) == set(OWN_KEYS)
    return {
        "type": "object",
        "required": ["kind", "valve"],
        "properties": {**own, "valve": {**own["valve"], "examples": list(shipped_valves())}},
        "additionalProperties": _ref(TEXT),
        "allOf": [_when("valve", name, f"valve {name}") for name in shipped_valves()],
    }


def _shipped(valve: Valve) -> Schema:
    """Ports and options of a shipped valve; a port that a choice adds is asked for with that choice."""
    properties: Schema = {key: True for key in OWN_KEYS if key != "setting" or valve.adjuster}
    properties.update({port.name: _ref("chamber", description=port.role) for port in valve.ports.values()})
    required = [port.name for port in valve.ports.values() if not port.plugged]
    conditions = []
    for name in valve.options.items:
        default, choices = _choices(valve, name)
        properties[name] = {"enum": list(choices), "default": default}
        for choice, ports in choices.items():
            properties.update({port.name: _ref("chamber", description=port.role) for port in ports})
            needed = [port.name for port in ports if not port.plugged]
            said = {"properties": {name: {"const": choice}}}
            when = said if choice == default else {**said, "required": [name]}
            conditions += [{"if": when, "then": {"required": needed}}] if needed else []
    more = {"allOf": conditions} if conditions else {}
    return _closed(properties, required, description=valve.title, **more)


def _choices(valve: Valve, name: str) -> tuple[str, dict[str, list[PortOf]]]:
    """The default choice of an option, and the ports that each choice adds."""
    problems = Problems()
    option = block_of(valve.options, name, problems, name)
    choices = block_of(option, "choices", problems, name)
    ports = {}
    for choice in choices.items:
        block = block_of(block_of(choices, choice, problems, name), "ports", problems, name)
        ports[choice] = list(read_ports(block, problems).values())
    return text_of(option, "default", problems, name), ports
