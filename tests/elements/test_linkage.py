"""Linkage: the rod feels the load times the ratio at its stroke, and its mass times the square."""

from __future__ import annotations

import math

import pytest

from oilway.elements.linkage import interpolated, ratio_table
from oilway.errors import InputError
from oilway.solve.point import solve_point

CAP = math.pi / 4 * 80e-3**2
PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}
    boom cylinder:
      kind: cylinder
      cap: line
      rod: tank
      bore: 80 mm
      rod diameter: 45 mm
      stroke: 800 mm
      mass: 20 kg
      position: 100 mm
    boom:
      kind: linkage
      on: boom cylinder
      ratio: 2.0 at 0 mm, 3.0 at 200 mm, 1.5 at 800 mm
      load force: 20 kN
      mass: 500 kg
    """


@pytest.mark.parametrize(("stroke", "ratio"), [(0, 2.0), (100, 2.5), (200, 3.0), (600, 2.0)])
def test_pressure_is_load_times_ratio_over_area(solve, stroke: int, ratio: float) -> None:
    state = solve(PARTS, {"stroke": f"{stroke} mm"})
    assert state.pressures["line"] == pytest.approx(20e3 * ratio / CAP, rel=1e-9)
    assert state.readings["boom"] == ("number", pytest.approx(ratio))
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-3)


def test_work_on_the_load_is_its_force_times_its_own_speed(solve) -> None:
    state = solve(PARTS)
    work = next(e.value for e in state.power if e.label == "work on the load")
    assert work == pytest.approx(20e3 * 2.5 * state.velocities["boom cylinder"], rel=1e-12)


def test_mass_felt_goes_with_the_square_of_the_ratio(machine) -> None:
    built = machine(PARTS)
    state = solve_point(built)
    storage = built.system.storage(state.z, state.th)[built.system.index["velocity of boom cylinder"]]
    assert storage == pytest.approx(20 + 500 * 2.5**2)


def test_beyond_its_table_the_ratio_stays() -> None:
    table = ratio_table("1.2 at 0 mm, 1.0 at 400 mm")
    assert [interpolated(table, x)[0] for x in (-1.0, 0.1, 2.0)] == pytest.approx([1.2, 1.15, 1.0])
    assert [interpolated(table, x)[1] for x in (-1.0, 0.1, 2.0)] == pytest.approx([0.0, -0.5, 0.0])


def test_one_ratio_is_a_table_too(solve) -> None:
    state = solve(PARTS.replace("2.0 at 0 mm, 3.0 at 200 mm, 1.5 at 800 mm", "2 at 0 mm"))
    assert state.pressures["line"] == pytest.approx(40e3 / CAP, rel=1e-9)


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ("2.0 at 0 mm, 3.0", "'3.0' is no ratio at a stroke"),
        ("2.0 at 0 mm, 3.0 at 1 psi", "'1 psi' is a pressure"),
        ("two at 0 mm", "'two' is not one number"),
        ("2.0 at 200 mm, 3.0 at 200 mm", "the strokes must rise"),
    ],
)
def test_a_table_that_cannot_be_read_is_told_with_its_line(machine, table: str, what: str) -> None:
    with pytest.raises(InputError, match=rf"^circuit.yaml:20: boom: ratio: {what}"):
        machine(PARTS.replace("2.0 at 0 mm, 3.0 at 200 mm, 1.5 at 800 mm", table))
