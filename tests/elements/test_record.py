"""Records: declared as a technician types, kept in SI."""

from __future__ import annotations

import math

import pytest

from oilway.elements.record import REQUIRED, amount, choice, reference


def test_an_amount_keeps_default_and_range_in_si() -> None:
    record = amount("lift", "length", "how far", "1 in", "1 mm", "2 in")
    assert (record.default, record.low, record.high) == (0.0254, pytest.approx(1e-3), 0.0508)
    assert record.is_quantity


def test_without_a_range_anything_is_legal() -> None:
    record = amount("force", "force", "a push")
    assert (record.low, record.high, record.default) == (-math.inf, math.inf, REQUIRED)


def test_an_amount_may_be_left_out() -> None:
    assert amount("rated pressure", "pressure", "enter it", None).default is None


def test_an_offset_unit_is_turned_over_with_its_offset() -> None:
    assert amount("temperature", "temperature", "of the oil", "32 F").default == pytest.approx(0.0)


def test_words_and_names_are_no_quantities() -> None:
    assert not choice("drain", "where to", ("internal", "external")).is_quantity
    assert not reference("on", "part", "moving part").is_quantity


def test_a_source_is_named_even_when_it_is_common_practice() -> None:
    assert amount("a", "length", "b").source == "common practice"
