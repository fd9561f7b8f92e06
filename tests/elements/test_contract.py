"""What every element keeps to, found by scanning the catalogue: a new element is held to it by being listed."""

from __future__ import annotations

import importlib
import math
import re
from pathlib import Path

import pytest

from oilway import quantity
from oilway.elements.base import Element
from oilway.elements.record import REQUIRED, Record
from oilway.model.catalogue import ELEMENTS, REFERS, kinds
from oilway.model.mount import OWN_KEYS
from oilway.model.parts import COMMON, legal_range

FOLDER = Path(importlib.import_module("oilway.elements").__path__[0])
RECORDS = [(element, record) for element in ELEMENTS for record in element.records]
SPEAKS_OF = re.compile(r"[Ll]aws?:|[Bb]alance:|[Ff]orce =|pressure|flow|position|force", re.S)

each_element = pytest.mark.parametrize("element", ELEMENTS, ids=lambda e: e.kind)
each_record = pytest.mark.parametrize(
    ("element", "record"), RECORDS, ids=[f"{e.kind}.{r.name}" for e, r in RECORDS]
)


def subclasses(base: type[Element]) -> set[type[Element]]:
    return {s for child in base.__subclasses__() for s in (child, *subclasses(child))}


def test_every_element_of_the_package_is_in_the_catalogue_once() -> None:
    for path in FOLDER.glob("*.py"):
        importlib.import_module(f"oilway.elements.{path.stem}")
    inside = {s for s in subclasses(Element) if s.__module__.startswith("oilway.elements.")}
    assert inside == set(ELEMENTS)
    assert len(kinds()) == len(ELEMENTS)


@each_element
def test_its_docstring_says_what_it_is_and_by_which_law(element: type[Element]) -> None:
    text = element.__doc__ or ""
    assert len(text.splitlines()[0]) > 20
    assert SPEAKS_OF.search(text)
    # A law named in the docstring is one that exists.
    for module, name in re.findall(r":func:`oilway\.laws\.(\w+)\.(\w+)`", text):
        assert callable(getattr(importlib.import_module(f"oilway.laws.{module}"), name))


@each_element
def test_it_has_a_name_and_every_port_and_record_a_meaning(element: type[Element]) -> None:
    assert element.kind
    assert element.kind != "valve"  # the word for a mounted valve file
    for item in (*element.ports, *element.records):
        assert item.name
        assert len(item.meaning) > 4, item.name


@each_element
def test_its_keys_clash_neither_with_one_another_nor_with_the_common_ones(element: type[Element]) -> None:
    keys = [*(p.name for p in element.ports), *(r.name for r in element.records), *COMMON]
    assert len(keys) == len(set(keys))
    # A full stop parts the name of a part from its key, and these words belong to mounted valves.
    assert not [k for k in keys if "." in k]
    assert not {k for k in keys if k in OWN_KEYS} - set(COMMON)


@each_record
def test_a_default_lies_in_the_legal_range(element: type[Element], record: Record) -> None:
    assert record.low < record.high
    if record.kind == "choice":
        assert len(record.choices) > 1
        assert record.default == REQUIRED or record.default in record.choices
    elif record.is_quantity and record.default not in (REQUIRED, None):
        assert isinstance(record.default, float)
        assert math.isfinite(record.default)
        assert record.low <= record.default <= record.high


@each_record
def test_its_kind_is_known_and_its_range_can_be_said(element: type[Element], record: Record) -> None:
    assert record.kind in (*quantity.KINDS, "choice", "reference", "text")
    assert record.source
    if record.is_quantity and (math.isfinite(record.low) or math.isfinite(record.high)):
        assert re.search(r"\d", legal_range(record))


@each_record
def test_a_reference_says_what_it_may_name(element: type[Element], record: Record) -> None:
    if record.kind != "reference":
        assert not record.refers_to
        return
    assert record.refers_to in REFERS
    assert set(REFERS[record.refers_to]) <= set(kinds())


@each_element
def test_its_axes_and_exclusive_records_exist(element: type[Element]) -> None:
    by_name = {record.name: record for record in element.records}
    for word, name in element.axes.items():
        assert word
        assert by_name[name].is_quantity
    for name in element.exclusive:
        assert by_name[name].is_quantity
        assert by_name[name].default == 0.0  # leaving one out must mean that it is not there


def test_a_word_of_the_operating_point_has_one_kind() -> None:
    said: dict[str, set[str]] = {}
    for element in ELEMENTS:
        for word, name in element.axes.items():
            said.setdefault(word, set()).add(next(r.kind for r in element.records if r.name == name))
    assert {word: found for word, found in said.items() if len(found) > 1} == {}


@each_element
def test_oil_passes_between_ports_it_has(element: type[Element]) -> None:
    names = {port.name for port in element.ports}
    assert all({a, b} <= names for a, b in element.links())
