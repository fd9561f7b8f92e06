"""Keys solved ahead: the same as when asked for, a person goes first, what cannot be solved is told each time."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from tests.classroom import worksheet

from oilway.errors import InputError
from oilway.page import enter_keys
from oilway.page.enter_keys import Keys
from oilway.study.mark_class import quantity_units
from oilway.study.roster import Student
from oilway.study.worksheet_draw import Drawer

STUDENTS = [Student("A"), Student("B")]


@pytest.fixture
def keys(tmp_path: Path) -> Keys:
    sheet = worksheet(tmp_path)
    return Keys({units: Drawer(sheet, units) for units in quantity_units()}, "shop")


def test_a_class_is_solved_ahead(keys: Keys) -> None:
    assert (keys.ready(), keys.any()) == (0, None)
    keys.start([(student, "") for student in STUDENTS])
    assert keys._thread is not None
    keys._thread.join(60)
    assert (keys.ready(), keys.of_class) == (2, 2)
    with keys.turn():
        found = keys.of(STUDENTS[1], "")
        assert found is keys.of(STUDENTS[1], found.code)
    assert found.code == keys.drawers["shop"].variant(STUDENTS[1]).code
    assert keys.any() is not None


def test_a_code_says_whose_sheet_it_is_and_in_which_units(keys: Keys) -> None:
    code = keys.drawers["metric"].variant(STUDENTS[1]).code
    assert keys.bearer(code, STUDENTS) == STUDENTS[1]
    assert keys.bearer("ffffffff", STUDENTS) is None
    with keys.turn():
        assert keys.of(STUDENTS[1], code).units == "metric"


def test_what_cannot_be_solved_is_told_each_time_and_holds_nobody_up(keys: Keys) -> None:
    keys.start([(STUDENTS[0], "ffffffff"), (STUDENTS[1], "")])
    assert keys._thread is not None
    keys._thread.join(60)
    assert keys.ready() == 2
    for _ in range(2):
        with keys.turn(), pytest.raises(InputError, match="'ffffffff' is not known for A"):
            keys.of(STUDENTS[0], "ffffffff")


def test_a_person_goes_before_the_work_ahead(keys: Keys) -> None:
    order: list[str] = []

    def take(name: str, *, ahead: bool) -> None:
        with keys.turn(ahead=ahead):
            order.append(name)

    def waiting(count: int) -> bool:
        return len(keys._door._waiters) == count  # type: ignore[attr-defined]

    with keys.turn():
        work = threading.Thread(target=take, args=("ahead",), kwargs={"ahead": True})
        work.start()
        while not waiting(1):
            pass
        person = threading.Thread(target=take, args=("person",), kwargs={"ahead": False})
        person.start()
        while not waiting(2):
            pass
    work.join(10)
    person.join(10)
    assert order == ["person", "ahead"]


def test_stopped_work_ends_after_its_sheet(keys: Keys) -> None:
    keys.stop()
    keys.start([(student, "") for student in STUDENTS])
    assert keys._thread is not None
    keys._thread.join(60)
    assert keys.ready() == 0


def test_work_ahead_waits_until_nobody_types(keys: Keys, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(enter_keys, "QUIET", float("inf"))
    with keys.turn():
        pass
    keys.start([(student, "") for student in STUDENTS])
    assert keys._thread is not None
    keys._thread.join(0.5)
    assert (keys._thread.is_alive(), keys.ready()) == (True, 0)
    with keys.turn():
        keys.of(STUDENTS[0], "")  # a person does not
    keys.stop()
    keys._thread.join(60)
    assert keys.ready() == 1
