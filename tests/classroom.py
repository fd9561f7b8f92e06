"""A small class for the tests of worksheets: a worksheet on the shipped direct relief, drawn for one student."""

from __future__ import annotations

from pathlib import Path

from oilway import quantity
from oilway.quantity import Units, parse
from oilway.study.roster import Student
from oilway.study.story import examples
from oilway.study.worksheet import Worksheet, read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant
from oilway.study.worksheet_solve import Item

PSI = parse("1 psi", "pressure")
CLASS = examples() / "class"
SHIPPED = sorted(path for path in CLASS.glob("*.yaml") if path.stem != "course")
HEAD = """format: 1
worksheet: a test
file: direct relief
vary:
  below: 1000 psi to 1500 psi, step 100 psi
  near: 1980 psi to 2080 psi, step 20 psi
change: {setting: "cracks 1900 psi, 2300 psi at 18 gpm"}
"""
INLET = """questions:
  - id: inlet
    ask: The load makes {below}. What does the inlet read?
    set: {load pressure: "{below}"}
    answer: pressure of inlet
  - id: lost
    ask: How much goes over the relief at {near}?
    set: {load pressure: "{near}"}
    answer: flow through seat
    tolerance: 10 %
  - id: left
    ask: How much is left?
    set: {load pressure: "{near}"}
    answer: flow through test pump less lost
"""


def worksheet(folder: Path, questions: str = INLET, head: str = HEAD) -> Worksheet:
    """A worksheet written into a folder and read."""
    path = folder / "sheet.yaml"
    path.write_text(head + questions, encoding="utf-8")
    return read_worksheet(path)


def variant(
    folder: Path, questions: str = INLET, student: str = "s1", units: Units = "shop", head: str = HEAD
) -> Variant:
    """The variant of one student."""
    return Drawer(worksheet(folder, questions, head), units).variant(Student(student))


def item_of(found: Variant, name: str) -> Item:
    """One item by its id."""
    return next(item for item in found.items if item.id == name)


def right(item: Item, units: Units = "shop") -> str:
    """The answer that the key wants, as a student writes it."""
    if isinstance(item.key, float):
        return quantity.show(item.key, item.quantity, units)
    if isinstance(item.key, tuple):
        return " ".join(str(item.key.index(step) + 1) for step in item.choices)
    return item.key


def all_right(found: Variant) -> dict[str, str]:
    """Every answer right."""
    return {item.id: right(item, found.units) for item in found.items if item.kind != "rubric"}


def all_marks(found: Variant) -> dict[str, float]:
    """Full marks for all reasoning."""
    return {item.id: item.marks for item in found.items if item.kind == "rubric"}
