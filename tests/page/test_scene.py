"""The scene: units as quantity shows them, named points, and words for what goes wrong."""

from __future__ import annotations

import json

import pytest

import oilway
from oilway import quantity
from oilway.draw.pictures import pictures
from oilway.errors import ImpossibleCircuit, InputError, NoSolution, Place, Problem
from oilway.model.catalogue import shipped_valves
from oilway.page.scene import broken_data, problem_data, scene
from oilway.solve.point import solve_point
from oilway.study.explain import default_points
from oilway.study.handles import start
from oilway.study.story import examples

FILES = [*sorted(map(str, examples().glob("*.yaml"))), *shipped_valves()]


@pytest.mark.parametrize("file", FILES)
def test_every_example_and_valve_has_a_scene(file: str) -> None:
    machine = oilway.load(file)
    made = scene(solve_point(machine, start(machine)), pictures(machine))
    json.dumps(made, allow_nan=False)
    assert made["kind"] == ("valve" if file in shipped_valves() or "damped" in file else "machine")
    handles = {h["parameter"]: h for h in made["handles"]}
    for name, point in made["points"].items():
        for parameter, value in point.items():
            handle = handles[parameter]
            assert handle["low"] <= value <= handle["high"], (name, parameter)


@pytest.mark.parametrize("units", ["shop", "metric"])
@pytest.mark.parametrize("kind", list(quantity.KINDS))
def test_a_unit_of_the_scene_shows_what_quantity_shows(kind: str, units: quantity.Units) -> None:
    machine = oilway.load("direct relief")
    unit = scene(solve_point(machine, start(machine)), [])["units"][units][kind]
    for value in (0.0, 1.0, -37.5, 2.5e7):
        assert (value - unit["offset"]) / unit["factor"] == pytest.approx(quantity.number(value, kind, units))
    assert unit["unit"] == quantity.unit(kind, units)


def test_a_relief_has_its_three_regimes_as_points() -> None:
    machine = oilway.load("pilot relief")
    points = scene(solve_point(machine, start(machine)), [])["points"]
    assert list(points.values()) == default_points(machine)
    words = [
        {n: s.word for n, s in solve_point(machine, start(machine) | p).statuses.items()} for p in points.values()
    ]
    assert words[0] == {"main part": "seated", "pilot poppet": "seated"}
    assert words[2] == {"main part": "open", "pilot poppet": "open"}


def test_problems_are_told_with_part_and_hint() -> None:
    impossible = ImpossibleCircuit("spring: at solid height", hint="turn it out", part="spring")
    assert problem_data(impossible, 7) == {
        "seq": 7,
        "problem": {"what": "spring: at solid height", "hint": "turn it out", "part": "spring"},
    }
    wrong = InputError([Problem(Place("a.yaml", 3), "one", "try"), Problem(Place("a.yaml", 5), "two")])
    assert problem_data(wrong, 0)["problem"] == {"what": "one", "hint": "try", "part": ""}
    told = broken_data(wrong)
    assert (told["file"], told["line"], told["what"], told["hint"]) == ("a.yaml", 3, "one", "try")
    assert [(p["line"], p["what"]) for p in told["more"]] == [(5, "two")]
    assert broken_data(NoSolution("no rest", part="pump"))["what"] == "no rest"
