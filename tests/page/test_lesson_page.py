"""A lesson in one file: the solver's own numbers, nothing from outside, and names that stay text."""

from __future__ import annotations

import base64
import gzip
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from oilway.page.lesson_page import lesson_data, lesson_html, said_of
from oilway.solve.point import solve_point
from oilway.study.frame import channels, frame
from oilway.study.lesson import AS_IN_FILE, lesson_of, open_lesson, read_lesson
from oilway.study.story import examples
from oilway.study.table import tabulate

TWO = examples() / "lessons" / "two_reliefs.yaml"


@pytest.fixture(scope="module")
def data() -> dict[str, Any]:
    return lesson_data(read_lesson(TWO))


def row(scene: dict[str, Any], values: list[float]) -> dict[str, float]:
    return dict(zip((c["name"] for c in scene["channels"]), values, strict=True))


def test_every_stop_has_the_state_that_the_solver_finds(data: dict[str, Any]) -> None:
    lesson = read_lesson(TWO)
    for number, stop in enumerate(lesson.stops):
        variant = data["variants"][stop.variant]
        said = variant["stops"][number]
        state = solve_point(lesson.machines[stop.variant], stop.point)
        solved = dict(zip((c.name for c in channels(state)), frame(state).values, strict=True))
        for name, value in row(variant["scene"], said["values"]).items():
            if not name.startswith("into:"):  # the last digits of flows that cancel
                assert value == pytest.approx(solved[name], rel=1e-6, abs=1e-6), name
        assert said["statuses"] == frame(state).statuses


def test_the_packed_numbers_are_those_of_the_table(data: dict[str, Any]) -> None:
    lesson = read_lesson(TWO)
    table = tabulate(lesson.machines["two-stage"], lesson.sliders)
    told = data["variants"]["two-stage"]["table"]
    packed = np.frombuffer(gzip.decompress(base64.b64decode(told["values"])), dtype="<f4")
    across, down, width = table.values.shape
    assert packed.reshape(width, across, down) == pytest.approx(
        np.moveaxis(table.values, 2, 0), rel=1e-5, abs=1e-5
    )
    assert [len(axis) for axis in told["nodes"]] == [across, down]
    i, j = across // 2, down // 2
    assert told["said"][told["points"][i * down + j]]["statuses"] == table.frames[i, j].statuses
    assert len(data["variants"]["two-stage"]["scene"]["channels"]) == width


def test_the_file_asks_nobody_and_is_small(data: dict[str, Any]) -> None:
    page = lesson_html(data)
    assert len(page.encode()) < 2_000_000
    page = re.sub(r'"data:text/javascript;base64,[^"]*"', '""', page)
    assert not re.search(r'(?:src|href)="(?!#)', page.partition('id="lesson-data"')[0])
    assert "within" in said_of(data)
    assert "load pressure and engine speed" in said_of(data)


def test_names_that_look_like_markup_stay_text(tmp_path: Path) -> None:
    odd = "</script><script>alert(1)</script>"
    path = tmp_path / "lesson.yaml"
    path.write_text(
        f"format: 1\nlesson: '{odd}'\nfile: direct relief\nstops: [{{title: '{odd}'}}]\n", encoding="utf-8"
    )
    page = lesson_html(lesson_data(read_lesson(path)))
    assert odd not in page
    inside = re.search(r'id="lesson-data">(.*?)</script>', page, re.DOTALL)
    assert inside is not None
    assert json.loads(inside[1])["variants"][AS_IN_FILE]["scene"]["title"] == odd


def test_a_machine_file_makes_a_lesson_too() -> None:
    lesson = open_lesson("unloading")
    assert [s.title.lower() for s in lesson.stops] == [name.lower() for name in lesson.machines[AS_IN_FILE].points]
    assert len(lesson.sliders) <= 2
    assert lesson_of(lesson.machines[AS_IN_FILE]).title == lesson.title
