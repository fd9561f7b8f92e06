"""Symbols of what moves: the piston stands where it stands, arrows and numbers follow speed and rotation."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest
from tests.draw.drawn import FULL, box, drawing, machine, of_class, painted, state, tag, walk, words_of

from oilway.draw.paint import paint
from oilway.draw.symbols_machines import STROKE
from oilway.quantity import show
from oilway.solve.point import solve_point


def group_of(root: ET.Element, part: str) -> ET.Element:
    return next(g for g in root.iter() if g.get("data-part") == part and g.get("role") == "button")


def left_of(name: str, part: str, words: dict[str, float]) -> float:
    """Left edge of the box of a load."""
    root = ET.fromstring(paint(drawing(name).picture, solve_point(machine(name), words), FULL))
    symbols = of_class(root, "symbols")[0]
    found = [box(e, at) for e, at in walk(symbols) if e in list(group_of(symbols, part)) and tag(e) == "rect"]
    assert found[0] is not None
    return found[0][0]


def test_the_load_moves_with_the_rod_over_the_whole_stroke() -> None:
    stroke = float(machine("tipping_hoist").parts["hoist cylinder"].values["stroke"] or 0)
    at = [left_of("tipping_hoist", "box", {"hoist cylinder.position": share * stroke}) for share in (0, 0.25, 1)]
    assert at[1] - at[0] == pytest.approx(0.25 * STROKE, abs=0.1)
    assert at[2] - at[0] == pytest.approx(STROKE, abs=0.1)


def texts(name: str, part: str) -> list[str | None]:
    return [words_of(e) for e in group_of(painted(name), part).iter() if tag(e) == "text"]


def test_a_cylinder_tells_its_speed() -> None:
    speed = state("tipping_hoist").velocities["hoist cylinder"]
    assert speed > 0
    assert show(speed, "velocity") in texts("tipping_hoist", "hoist cylinder")


def test_pump_and_motor_tell_their_rpm() -> None:
    assert "1900 rpm" in texts("swing_drive", "pump"), "as the file says"
    kind, speed = state("swing_drive").readings["motor"]
    assert show(speed, kind) in texts("swing_drive", "motor")


def test_only_a_pump_that_can_change_its_stroke_has_a_case_and_a_control() -> None:
    ports = {
        name: [m.port for s in drawing(name).symbols if s.place == "pump" for m in s.mouths]
        for name in ("tipping_hoist", "everything", "tractor_loader")
    }
    assert ports["tipping_hoist"] == ["outlet", "inlet"]
    assert ports["everything"] == ["outlet", "inlet", "case"]
    assert ports["tractor_loader"] == ["outlet", "inlet", "case", "load sense"]


def test_a_load_has_its_name_on_it_and_can_be_touched_by_itself() -> None:
    assert texts("press", "jaw") == ["jaw"]
    assert texts("press", "piece") == ["piece"]


def test_an_accumulator_tells_the_oil_in_it() -> None:
    kind, oil = state("everything").readings["accumulator"]
    assert show(oil, kind) in texts("everything", "accumulator")
