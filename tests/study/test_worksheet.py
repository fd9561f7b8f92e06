"""Worksheet files: what is read, and that every mistake is told with its line."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import HEAD, INLET, SHIPPED, worksheet

from oilway.errors import InputError
from oilway.study.worksheet import KINDS, letter, read_worksheet


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_shipped_worksheet_reads(path: Path) -> None:
    sheet = read_worksheet(path)
    assert sheet.questions
    assert sheet.target.is_file()


def test_the_shipped_worksheets_show_every_kind() -> None:
    assert {q.kind for path in SHIPPED for q in read_worksheet(path).questions} == set(KINDS)


def test_defaults(tmp_path: Path) -> None:
    sheet = worksheet(tmp_path)
    assert (sheet.id, sheet.tolerance, sheet.half) == ("a test", 0.03, 0.10)
    assert [q.marks for q in sheet.questions] == [2, 2, 2]


@pytest.mark.parametrize(
    ("questions", "word", "line"),
    [
        ("questions: []\n", "no questions", 8),
        ("questions:\n  - {id: a, ask: b, kind: numbr}\n", "did you mean 'number'", 9),
        ("questions:\n  - {id: a, ask: b}\n", "needs 'answer'", 9),
        ("questions:\n  - {id: a, ask: b, answer: c, fill: [d]}\n", "unknown key 'fill'", 9),
        ("questions:\n  - {id: a, ask: '{belo}', answer: c}\n", "did you mean 'below'", 9),
        ("questions:\n  - {id: near, ask: b, answer: c}\n", "drawn number too", 9),
        ("questions:\n  - {id: a, ask: b, answer: c}\n  - {id: a, ask: b, answer: c}\n", "two questions 'a'", 10),
        ("questions:\n  - {id: a, ask: b, kind: choice}\n", "takes one of", 9),
        ("questions:\n  - {id: a, ask: b, kind: order, steps: [a, b]}\n", "list of 3 or more", 9),
        ("questions:\n  - {id: a, ask: b, kind: fault, show: [c], faults: {x: {}}}\n", "at least two faults", 9),
        (
            "questions:\n  - {id: a, ask: b, kind: fault, show: [c], faults: {x: d, y: e}, then: f}\n",
            "'again' sets what 'then' names", 9,
        ),
        (
            "questions:\n  - {id: a, ask: b, kind: fault, show: [c], faults: {x: d, y: e}, then: f, again: {}}\n",
            "'again' sets what 'then' names", 9,
        ),
        ("questions:\n  - {id: a, ask: b, answer: c, marks: -1}\n", "marks lie between", 9),
    ],
)  # fmt: skip
def test_a_mistake_is_told_with_its_line(tmp_path: Path, questions: str, word: str, line: int) -> None:
    with pytest.raises(InputError) as told:
        worksheet(tmp_path, questions)
    assert word in str(told.value)
    assert f"sheet.yaml:{line}:" in str(told.value)


def test_an_earlier_answer_may_be_used_and_a_later_one_not(tmp_path: Path) -> None:
    late = INLET.replace('set: {load pressure: "{below}"}', 'set: {load pressure: "{left}"}')
    with pytest.raises(InputError, match="earlier question 'left'"):
        worksheet(tmp_path, late)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="did you mean 'direct relief'"):
        worksheet(tmp_path, INLET, HEAD.replace("file: direct relief", "file: direct relif"))


def test_letters_of_blanks() -> None:
    assert [letter(k) for k in (0, 25, 26)] == ["a", "z", "a1"]
