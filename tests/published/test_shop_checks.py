"""Published values of setting and proving: unit pairs, accuracy classes, cleanliness codes, gauges."""

from __future__ import annotations

import pytest

from oilway.laws.cleanliness import particles_per_ml
from oilway.model.tree import Problems, read_text
from oilway.quantity import convert, parse
from oilway.study.instruments import Instrument, difference, read_accuracy, read_instrument
from oilway.study.readings import parse_limit


def gauge(text: str) -> Instrument:
    """An instrument as a readings file gives it."""
    problems = Problems()
    found = read_instrument("P", "pressure", read_text(text), problems)
    problems.stop_if_any()
    assert found is not None
    return found


def test_ck44_setting_and_tolerance_in_both_units() -> None:
    """US Army TM 5-3810-307-24-1-1, relief valves (page seen): 1500 psi and 100 psi are 10,342 and 689.5 kPa."""
    limit = parse_limit("full-flow pressure", "1500 psi +- 100 psi", "pressure")
    assert limit.low is not None
    assert limit.high is not None
    middle, half = (limit.low + limit.high) / 2, (limit.high - limit.low) / 2
    assert convert(middle, "pressure", "kPa") == pytest.approx(10342, rel=5e-4)
    assert convert(half, "pressure", "kPa") == pytest.approx(689.5, rel=5e-4)


@pytest.mark.parametrize(("letter", "per_cent", "kelvin"), [("A", 0.5, 0.5), ("B", 1.5, 1.0), ("C", 2.5, 2.0)])
def test_ck55_measurement_classes(letter: str, per_cent: float, kelvin: float) -> None:
    """From memory: class table of ISO 6403, 4411, 9110; pressure above 2 bar gauge and flow, and temperature."""
    words = f"measurement class {letter}"
    for kind in ("pressure", "flow"):
        accuracy = read_accuracy(words, kind)
        assert (accuracy.form, *accuracy.sizes) == ("reading", pytest.approx(per_cent / 100))
    accuracy = read_accuracy(words, "temperature")
    assert (accuracy.form, *accuracy.sizes) == ("fixed", kelvin)
    assert difference(f"{kelvin} K", "temperature") == pytest.approx(kelvin)


@pytest.mark.parametrize(
    ("number", "expected"), [(18, (1300.0, 2500.0)), (16, (320.0, 640.0)), (13, (40.0, 80.0))]
)
def test_ck57_cleanliness_code(number: int, expected: tuple[float, float]) -> None:
    """From memory: ISO 4406; 18/16/13 in particles per mL above 4, 6 and 14 micrometres."""
    assert particles_per_ml(number) == expected


def test_ck58_gauge_error_limits() -> None:
    """From memory: EN 837-1 class 1.6 on 0 to 250 bar; ASME B40.100 grade A, middle half and ends."""
    bar = parse("1 bar", "pressure")
    coarse = gauge("range: 0 to 250 bar\nclass: 1.6 % of span")
    assert [coarse.limit(p * bar) / bar for p in (10, 125, 250)] == pytest.approx([4.0] * 3)
    graded = gauge("range: 0 to 250 bar\nclass: grade A")
    assert [graded.limit(p * bar) / bar for p in (125, 240)] == pytest.approx([2.5, 5.0])
