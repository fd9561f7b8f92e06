"""The oil of a file: the block ``oil`` read against its records."""

from __future__ import annotations

import re

from oilway import quantity
from oilway.elements.record import Record, amount
from oilway.errors import QuantityError
from oilway.model.parts import read_value
from oilway.model.tree import Block, Problems, check_keys
from oilway.oil import Oil

GRADE = Record("grade", "text", "ISO VG grade on the can, such as 'ISO VG 46'", None)
TEMPERATURE = 50.0  # degC (122 F), the usual test temperature; common practice
OIL_RECORDS: tuple[Record, ...] = (
    GRADE,
    amount("viscosity index", "number", "how little the oil thins when hot", None, "0", "300"),
    amount(
        "viscosity at 40 C",
        "viscosity",
        "measured, instead of or beside the grade",
        None,
        "2 cSt",
        "2000 cSt",
    ),
    amount("viscosity at 100 C", "viscosity", "measured, instead of a viscosity index", None, "1 cSt", "200 cSt"),
    amount("density at 15 C", "density", "from the data of the oil", None, "700 kg/m3", "1200 kg/m3"),
    amount("bulk modulus", "modulus", "stiffness of the oil without air, at 40 C", None, "0.3 GPa", "5 GPa"),
    amount("entrained air", "ratio", "free air in the oil, share of volume at no pressure", None, "0", "0.2"),
    amount("temperature", "temperature", "oil temperature", "122 F", "-40 F", "300 F"),
    amount("ambient pressure", "absolute_pressure", "air pressure around the machine", None, "7 psi", "16 psi"),
    amount("air temperature", "temperature", "of the air that cools the tank", None, "-60 F", "160 F"),
)
FIELDS = {
    "viscosity index": "viscosity_index",
    "density at 15 C": "density15",
    "bulk modulus": "modulus",
    "entrained air": "air",
    "ambient pressure": "p_ambient",
    "air temperature": "air_temperature",
}


def read_oil(block: Block, problems: Problems) -> tuple[Oil, float, list[str]]:
    """The oil, its temperature (degC), and notes on what was defaulted."""
    known = [r.name for r in OIL_RECORDS]
    check_keys(block, (*known, "note"), problems, "oil")
    before = len(problems.found)
    values = {r.name: read_value("oil", r, block, problems) for r in OIL_RECORDS}
    grade = _grade(values["grade"], block, problems)
    points = tuple(
        (float(values[f"viscosity at {t} C"] or 0), float(t)) for t in (40, 100) if values[f"viscosity at {t} C"]
    )
    if grade is None and not points:
        grade = 46
    given = {FIELDS[k]: float(values[k] or 0) for k in FIELDS if values[k] is not None}
    temperature = values["temperature"]
    if len(problems.found) > before:
        return Oil(46), TEMPERATURE, []
    try:
        oil = Oil(grade=grade, viscosities=points, **given)
        oil.at(float(temperature or 0))
    except QuantityError as err:
        problems.add(block.where, f"oil: {err.what}", err.hint)
        return Oil(46), TEMPERATURE, []
    return oil, float(temperature or 0), oil_notes(oil, block)


def _grade(text: float | str | None, block: Block, problems: Problems) -> int | None:
    if text is None:
        return None
    digits = str(text).upper().replace("ISO", "").replace("VG", "").strip()
    if not re.fullmatch("[0-9]{1,5}", digits):
        problems.add(block.place("grade"), f"oil: grade '{text}' is not an ISO VG grade", "write 'ISO VG 46'")
        return None
    return int(digits)


def oil_notes(oil: Oil, block: Block | None = None) -> list[str]:
    """What was defaulted in the oil, in words."""
    words = {
        "viscosity_index": lambda v: f"viscosity index {v:g}",
        "density15": lambda v: f"density {v:g} kg/m3 at 15 C",
        "modulus": lambda v: f"bulk modulus {quantity.show(v, 'pressure')} without air",
        "air": lambda v: f"entrained air {100 * v:g} %",
        "n": lambda v: f"its air as p V^{v:g}",
        "p_ambient": lambda v: f"ambient pressure {v / 1e5:.3f} bar absolute",
    }
    named = [words[f](float(getattr(oil, f))) for f in oil.defaults if f in words]
    notes = ["oil defaults (common practice): " + ", ".join(named)] if named else []
    if block is not None and not any(
        k in block.items for k in ("grade", "viscosity at 40 C", "viscosity at 100 C")
    ):
        notes.insert(0, "oil not given: taken as ISO VG 46")
    return notes
