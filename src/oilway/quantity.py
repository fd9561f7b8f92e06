"""Quantities at the edge: "3000 psi" to 20684271.9 (Pa) and back; inside, numbers are bare SI floats.

``parse`` reads a text of a wanted kind; ``show`` writes a value as it is said in the shop (psi, gpm, in) or
in metric units; ``number`` and ``unit`` are the two halves of that; ``convert`` gives any accepted unit. What
is refused is refused with a ``QuantityError`` that says what to write instead.

Pressures are gauge. Temperatures are kept in degrees Celsius: the one kind whose inner unit is no SI base
unit.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from oilway.errors import QuantityError, did_you_mean

Units = Literal["shop", "metric"]

INCH = 0.0254  # m
FOOT = 0.3048  # m
POUND = 0.45359237  # kg
LBF = 4.4482216152605  # N
PSI = LBF / INCH**2  # Pa
INCH_OF_MERCURY = 3386.389  # Pa, at 0 degC
GALLON = 231 * INCH**3  # m3, US
LITRE = 1e-3  # m3
MINUTE = 60.0  # s
HOUR = 3600.0  # s
HP = 550 * FOOT * LBF  # W
BTU = 1055.05585262  # J, international table
DEGREE = math.pi / 180  # rad
FAHRENHEIT, FAHRENHEIT_ZERO = 5 / 9, -160 / 9  # K per degF, and 0 degF in degC


@dataclass(frozen=True)
class Kind:
    """A kind of quantity: how it is called, kept, read and shown.

    ``units`` maps every accepted unit to the factor that makes it the inner unit ``si``; ``offsets`` is added
    after that. ``decimals`` are the digits after the point in the display units ``shop`` and ``metric``;
    small values may take up to ``finer`` more. A kind that has the unit "" may be written without one.
    """

    name: str
    noun: str
    si: str
    shop: str
    metric: str
    decimals: tuple[int, int]
    example: str
    units: Mapping[str, float]
    offsets: Mapping[str, float] = field(default_factory=dict)
    finer: int = 0

    @property
    def wanted(self) -> str:
        """The words of a refusal: "a pressure is wanted, for example '2000 psi'"."""
        return f"{article(self.noun)} is wanted, for example '{self.example}'"

    def display(self, units: Units) -> tuple[str, int]:
        """Unit shown in shop or in metric surroundings, and its digits after the point."""
        return {"shop": (self.shop, self.decimals[0]), "metric": (self.metric, self.decimals[1])}[units]


def article(noun: str) -> str:
    """The noun with "a" or "an" before it.

    >>> article("flow"), article("area")
    ('a flow', 'an area')
    """
    return f"{'an' if noun[0] in 'aeio' else 'a'} {noun}"


# A unit of the wrong kind is named after the first kind that has it ("'25 gpm' is a flow"): so mass stands
# before force, and pressure before modulus.
# fmt: off
_ALL = (
    Kind("pressure", "pressure", "Pa", "psi", "bar", (0, 1), "2000 psi", {
        "psi": PSI, "bar": 1e5, "kPa": 1e3, "MPa": 1e6, "Pa": 1.0, "mbar": 1e2, "psig": PSI, "barg": 1e5,
        "psi gauge": PSI, "bar gauge": 1e5, "inHg": INCH_OF_MERCURY}),
    Kind("absolute_pressure", "absolute pressure", "Pa", "psi", "bar", (1, 3), "14.7 psi", {
        "psi": PSI, "bar": 1e5, "kPa": 1e3, "MPa": 1e6, "Pa": 1.0, "mbar": 1e2, "psia": PSI, "psi abs": PSI,
        "psi a": PSI, "bara": 1e5, "bar abs": 1e5, "bar a": 1e5, "kPa abs": 1e3, "inHg": INCH_OF_MERCURY}),
    Kind("flow", "flow", "m3/s", "gpm", "L/min", (2, 2), "25 gpm", {
        "gpm": GALLON / MINUTE, "L/min": LITRE / MINUTE, "cc/min": 1e-6 / MINUTE, "cm3/min": 1e-6 / MINUTE,
        "mL/min": 1e-6 / MINUTE, "lpm": LITRE / MINUTE, "gal/min": GALLON / MINUTE, "m3/s": 1.0,
        "in3/min": INCH**3 / MINUTE, "in3/s": INCH**3, "cm3/s": 1e-6, "L/s": LITRE,
        "m3/h": 1 / HOUR}, finer=2),
    Kind("length", "length", "m", "in", "mm", (3, 3), "1/2 in", {
        "mm": 1e-3, "in": INCH, "cm": 1e-2, "m": 1.0, "ft": FOOT, "um": 1e-6, "inch": INCH, "inches": INCH,
        '"': INCH}, finer=2),
    Kind("area", "area", "m2", "in2", "mm2", (4, 2), "0.75 in2", {
        "in2": INCH**2, "mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "sq in": INCH**2}, finer=2),
    Kind("volume", "volume", "m3", "in3", "cm3", (3, 2), "12 in3", {
        "in3": INCH**3, "cm3": 1e-6, "cc": 1e-6, "mL": 1e-6, "mm3": 1e-9, "L": LITRE, "gal": GALLON,
        "m3": 1.0, "cu in": INCH**3}, finer=2),
    Kind("mass", "mass", "kg", "lb", "kg", (2, 3), "500 lb", {"lb": POUND, "kg": 1.0, "g": 1e-3, "t": 1e3}),
    Kind("force", "force", "N", "lbf", "N", (1, 1), "80 lbf", {"lbf": LBF, "N": 1.0, "kN": 1e3, "lb": LBF}),
    Kind("rate", "spring rate", "N/m", "lbf/in", "N/mm", (1, 2), "250 lbf/in", {
        "lbf/in": LBF / INCH, "lb/in": LBF / INCH, "N/mm": 1e3, "N/m": 1.0}, finer=2),
    Kind("temperature", "temperature", "degC", "°F", "°C", (0, 1), "120 F", {
        "°F": FAHRENHEIT, "°C": 1.0, "F": FAHRENHEIT, "C": 1.0, "degF": FAHRENHEIT, "degC": 1.0,
        "deg F": FAHRENHEIT, "deg C": 1.0, "K": 1.0},
        offsets={"K": -273.15} | dict.fromkeys(("°F", "F", "degF", "deg F"), FAHRENHEIT_ZERO)),
    Kind("angle", "angle", "rad", "deg", "deg", (1, 1), "45 deg", {
        "deg": DEGREE, "rad": 1.0, "degree": DEGREE, "degrees": DEGREE, "°": DEGREE}),
    Kind("rotation", "speed of rotation", "rev/s", "rpm", "rpm", (0, 0), "1800 rpm", {
        "rpm": 1 / MINUTE, "rev/min": 1 / MINUTE, "rev/s": 1.0}),
    Kind("velocity", "speed", "m/s", "in/s", "mm/s", (3, 2), "5 in/s", {
        "in/s": INCH, "in/min": INCH / MINUTE, "mm/s": 1e-3, "mm/min": 1e-3 / MINUTE, "ft/min": FOOT / MINUTE,
        "ft/s": FOOT, "m/s": 1.0}, finer=2),
    Kind("viscosity", "kinematic viscosity", "m2/s", "cSt", "mm2/s", (2, 2), "46 cSt", {
        "cSt": 1e-6, "mm2/s": 1e-6, "m2/s": 1.0}),
    Kind("density", "density", "kg/m3", "kg/m3", "kg/m3", (1, 1), "870 kg/m3", {
        "kg/m3": 1.0, "g/cm3": 1e3, "kg/L": 1e3, "lb/ft3": POUND / FOOT**3, "lb/gal": POUND / GALLON}),
    Kind("displacement", "displacement", "m3/rev", "in3/rev", "cm3/rev", (3, 2), "2.5 in3/rev", {
        "in3/rev": INCH**3, "cm3/rev": 1e-6, "cc/rev": 1e-6, "mL/rev": 1e-6, "m3/rev": 1.0}),
    Kind("power", "power", "W", "hp", "kW", (2, 2), "15 hp", {
        "hp": HP, "kW": 1e3, "W": 1.0, "BTU/h": BTU / HOUR}, finer=2),
    Kind("energy", "energy", "J", "BTU", "kJ", (2, 2), "50 kJ", {"BTU": BTU, "kJ": 1e3, "J": 1.0}, finer=2),
    Kind("torque", "torque", "N m", "lb-ft", "N m", (1, 1), "60 lb-ft", {
        "lb-ft": LBF * FOOT, "N m": 1.0, "Nm": 1.0, "lbf-ft": LBF * FOOT, "ft-lb": LBF * FOOT,
        "ft-lbf": LBF * FOOT, "lb-in": LBF * INCH, "lbf-in": LBF * INCH, "in-lb": LBF * INCH}),
    Kind("inertia", "moment of inertia", "kg m2", "lb-ft2", "kg m2", (2, 3), "0.5 kg m2", {
        "lb-ft2": POUND * FOOT**2, "kg m2": 1.0, "kg cm2": 1e-4, "lb-in2": POUND * INCH**2}, finer=3),
    Kind("ratio", "ratio", "", "%", "%", (1, 1), "92 %", {"%": 0.01, "": 1.0}, finer=2),
    Kind("damping", "damping coefficient", "N s/m", "lbf s/in", "N s/m", (3, 2), "20 N s/m", {
        "lbf s/in": LBF / INCH, "lb s/in": LBF / INCH, "N s/m": 1.0, "N s/mm": 1e3}, finer=2),
    Kind("turns", "number of turns", "turns", "turns", "turns", (2, 2), "2.5 turns", {
        "turns": 1.0, "turn": 1.0, "": 1.0}),
    Kind("pitch", "pitch", "m/turn", "in/turn", "mm/turn", (4, 3), "1 mm/turn", {
        "in/turn": INCH, "mm/turn": 1e-3, "m/turn": 1.0}),
    Kind("time", "time", "s", "s", "s", (3, 3), "0.5 s", {
        "s": 1.0, "ms": 1e-3, "min": MINUTE, "h": HOUR}, finer=3),
    Kind("frequency", "frequency", "Hz", "Hz", "Hz", (1, 1), "150 Hz", {"Hz": 1.0, "kHz": 1e3}),
    Kind("modulus", "modulus", "Pa", "psi", "MPa", (0, 0), "1.5 GPa", {
        "psi": PSI, "MPa": 1e6, "GPa": 1e9, "bar": 1e5, "Pa": 1.0}),
    Kind("gradient", "pressure per flow", "Pa s/m3", "psi/gpm", "bar/(L/min)", (1, 3), "20 psi/gpm", {
        "psi/gpm": PSI * MINUTE / GALLON, "bar/(L/min)": 1e5 * MINUTE / LITRE, "Pa s/m3": 1.0}),
    Kind("heat_transfer", "heat transfer coefficient", "W/(m2 K)", "BTU/h/ft2/F", "W/m2K", (1, 1), "12 W/m2K", {
        "BTU/h/ft2/F": BTU / HOUR / FOOT**2 / FAHRENHEIT, "W/m2K": 1.0, "W/m2 K": 1.0, "W/(m2 K)": 1.0}),
    Kind("heat_conductance", "heat per degree", "W/K", "BTU/h/F", "W/K", (0, 1), "180 W/K", {
        "BTU/h/F": BTU / HOUR / FAHRENHEIT, "W/K": 1.0, "W/C": 1.0, "W/°C": 1.0, "kW/K": 1e3, "kW/C": 1e3,
        "kW/°C": 1e3, "BTU/h/°F": BTU / HOUR / FAHRENHEIT, "BTU/min/F": BTU / MINUTE / FAHRENHEIT,
        "hp/F": HP / FAHRENHEIT}),
    Kind("number", "plain number", "", "", "", (3, 3), "4", {"": 1.0}, finer=3),
)
# fmt: on

KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _ALL}

_LETTERS = str.maketrans({"²": "2", "³": "3", "µ": "u", "μ": "u", "^": ""})
_PRODUCT = re.compile(r"(?<=[A-Za-z])\s*[-*·⋅ ]\s*(?=[A-Za-z])")


def _plain(unit_text: str) -> str:
    """A unit in the one spelling that is compared: "N·m" as "N m", "lb-ft" as "lb ft", "in³" as "in3"."""
    text = re.sub(r"\s*/\s*", "/", unit_text.strip().translate(_LETTERS))
    return _PRODUCT.sub(" ", text)


_SPELLINGS = {name: {_plain(text): text for text in kind.units} for name, kind in KINDS.items()}

_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\s*
        (?: (?P<whole>[0-9]+)[ -]\s*(?P<mixed>[0-9]+/[0-9]+)       # 1 1/2, 1-1/2
          | (?P<fraction>[0-9]+/[0-9]+)                            # 1/2
          | (?P<grouped>[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]*)?)  # 1,500
          | (?P<decimal>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)
        )(?![0-9.,/])\s*""",
    re.VERBOSE,
)


def _kind(name: str) -> Kind:
    if name not in KINDS:
        raise QuantityError(f"'{name}' is no kind of quantity", did_you_mean(name, KINDS))
    return KINDS[name]


def _find_unit(unit_text: str, kind: Kind) -> str | None:
    """The accepted unit meant by ``unit_text``: the same, or in other capitals unless that turns m into M."""
    text, spellings = _plain(unit_text), _SPELLINGS[kind.name]
    if text in spellings:
        return spellings[text]
    for plain, accepted in spellings.items():
        if plain.lower() == text.lower() and (text[0] not in "mM" or text[0] == plain[0]):
            return accepted
    return None


def _written(text: str | float) -> str:
    """The text, with typographic minus and space as plain ones; a number in full."""
    if isinstance(text, str):
        return text.translate({0x2212: "-", 0xA0: " "}).strip()
    try:
        return f"{text:.17g}"
    except OverflowError:  # an int beyond all floats
        return "inf"


def _split(text: str, kind: Kind) -> tuple[float, str]:
    """Number and unit of a text."""
    match = _NUMBER.match(text)
    rest = text[match.end() :] if match else ""
    if not match or (rest and not rest[0].isalpha() and rest[0] not in '%"°'):
        if re.search(r"[0-9],[0-9]", text):
            hint = "a decimal is written with a point (1.5), thousands plain or with commas (1,500)"
            raise QuantityError(f"'{text}' can be read in two ways; {kind.wanted}", hint)
        raise QuantityError(f"'{text}' is not one number with its unit; {kind.wanted}")
    plain = match["decimal"] or match["grouped"]
    try:
        if plain:
            size = float(plain.replace(",", ""))
        else:
            size = float(int(match["whole"] or 0) + Fraction(match["mixed"] or match["fraction"]))
    except (ZeroDivisionError, OverflowError, ValueError):  # 1/0; a fraction too large for float, or for int
        size = math.inf
    return (-size if match["sign"] == "-" else size), rest


def _refused_unit(text: str, unit_text: str, kind: Kind) -> QuantityError:
    """The refusal that fits a missing, a foreign or an unknown unit."""
    if not unit_text:
        return QuantityError(f"'{text}' has no unit; {kind.wanted}")
    for other in _ALL:
        if _find_unit(unit_text, other) is not None:
            absolute = other.name == "absolute_pressure" and kind.name == "pressure"
            hint = "pressures are gauge: take off the air's, about 14.7 psi or 1.013 bar" if absolute else ""
            return QuantityError(f"'{text}' is {article(other.noun)}; {kind.wanted}", hint)
    known = [accepted for accepted in kind.units if accepted]
    hint = did_you_mean(unit_text, known) or (f"units known: {', '.join(known)}" if known else "")
    return QuantityError(f"'{text}': unit '{unit_text}' is not known; {kind.wanted}", hint)


def parse(text: str | float, kind: str) -> float:
    """Value of ``text`` in the inner unit of ``kind``, a key of ``KINDS``; raises ``QuantityError``.

    A number is one of 1500, 1,500, 1.5e3, 1/2, 1 1/2. Capitals do not matter unless they change a prefix: PSI
    is psi, but mpa is not MPa. A number without a unit, as text or as ``float``, is taken by a kind that has
    "".

    >>> round(parse("3000 psi", "pressure"), 1)
    20684271.9
    >>> round(parse("1 1/2 in", "length"), 6), round(parse("212 °F", "temperature"), 6), parse("2.5", "turns")
    (0.0381, 100.0, 2.5)
    >>> parse("25 gpm", "pressure")
    Traceback (most recent call last):
        ...
    oilway.errors.QuantityError: input: '25 gpm' is a flow; a pressure is wanted, for example '2000 psi'
    """
    wanted = _kind(kind)
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise QuantityError(f"{text!r} is not a quantity; {wanted.wanted}")
    written = _written(text)
    size, unit_text = _split(written, wanted)
    accepted = _find_unit(unit_text, wanted)
    if accepted is None:
        raise _refused_unit(written, unit_text, wanted)
    value = size * wanted.units[accepted] + wanted.offsets.get(accepted, 0.0)
    if not math.isfinite(value):
        raise QuantityError(f"'{written}' is no finite number; {wanted.wanted}")
    return value


def convert(value: float, kind: str, unit_text: str) -> float:
    """``value`` (inner unit of ``kind``) in any unit accepted for it; ``QuantityError`` for another.

    One horsepower in BTU/h, by definition 2544.43:

    >>> round(convert(parse("1 hp", "power"), "power", "BTU/h"), 2)
    2544.43
    """
    wanted = _kind(kind)
    accepted = _find_unit(unit_text, wanted)
    if accepted is None:
        raise _refused_unit(f"1 {unit_text}".rstrip(), unit_text, wanted)
    return (value - wanted.offsets.get(accepted, 0.0)) / wanted.units[accepted]


def number(value: float, kind: str, units: Units = "shop") -> float:
    """``value`` (inner unit) in its display unit, not rounded.

    >>> number(0.0254, "length"), number(0.0254, "length", "metric")
    (1.0, 25.4)
    """
    return convert(value, kind, unit(kind, units))


def unit(kind: str, units: Units = "shop") -> str:
    """Display unit, empty for plain numbers.

    >>> unit("pressure"), unit("pressure", "metric"), unit("number")
    ('psi', 'bar', '')
    """
    return _kind(kind).display(units)[0]


def amount(value: float, kind: str, units: Units = "shop") -> dict[str, str | float]:
    """``value`` (inner unit) as plain data: its number beside its unit.

    >>> amount(0.0254, "length")
    {'unit': 'in', 'value': 1.0}
    """
    return {"unit": unit(kind, units), "value": number(value, kind, units)}


def show(value: float, kind: str, units: Units = "shop", digits: int | None = None) -> str:
    """``value`` (inner unit) as a technician writes it; ``digits`` after the point instead of the kind's own.

    Small lengths, flows and the like get more digits, down to a limit; a number without a unit ends with its last
    digit that is not 0.  ``ValueError`` for what is not finite.

    >>> show(20339534.0, "pressure"), show(20339534.0, "pressure", "metric"), show(-1e-9, "pressure")
    ('2950 psi', '203.4 bar', '0 psi')
    >>> show(5e-6, "length", "metric"), show(5e-3, "length", "metric")
    ('0.0050 mm', '5.000 mm')
    >>> show(1.0, "number"), show(0.25, "number")
    ('1', '0.25')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot be shown as {article(_kind(kind).noun)}")
    wanted, size = _kind(kind), number(value, kind, units)
    name, places = wanted.display(units)
    finest = 10.0 ** -(places + wanted.finer)
    if digits is not None:
        places = digits
    elif abs(size) >= finest:
        while abs(size) < 10.0 ** (1 - places) and 10.0**-places > finest:
            places += 1
    text = f"{size:.{places}f}"
    if not name and digits is None and "." in text:
        text = text.rstrip("0").removesuffix(".")
    return f"{text.removeprefix('-') if float(text) == 0 else text} {name}".rstrip()
