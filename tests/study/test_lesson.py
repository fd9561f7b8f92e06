"""Lesson files: what is read, and how what is wrong is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway import quantity
from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.lesson import AS_IN_FILE, is_lesson, read_lesson
from oilway.study.story import examples

SHIPPED = sorted((examples() / "lessons").glob("*.yaml"))
PLAIN = """format: 1
lesson: One relief
file: direct relief
sliders:
  load pressure: 200 psi to 2000 psi
stops:
  - title: Shut
    set: {load pressure: 500 psi}
    ask: Does it leak?
    choices: ["yes", "no"]
    answer: "no"
    hide: [numbers]
    tell: The poppet is on its seat.
"""


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "lesson.yaml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.stem)
def test_every_stop_of_a_shipped_lesson_has_a_solution(path: Path) -> None:
    lesson = read_lesson(path)
    assert is_lesson(path)
    for stop in lesson.stops:
        assert solve_point(lesson.machines[stop.variant], stop.point).pressures
        assert stop.answer in stop.choices
        assert stop.tell


def test_a_lesson_on_a_shipped_valve_has_one_variant(tmp_path: Path) -> None:
    lesson = read_lesson(written(tmp_path, PLAIN))
    assert list(lesson.machines) == [AS_IN_FILE]
    slider = lesson.sliders[0]
    assert slider.high == pytest.approx(quantity.parse("2000 psi", "pressure"))
    assert list(lesson.stops[0].point.values()) == pytest.approx([quantity.parse("500 psi", "pressure")])


def test_a_variant_changes_the_machine_of_its_stops() -> None:
    lesson = read_lesson(examples() / "lessons" / "two_reliefs.yaml")
    direct, staged = lesson.machines["direct-acting"], lesson.machines["two-stage"]
    assert "main relief.poppet" in direct.parts
    assert "main relief.poppet" not in staged.parts


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("lesson: One relief", "lessen: One relief", 1, "missing key 'lesson'"),
        ("file: direct relief", "file: direct releif", 3, "did you mean 'direct relief'?"),
        ("200 psi to 2000 psi", "200 psi", 5, "has no range"),
        ("200 psi to 2000 psi", "2000 psi to 200 psi", 5, "ends where it begins"),
        ("200 psi to 2000 psi", "200 gpm to 2000 psi", 5, "is a flow"),
        ("load pressure: 200", "load presure: 200", 5, "did you mean 'load pressure'?"),
        ("{load pressure: 500 psi}", "{load presure: 500 psi}", 8, "did you mean 'load pressure'?"),
        ('answer: "no"', "answer: nope", 11, "there is no choice 'nope'"),
        ("hide: [numbers]", "hide: [number]", 12, "did you mean 'numbers'?"),
        ("hide: [numbers]", "hide: numbers", 12, "takes a list"),
        ("    tell: The poppet is on its seat.\n", "", 9, "without 'tell'"),
        ("    ask:", "    aks:", 9, "did you mean 'ask'?"),
        ("  - title: Shut", "  - variant: two\n    title: Shut", 7, "there is no variant 'two'"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, old: str, new: str, line: int, said: str) -> None:
    assert old in PLAIN
    with pytest.raises(InputError) as caught:
        read_lesson(written(tmp_path, PLAIN.replace(old, new)))
    assert any(p.where.line == line and said in f"{p.what} {p.hint}" for p in caught.value.problems), caught.value


def test_a_third_slider_is_refused(tmp_path: Path) -> None:
    more = PLAIN.replace("stops:", "  oil temperature: 60 F to 140 F\n  load flow: 1 gpm to 2 gpm\nstops:", 1)
    with pytest.raises(InputError, match=r"slider|load flow"):
        read_lesson(written(tmp_path, more))


def test_a_variant_that_cannot_be_read_names_its_line(tmp_path: Path) -> None:
    text = PLAIN.replace("stops:", "variants:\n  odd: {seat.diametre: 9 mm}\nstops:", 1)
    with pytest.raises(InputError) as caught:
        read_lesson(written(tmp_path, text))
    assert any(p.where.line == 7 and "diametre" in p.what for p in caught.value.problems), caught.value


def test_a_machine_file_is_no_lesson() -> None:
    assert not is_lesson(examples() / "tipping_hoist.yaml")


def test_what_the_lesson_on_two_reliefs_tells_is_what_the_solver_finds() -> None:
    lesson = read_lesson(examples() / "lessons" / "two_reliefs.yaml")
    states = [solve_point(lesson.machines[s.variant], s.point) for s in lesson.stops]
    light, light_direct, close_direct, close_staged, _, heavy_staged = states
    inlet, back = "pump line", "main relief.back chamber"
    assert light.pressures[back] == pytest.approx(light.pressures[inlet], abs=1.0)
    assert light_direct.statuses["main relief.poppet"].word == "seated"
    assert close_direct.flow_through("main relief.seat") > 0.5 * close_direct.flow_through("pump")
    assert close_staged.velocities["hoist cylinder"] > 2 * close_direct.velocities["hoist cylinder"] > 0
    drop = heavy_staged.pressures[inlet] - heavy_staged.pressures[back]
    preload = next(e.value for e in heavy_staged.forces["main relief.main part"] if e.label == "spring preload")
    face = 3.14159265 / 4 * 0.024**2  # m2, the 24 mm of the main face
    assert drop > -preload / face
    assert heavy_staged.flow_through("main relief.pilot seat") < 0.05 * heavy_staged.flow_through(
        "main relief.main seat"
    )


FAULTY = """format: 1
lesson: One relief, worn
file: direct relief
stops:
  - title: Worn
    set: {load pressure: 500 psi}
    fault: "direct-acting relief: seat worn or scored, 50 %"
    ask: Does it leak?
    tell: The seat is scored.
"""


def test_a_stop_with_a_fault_solves_with_it(tmp_path: Path) -> None:
    lesson = read_lesson(written(tmp_path, FAULTY))
    (machine,), (stop,) = lesson.machines.values(), lesson.stops
    sound = {name: value for name, value in stop.point.items() if name not in stop.faulty}
    assert stop.faulty == {"seat.worn gap"}
    leaks, tight = (s.at_no_pressure(s.flow_through("seat")) for s in (solve_point(machine, p) for p in
                                                                       (stop.point, sound)))  # fmt: skip
    assert abs(leaks) > 1e-6 > abs(tight)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("worn or scored, 50 %", "torn, 50 %", "no fault 'direct-acting relief: seat torn'"),
        (", 50 %", "", "does not say how bad"),
    ],
)
def test_a_fault_that_cannot_be_shown_is_told_with_its_line(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as told:
        read_lesson(written(tmp_path, FAULTY.replace(old, new)))
    assert "lesson.yaml:7" in str(told.value)


def test_what_shuts_a_passage_altogether_is_refused_at_a_stop(tmp_path: Path) -> None:
    text = FAULTY.replace("file: direct relief", "file: reducing").replace(
        "load pressure: 500", "main line.pressure: 500"
    )
    text = text.replace("direct-acting relief: seat worn or scored, 50 %", "reducing valve: drain blocked, 100 %")
    with pytest.raises(InputError, match="outside the legal range"):
        read_lesson(written(tmp_path, text))


def _told(lesson: str) -> dict[str, dict[str, float]]:
    """The pressures (psi) of each stop of a shipped lesson."""
    read = read_lesson(examples() / "lessons" / f"{lesson}.yaml")
    return {
        stop.title: {
            name: quantity.convert(p, "pressure", "psi")
            for name, p in solve_point(read.machines[stop.variant], stop.point).pressures.items()
        }
        for stop in read.stops
    }


def test_what_the_lesson_on_the_reducing_valve_tells_is_what_the_solver_finds() -> None:
    found = _told("reducing")
    outlet = {title: pressures["clamp line"] for title, pressures in found.items()}
    assert outlet["Main line below the setting"] == pytest.approx(400, abs=5)
    assert outlet["Is it a relief in line?"] == pytest.approx(outlet["Main line above the setting"], abs=3)
    assert 10 < outlet["Nothing is drawn"] - outlet["Main line above the setting"] < 60
    assert outlet["Pressure in the drain"] - outlet["Main line above the setting"] == pytest.approx(100, abs=2)
    assert outlet["Drain blocked"] == pytest.approx(2000, rel=0.01)
    assert 10 < outlet["Pushed back"] - 600 < 80


def test_what_the_lesson_on_the_counterbalance_tells_is_what_the_solver_finds() -> None:
    found = _told("counterbalance")
    down = found["Coming down"]
    assert found["Held"]["raise line"] < 20 < 1000 < found["Held"]["cap end"]
    assert down["cap end"] > found["Held"]["cap end"]
    assert found["A lighter bucket"]["rod line"] > 1.5 * down["rod line"]
    assert found["Back-pressure"]["rod line"] > down["rod line"] + 40
    assert found["Back-pressure"]["cap end"] > down["cap end"] + 20
    assert found["Overloaded"]["cap end"] == pytest.approx(2100, abs=40)  # its setting


def test_what_the_lesson_on_the_brake_tells_is_what_the_solver_finds() -> None:
    outlet = {title: pressures["motor line"] for title, pressures in _told("brake").items()}
    assert outlet["The motor is driven"] < 100
    assert outlet["The load drives"] - outlet["The load begins to drive"] == pytest.approx(8 * 120, rel=0.05)
    assert outlet["Stuck open"] < 100


def test_what_the_lesson_on_fault_finding_tells_is_what_the_solver_finds() -> None:
    found = _told("fault_finding")

    def both(title: str) -> tuple[float, float]:
        return found[title]["pump line"], found[title]["main relief.back chamber"]

    good, worn, stuck = (both(t) for t in ("Predict the good machine", "Complaint: lifts nothing",
                                           "Complaint: lifts only an empty box"))  # fmt: skip
    assert good[0] == pytest.approx(2300, abs=10)
    assert worn[0] - worn[1] == pytest.approx(good[0] - good[1], abs=15)  # the light spring
    assert worn[0] < 1500
    assert stuck[0] == pytest.approx(stuck[1], abs=2)
    assert both("Complaint: slow")[0] == pytest.approx(1520, abs=20)
    assert found["Complaint: stalls high, runs hot"]["return line"] > 100


def _states(name: str) -> list[State]:
    lesson = read_lesson(examples() / "lessons" / f"{name}.yaml")
    return [solve_point(lesson.machines[s.variant], s.point) for s in lesson.stops]


def test_what_the_lesson_on_the_two_stage_relief_tells_is_what_the_solver_finds() -> None:
    shut, cracked, full, vented, backed = _states("two_stage_relief")
    inlet, back, main = "line A", "back chamber", "two-stage relief.main part"

    def drop(state: State) -> float:
        return state.pressures[inlet] - state.pressures[back]

    assert drop(shut) == pytest.approx(0.0, abs=1.0)
    preload = -next(e.value for e in full.forces[main] if e.label == "spring preload")
    spring = preload / (3.14159265 / 4 * 0.024**2)  # Pa, on the 24 mm of the main face
    assert cracked.statuses[main].word == "seated"
    assert 0 < drop(cracked) < spring < drop(full)
    pilot, seat = (full.flow_through(f"two-stage relief.{name}") for name in ("pilot seat", "main seat"))
    assert 0 < pilot < 0.01 * seat
    assert spring < vented.pressures[inlet] < 1.5 * spring
    more = quantity.parse("100 psi", "pressure")
    assert backed.pressures[inlet] - vented.pressures[inlet] == pytest.approx(more, rel=0.02)


def test_what_the_lesson_on_unloading_tells_is_what_the_solver_finds() -> None:
    out, wood, log, backed = _states("unloading")
    through = [s.flow_through("unloading valve.check") / s.flow_through("big pump") for s in (out, wood, log)]
    assert through == [pytest.approx(1.0, abs=1e-3), pytest.approx(0.1, abs=0.09), pytest.approx(0.0, abs=1e-6)]
    assert log.pressures["big pump line"] < 0.01 * log.pressures["system line"]
    more = backed.pressures["big pump line"] - log.pressures["big pump line"]
    assert more == pytest.approx(quantity.parse("80 psi", "pressure"), rel=0.02)


def test_an_accumulator_charges_again_only_when_it_has_fallen_by_the_ratio_of_areas() -> None:
    charging, charged, fallen, again = _states("accumulator_unloading")
    for state in (charging, again):
        assert state.flow_through("check") == pytest.approx(state.flow_through("test pump"), rel=1e-3)
    for state in (charged, fallen):
        assert state.flow_through("check") == pytest.approx(0.0, abs=1e-6)
        assert state.pressures["pump line"] < quantity.parse("50 psi", "pressure")


def test_what_the_lesson_on_the_sequence_valve_tells_is_what_the_solver_finds() -> None:
    first, second, above, drained = _states("sequence")
    psi = quantity.parse("1 psi", "pressure")
    assert first.flow_through("second motion") < 1e-3 * first.flow_through("first motion")
    assert 1200 * psi < second.pressures["first line"] < 1500 * psi
    assert second.flow_through("first motion") == pytest.approx(0.0, abs=1e-6)
    assert 0 < above.pressures["first line"] - above.pressures["second line"] < 20 * psi
    more = drained.pressures["first line"] - second.pressures["first line"]
    assert more == pytest.approx(100 * psi, rel=0.1)
