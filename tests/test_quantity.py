"""Quantities: factors against a published table, every way of writing, every refusal, and the way back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.errors import QuantityError
from oilway.quantity import KINDS, convert, number, parse, show, unit

EVERY_UNIT = [(kind.name, text) for kind in KINDS.values() for text in kind.units]
VALUES = st.floats(-1e6, 1e6)

# From memory: A. Thompson, B. N. Taylor, NIST Special Publication 811 (2008), appendix B, to seven figures.
FACTORS = [
    ("pressure", "psi", 6.894757e3),
    ("pressure", "inHg", 3.386389e3),
    ("length", "in", 2.54e-2),
    ("area", "in2", 6.4516e-4),
    ("volume", "in3", 1.638706e-5),
    ("volume", "gal", 3.785412e-3),
    ("flow", "gpm", 6.309020e-5),
    ("force", "lbf", 4.448222),
    ("mass", "lb", 4.535924e-1),
    ("rate", "lbf/in", 1.751268e2),
    ("density", "lb/ft3", 1.601846e1),
    ("density", "lb/gal", 1.198264e2),
    ("power", "hp", 7.456999e2),
    ("power", "BTU/h", 2.930711e-1),
    ("torque", "lb-ft", 1.355818),
    ("torque", "lb-in", 1.129848e-1),
    ("inertia", "lb-ft2", 4.214011e-2),
    ("angle", "deg", 1.745329e-2),
    ("velocity", "ft/min", 5.08e-3),
    ("viscosity", "cSt", 1e-6),
]


@pytest.mark.parametrize(("kind", "text", "factor"), FACTORS)
def test_factors_are_those_of_the_published_table(kind: str, text: str, factor: float) -> None:
    assert parse(f"1 {text}", kind) == pytest.approx(factor, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [("32 F", 0.0), ("212 °F", 100.0), ("-40 degF", -40.0), ("-40 C", -40.0), ("273.15 K", 0.0)],
)
def test_temperatures_have_their_zero(text: str, celsius: float) -> None:
    assert parse(text, "temperature") == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "same"),
    [
        ("25gpm", "flow", "25 gpm"),
        ("  25   gpm ", "flow", "25 gpm"),
        ("1,500 psi", "pressure", "1500 psi"),
        ("1,500,000.5 psi", "pressure", "1500000.5 psi"),
        ("1.5e3 psi", "pressure", "1500 psi"),
        (".5 in", "length", "0.5 in"),
        ("1/2 in", "length", "0.5 in"),
        ("1 1/2 in", "length", "1.5 in"),
        ("1-1/2 in", "length", "1.5 in"),
        ('1/2"', "length", "0.5 in"),
        ("-1/2 in", "length", "-0.5 in"),
        ("\N{MINUS SIGN}10 F", "temperature", "-10 F"),
        ("3000 PSI", "pressure", "3000 psi"),
        ("3000 psig", "pressure", "3000 psi"),
        ("20 MPA", "pressure", "20 MPa"),
        ("95 l/min", "flow", "95 L/min"),
        ("95 L / min", "flow", "95 L/min"),
        ("4 GPM", "flow", "4 gpm"),
        ("120 deg F", "temperature", "120 °F"),
        ("12 in^3", "volume", "12 in3"),
        ("12 cm\N{SUPERSCRIPT THREE}", "volume", "12 cm3"),
        ("5 \N{MICRO SIGN}m", "length", "5 um"),
        ("60 N\N{MIDDLE DOT}m", "torque", "60 N m"),
        ("60 Nm", "torque", "60 N m"),
        ("60 ft-lb", "torque", "60 lb-ft"),
        ("20 N*s/m", "damping", "20 N s/m"),
        ("2.5 turns", "turns", "2.5"),
        ("92%", "ratio", "0.92"),
    ],
)
def test_ways_of_writing(text: str, kind: str, same: str) -> None:
    assert parse(text, kind) == pytest.approx(parse(same, kind), rel=1e-14)


def test_bare_numbers_may_come_as_numbers() -> None:
    assert parse(4, "number") == 4.0
    assert parse(2.5, "turns") == 2.5
    assert parse(1e-7, "ratio") == 1e-7


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("25 gpm", "pressure", "'25 gpm' is a flow; a pressure is wanted, for example '2000 psi'"),
        ("3000 psi", "flow", "'3000 psi' is a pressure; a flow is wanted, for example '25 gpm'"),
        ("500 lb", "length", "'500 lb' is a mass; a length is wanted, for example '1/2 in'"),
        ("4 in", "number", "'4 in' is a length; a plain number is wanted, for example '4'"),
        ("3000", "pressure", "'3000' has no unit; a pressure is wanted, for example '2000 psi'"),
        ("25 gmp", "flow", "unit 'gmp' is not known; a flow .*did you mean 'gpm'"),
        ("3000 psu", "pressure", "unit 'psu' is not known; .*did you mean 'psi'"),
        ("3000 psi at 25 gpm", "pressure", "'psi at 25 gpm' is not known"),
        ("14.7 psia", "pressure", "is an absolute pressure; a pressure is wanted.*gauge.*14.7 psi"),
        ("1 bar abs", "pressure", "is an absolute pressure"),
        ("20 mpa", "pressure", "'mpa' is not known.*did you mean 'MPa'"),
        ("3 Mm", "length", "'Mm' is not known.*did you mean 'mm'"),
        ("3 MM", "length", "'MM' is not known"),
        ("1,5 bar", "pressure", r"two ways.*'2000 psi'.*point \(1.5\)"),
        ("0,500 in", "length", "two ways"),
        ("1.500,0 bar", "pressure", "two ways"),
        ("12,34,567 psi", "pressure", "two ways"),
        ("1 500 psi", "pressure", "not one number with its unit"),
        ("1.2.3 psi", "pressure", "not one number with its unit"),
        ("2500-3000 psi", "pressure", "not one number with its unit"),
        ("psi", "pressure", "not one number with its unit"),
        ("", "pressure", "not one number with its unit"),
        ("nan psi", "pressure", "not one number with its unit"),
        ("inf psi", "pressure", "not one number with its unit"),
        (math.nan, "number", "not one number"),
        (math.inf, "number", "not one number"),
        (10**400, "number", "not one number"),
        ("1e999 psi", "pressure", "no finite number"),
        ("1/0 in", "length", "no finite number"),
        (f"{'9' * 5000}/7 in", "length", "no finite number"),
        (True, "number", "True is not a quantity"),
        (None, "number", "None is not a quantity"),
    ],
)
def test_refusals_say_what_to_write(text: object, kind: str, words: str) -> None:
    with pytest.raises(QuantityError, match=words):
        parse(text, kind)


def test_ambient_pressure_is_absolute() -> None:
    assert parse("14.7 psia", "absolute_pressure") == parse("14.7 psi", "absolute_pressure")
    with pytest.raises(QuantityError, match="is a pressure; an absolute pressure is wanted"):
        parse("14.7 psig", "absolute_pressure")


def test_an_unknown_kind_is_a_mistake() -> None:
    with pytest.raises(QuantityError, match="did you mean 'pressure'"):
        parse("3000 psi", "presure")


@given(known=st.sampled_from(EVERY_UNIT), value=VALUES)
def test_every_unit_goes_there_and_back(known: tuple[str, str], value: float) -> None:
    kind, text = known
    inside = parse(f"{value!r} {text}", kind)
    # the zero of a temperature scale costs digits
    assert convert(inside, kind, text) == pytest.approx(value, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(("kind", "text"), EVERY_UNIT)
def test_every_unit_means_itself_and_not_a_like_spelling(kind: str, text: str) -> None:
    known = KINDS[kind]
    expected = 7.0 * known.units[text] + known.offsets.get(text, 0.0)
    assert parse(f"7 {text}", kind) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_kind_can_be_shown_and_its_example_read(kind) -> None:
    assert kind.shop in kind.units
    assert kind.metric in kind.units
    assert math.isfinite(parse(kind.example, kind.name))
    assert 1.0 in {kind.units[text] for text in kind.units if text not in kind.offsets}, (
        "the inner unit is missing"
    )


@given(kind=st.sampled_from(sorted(KINDS)), units=st.sampled_from(["shop", "metric"]), size=VALUES)
def test_what_is_shown_can_be_read_back(kind: str, units: str, size: float) -> None:
    value = parse(f"{size!r} {unit(kind, units)}", kind)
    text = show(value, kind, units)
    half_a_digit = 0.5 * 10.0 ** -KINDS[kind].display(units)[1]
    assert not text.startswith("-0 ")
    assert number(parse(text, kind), kind, units) == pytest.approx(size, abs=half_a_digit * (1 + 1e-6))


@given(
    text=st.text(alphabet="0123456789.,/-+eE psigpmbarINF%°\"'\u00bd\u0663", max_size=20),
    kind=st.sampled_from(sorted(KINDS)),
)
def test_any_text_is_a_finite_number_or_refused(text: str, kind: str) -> None:
    try:
        value = parse(text, kind)
    except QuantityError:
        return
    assert math.isfinite(value)


@pytest.mark.parametrize(
    ("value", "kind", "units", "expected"),
    [
        (2950 * 6894.757, "pressure", "shop", "2950 psi"),
        (203.44e5, "pressure", "metric", "203.4 bar"),
        (-1e-3, "pressure", "shop", "0 psi"),
        (-1e-3, "pressure", "metric", "0.0 bar"),
        (25 * 6.30902e-5, "flow", "shop", "25.00 gpm"),
        (12e-3, "length", "metric", "12.000 mm"),
        (0.0002 * 0.0254, "length", "shop", "0.00020 in"),
        (5e-6, "length", "metric", "0.0050 mm"),
        (1e-12, "length", "shop", "0.000 in"),
        (0.0, "length", "metric", "0.000 mm"),
        (48.9, "temperature", "shop", "120 °F"),
        (0.92, "ratio", "shop", "92.0 %"),
        (4.0, "number", "shop", "4"),
    ],
)
def test_numbers_are_rounded_for_a_technician(value: float, kind: str, units: str, expected: str) -> None:
    assert show(value, kind, units) == expected


def test_digits_can_be_asked_for() -> None:
    assert show(1e5, "pressure", digits=2) == "14.50 psi"
    assert show(1e-9, "length", digits=3) == "0.000 in"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_not_shown(value: float) -> None:
    with pytest.raises(ValueError, match="cannot be shown as a pressure"):
        show(value, "pressure")


def test_conversion_refuses_a_foreign_unit() -> None:
    with pytest.raises(QuantityError, match="is a flow; a pressure is wanted"):
        convert(1e5, "pressure", "gpm")
    with pytest.raises(QuantityError, match="has no unit"):
        convert(1e5, "pressure", "")
