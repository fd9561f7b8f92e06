"""What a scene says of a lesson."""

from __future__ import annotations

from oilway.page.lesson_scene import lesson_scene
from oilway.study.lesson import read_lesson
from oilway.study.story import examples


def test_a_scene_names_its_variant_and_holds_the_stops_as_the_page_reads_them() -> None:
    lesson = read_lesson(examples() / "lessons" / "two_reliefs.yaml")
    scene = lesson_scene(lesson, "two-stage", {"title": "the machine", "kept": 1})
    assert (scene["title"], scene["variant"], scene["kept"]) == (lesson.title, "two-stage", 1)
    told = scene["lesson"]
    assert told["variants"] == ["direct-acting", "two-stage"]
    first, read = told["stops"][0], lesson.stops[0]
    assert first["set"] == read.point
    assert (first["question"], first["reveal"], first["answer"]) == (read.ask, read.tell, read.answer)
    assert first["given"] == "two-stage: load pressure 1500 psi, lever 1"


def test_what_is_set_is_said_without_the_points_of_the_file() -> None:
    lesson = read_lesson(examples() / "lessons" / "two_stage_relief.yaml")
    stops = lesson_scene(lesson, next(iter(lesson.machines)), {})["lesson"]["stops"]
    assert stops[0]["given"] == "load A load pressure 1500 psi"


def test_a_fault_is_not_told_with_its_question() -> None:
    lesson = read_lesson(examples() / "lessons" / "fault_finding.yaml")
    stops = lesson_scene(lesson, next(iter(lesson.machines)), {})["lesson"]["stops"]
    worn = next(k for k, stop in enumerate(lesson.stops) if "main relief.pilot seat.worn gap" in stop.faulty)
    assert stops[worn]["given"] == "load pressure 1500 psi, lever 1"
    assert [stop["faulty"] for stop in stops] == [False, True, True, True, True, False]
    assert stops[worn]["set"]["main relief.pilot seat.worn gap"] > 0
