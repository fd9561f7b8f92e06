"""Instruments as typed, and the limit of error at a reading."""

from __future__ import annotations

import pytest
from tests.shop import PSI

from oilway.errors import QuantityError
from oilway.model.tree import Problems, read_text
from oilway.study.instruments import Instrument, read_accuracy, read_instrument, read_span


def made(text: str, kind: str = "pressure") -> tuple[Instrument | None, Problems]:
    problems = Problems()
    return read_instrument("P", kind, read_text(text), problems), problems


def test_a_class_that_does_not_say_of_what_is_questioned() -> None:
    with pytest.raises(QuantityError, match="of span or of reading"):
        read_accuracy("1.6 %", "pressure")
    with pytest.raises(QuantityError, match="grades known"):
        read_accuracy("grade Z", "pressure")


def test_a_class_of_the_reading_follows_the_reading() -> None:
    found, _ = made("range: 0 to 5000 psi\nclass: 0.5 % of reading")
    assert found is not None
    assert found.limit(1000 * PSI) == pytest.approx(5 * PSI)
    assert found.limit(4000 * PSI) == pytest.approx(20 * PSI)


def test_a_thermometer_s_step_has_no_zero_of_the_scale_in_it() -> None:
    found, _ = made("range: 0 C to 150 C\nclass: +-9 F", "temperature")
    assert found is not None
    assert found.limit(50.0) == pytest.approx(5.0)


def test_the_zero_drops_out_of_a_difference_and_the_step_read_stays() -> None:
    found, _ = made("range: 0 to 5000 psi\nclass: 1.6 % of span\nreads to: 20 psi")
    assert found is not None
    limits = [limit / PSI for limit in found.limits_of_difference(2600 * PSI, 2500 * PSI)]
    # twice 1.6 % of 100 psi, and half of 20 psi at each end
    assert limits == pytest.approx([3.2, 10.0, 10.0])


def test_what_is_not_entered_is_taken_from_the_class_and_remembered() -> None:
    found, _ = made("range: 0 to 1000 psi\nclass: 1 % of span")
    assert found is not None
    assert (found.reads_to / PSI, found.hysteresis / PSI) == pytest.approx((5.0, 10.0))
    assert found.assumed == ("reads to", "hysteresis")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("class: 1 % of span", "missing key 'range'"),
        ("range: 0 to 25 gpm\nclass: 1 % of span", "is a flow"),
        ("range: 5000 to 0 psi\nclass: 1 % of span", "from low to high"),
        ("range: 5000 psi\nclass: 1 % of span", "is no range"),
        ("range: 0 to 100 psi\nclass: 1 % of span\nklass: 2", "unknown key 'klass'"),
    ],
)
def test_a_mistake_is_named(text: str, said: str) -> None:
    found, problems = made(text)
    assert found is None
    assert any(said in str(problem) for problem in problems.found)


def test_a_range_may_name_its_unit_once() -> None:
    assert read_span("0 to 250 bar", "pressure") == pytest.approx((0.0, 250e5))
    assert read_span("10 C to 50 C", "temperature") == pytest.approx((10.0, 50.0))
