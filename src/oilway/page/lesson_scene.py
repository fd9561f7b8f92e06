"""What a scene says of a lesson: its variants and its stops."""

from __future__ import annotations

from typing import Any

from oilway.quantity import Units
from oilway.study.explain import point_words
from oilway.study.lesson import Lesson, Stop


def lesson_scene(lesson: Lesson, variant: str, scene: dict[str, Any], units: Units = "shop") -> dict[str, Any]:
    """SCENE of one variant, with the lesson's stops in it."""
    stops = [_stop(stop, lesson, units) for stop in lesson.stops]
    told = {"picture": lesson.picture, "variants": list(lesson.machines), "stops": stops}
    return {**scene, "title": lesson.title, "variant": variant, "lesson": told}


def _stop(stop: Stop, lesson: Lesson, units: Units) -> dict[str, Any]:
    told = {name: value for name, value in stop.point.items() if name not in stop.faulty}
    given = point_words(lesson.machines[stop.variant], told, units, between=" ")
    return {
        "title": stop.title,
        "variant": stop.variant,
        "set": stop.point,
        "given": f"{stop.variant}: {given}" if len(lesson.machines) > 1 else given,
        "question": stop.ask,
        "choices": list(stop.choices),
        "answer": stop.answer,
        "hide": list(stop.hide),
        "reveal": stop.tell,
        "caution": stop.caution,
        "faulty": bool(stop.faulty),  # the words of a sound valve would be wrong about it
    }
