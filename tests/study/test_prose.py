"""Amounts in prose follow the units of the sheet, and none of a shipped class file stands bare."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from tests.classroom import CLASS, HEAD, INLET, SHIPPED, variant, worksheet
from tests.prose import bare, bare_amounts

from oilway.errors import InputError, Place
from oilway.model.tree import Problems
from oilway.sheets.class_data import Illustrator, key_data, sheet_data
from oilway.sheets.course_data import instructor_data, lab_data
from oilway.study.course import read_course
from oilway.study.prose import check_words, plain, spoken
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer

SHOP = re.compile(r"\d ?(psi|gpm|in|in/s|hp|lbf|F|°F)\b")


@pytest.mark.parametrize(
    ("typed", "shop", "metric"),
    [
        ("{18 gpm}", "18 gpm", "68.14 L/min"),  # 18 x 3.785
        ("{2300 psi}", "2300 psi", "158.6 bar"),  # 2300 / 14.504
        ("{0.18 gpm}", "0.18 gpm", "0.6814 L/min"),
        ("{120 F}", "120 F", "48.9 °C"),
        ("{4 in}", "4 in", "101.6 mm"),
        ("{100 bar}", "1450 psi", "100 bar"),
        ("{1000 rpm}", "1000 rpm", "1000 rpm"),
        ("{5 %}", "5 %", "5 %"),
        ("{0 psi}", "0 psi", "0 bar"),
        ("{40 psi}", "40 psi", "2.8 bar"),
        ("at {below}, {2 turns}", "at {below}, 2 turns", "at {below}, 2 turns"),
    ],
)
def test_an_amount_in_braces_is_said_in_the_units_of_the_sheet(typed: str, shop: str, metric: str) -> None:
    assert spoken(typed, "shop") == shop
    assert spoken(typed, "metric") == metric


def test_as_typed_and_what_is_no_amount() -> None:
    assert plain("{2300 psi} +- {50 psi}, {word}") == "2300 psi +- 50 psi, {word}"
    problems = Problems()
    check_words("{18 gpm} {below} {blow} {18 gpn}", ["below"], Place("f", 3), "q", problems)
    assert [(p.where.line, "blow" in p.what or "18 gpn" in p.what) for p in problems.found] == [(3, True)] * 2


@pytest.mark.parametrize("path", [*SHIPPED, CLASS / "course.yaml"], ids=lambda path: path.stem)
def test_no_amount_of_a_shipped_class_file_stands_bare(path: Path) -> None:
    """Put braces round what this names, and quotes round the text where it stands in {...}."""
    assert bare_amounts(path) == []


def test_the_finder_finds() -> None:
    assert bare("set to 2300 psi at {18 gpm}, {a}; 1/2 in, 12gpm") == ["2300 psi", "1/2 in", "12gpm"]
    assert bare("1200 rpm, 3 times, 50 %, 2 steps in all") == []


def texts(data: Any) -> list[str]:
    """Every text of nested data."""
    if isinstance(data, dict):
        return [t for value in data.values() for t in texts(value)]
    return [t for value in data for t in texts(value)] if isinstance(data, list) else [str(data)]


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_metric_sheet_and_its_key_speak_no_psi(path: Path) -> None:
    found = Drawer(read_worksheet(path), "metric").variant(Student("s"))
    sheet, key = sheet_data(found, Illustrator()), key_data(found, Illustrator())
    said = [t for t in texts(sheet) + texts(key) if not t.startswith("<svg") and "<svg" not in t[:200]]
    assert [t for t in said if SHOP.search(t)] == []


def test_the_course_is_printed_in_metric_too() -> None:
    course = read_course(CLASS / "course.yaml")
    for plan in course.plans:
        said = texts(instructor_data(course, plan, "metric", []))
        said += texts(lab_data(plan, plan.lab, "metric", instructor=True)) if plan.lab else []
        assert [t for t in said if SHOP.search(t)] == []


def test_steps_rubrics_cautions_and_their_marks_follow(tmp_path: Path) -> None:
    questions = """questions:
  - id: steps
    kind: order
    ask: In order, at {18 gpm}.
    caution: Never above {3000 psi}.
    steps: ["warm up", "set {2300 psi}", "lock"]
  - id: why
    kind: why
    ask: Why?
    answer: state of poppet
    rubric: {"says {2300 psi}, and {below}": 1}
"""
    found = variant(tmp_path, questions, units="metric")
    order, _, rubric = found.items
    assert "set 158.6 bar" in order.choices
    assert sorted(order.choices) == sorted(order.key)
    assert rubric.prompt == f"says 158.6 bar, and {found.drawn['below']}"
    asked = sheet_data(found, Illustrator())["questions"][0]
    assert (asked["ask"], asked["caution"]) == ("In order, at 68.14 L/min.", "Never above 206.8 bar.")


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("ask: The load makes {below}.", "ask: The load makes {belo}.", 9),
        ("ask: The load makes", "caution: at {below}\n    ask: The load makes", 9),
        ("tolerance: 10 %", "tolerance: 10 %\n    tell: at {18 gpn}", 13),
    ],
)
def test_a_word_in_braces_that_says_nothing_is_told_with_its_line(
    tmp_path: Path, old: str, new: str, line: int
) -> None:
    assert old in INLET
    with pytest.raises(InputError, match=rf"sheet\.yaml:{line}: .*there is no drawn number, nor amount"):
        worksheet(tmp_path, INLET.replace(old, new), HEAD)


def test_a_number_that_is_computed_with_takes_no_amount_in_braces(tmp_path: Path) -> None:
    """There it would be rounded."""
    with pytest.raises(InputError, match="there is no drawn number or earlier question '1200 psi'"):
        worksheet(tmp_path, INLET.replace('load pressure: "{below}"', 'load pressure: "{1200 psi}"'), HEAD)
