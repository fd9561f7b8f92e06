"""The data of sheets and keys: what a student gets holds no key, and every question shows what it needs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.classroom import SHIPPED, item_of, variant

from oilway import quantity
from oilway.errors import InputError
from oilway.sheets.class_data import Illustrator, blank_png, key_data, sheet_data
from oilway.study.roster import Student
from oilway.study.worksheet import read_worksheet
from oilway.study.worksheet_draw import Drawer, Variant


@pytest.fixture(scope="module", params=SHIPPED, ids=lambda path: path.stem)
def found(request: pytest.FixtureRequest) -> Variant:
    return Drawer(read_worksheet(request.param)).variant(Student("s"))


def test_a_sheet_holds_no_key(found: Variant) -> None:
    """No key of a number stands on it, unless it is a number the question gives."""
    told = sheet_data(found, Illustrator())
    text = json.dumps(told)
    given = " ".join(found.drawn.values()) + json.dumps([q["table"] for q in told["questions"]])
    for item in found.items:
        if item.kind == "number":
            shown = quantity.show(item.size(), item.quantity)
            bare = shown.split()[0]
            assert bare in given or item.question.kind == "sheet" or shown not in text, item.id
    for word in ("tell", "wrong", "answers", "states"):
        assert f'"{word}"' not in text


def test_a_key_has_every_answer_and_the_states_behind_them(found: Variant) -> None:
    told = key_data(found, Illustrator())
    assert sum(len(q["answers"]) for q in told["questions"]) == len(found.items)
    named = {q["state"] for q in told["questions"]} - {""}
    assert named == {s["name"] for s in told["states"]}


def test_a_picture_that_is_not_there_is_told_with_its_line(tmp_path: Path) -> None:
    asked = "{id: q, ask: a, set: {load pressure: 100 psi}, answer: pressure of inlet, picture: pilot}"
    text = f"questions:\n  - {asked}\n"
    with pytest.raises(InputError, match=r"sheet\.yaml:9: q: there is no picture 'pilot'"):
        sheet_data(variant(tmp_path, text), Illustrator())


def test_readings_of_a_fault_before_and_after_one_change(tmp_path: Path) -> None:
    """A column for each set-up, and nothing where no gauge shows anything; the words of both are filled in."""
    text = """questions:
  - id: q
    kind: fault
    ask: a
    set: {load pressure: "{below}"}
    show: [pressure of inlet, flow through seat]
    then: "above {below}"
    again: {load pressure: 5000 psi}
    faults: {soft: {main spring.rate: 420 N/mm}, soft too: {main spring.rate: 400 N/mm}}
"""
    found = variant(tmp_path, text)
    (told,) = sheet_data(found, Illustrator())["questions"]
    below = found.drawn["below"]
    assert told["table"][0] == ["place", "reading", f"above {below}"]
    inlet, flow = told["table"][1:]
    assert inlet[:2] == ["inlet", below]
    (key,) = key_data(found, Illustrator())["questions"]
    head, *lines = key["table"]
    drawn = next(k for k, name in enumerate(head) if name.endswith("(this one)"))
    assert head[1] == "nothing wrong"
    assert [line[0] for line in lines] == ["inlet", "flow through seat"] + [
        f"{place}, above {below}" for place in ("inlet", "flow through seat")
    ]
    assert [line[drawn] for line in lines] == [inlet[1], flow[1], inlet[2], flow[2]]
    assert lines[2][1] != lines[2][drawn]  # the sound valve holds its setting
    assert float(inlet[2].split()[0]) > float(inlet[1].split()[0])
    assert flow == ["flow through seat", "0.00 gpm", "18.00 gpm"]


def test_pictures_as_png(tmp_path: Path) -> None:
    text = """questions:
  - {id: q, kind: gauges, ask: a, set: {load pressure: 100 psi}, fill: [inlet, outlet]}
  - {id: s, kind: sketch, ask: b, rubric: {c: 1}}
  - {id: n, kind: order, ask: d, steps: [e, f, g]}
"""
    found = variant(tmp_path, text)
    gauges, sketch, order = found.sitting.worksheet.questions
    assert blank_png(found, gauges, Illustrator()).startswith(b"\x89PNG")
    assert blank_png(found, sketch, Illustrator()).startswith(b"\x89PNG")
    assert blank_png(found, order, Illustrator()) == b""
    assert item_of(found, "q.a").prompt == "inlet"
