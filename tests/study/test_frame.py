"""A state as a row: the same columns at every point, each the number of the state it is named after."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.model.catalogue import shipped_valves
from oilway.quantity import KINDS
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.explain import default_points, words
from oilway.study.frame import channels, frame

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.yaml"))


def row(state: State) -> dict[str, float]:
    return dict(zip((c.name for c in channels(state)), frame(state).values, strict=True))


@pytest.mark.parametrize("name", shipped_valves())
def test_the_columns_are_the_same_at_every_point_and_none_twice(name: str) -> None:
    machine = oilway.load(name)
    found = [channels(solve_point(machine, point)) for point in default_points(machine)]
    assert all(columns == found[0] for columns in found)
    names = [c.name for c in found[0]]
    assert len(names) == len(set(names))
    assert {c.kind for c in found[0]} <= set(KINDS)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_every_example_has_a_row_of_numbers(path: Path) -> None:
    state = solve_point(oilway.load(path))
    values = row(state)
    assert all(isinstance(v, float) for v in values.values())
    assert {f"pressure:{c}": p for c, p in state.pressures.items()}.items() <= values.items()
    assert frame(state).words == {m.name: words(state, m) for m in state.machine.mounted}


def test_lift_share_and_status_tell_one_story() -> None:
    machine = oilway.load("direct relief")
    for point in default_points(machine):
        state = solve_point(machine, point)
        values, status = row(state), state.statuses["poppet"]
        assert values["lift:poppet"] == status.lift
        assert values["share:poppet"] == pytest.approx(status.lift / 3e-3)  # its travel in the file
        assert frame(state).statuses["poppet"] == status.word


def test_flow_counts_from_the_first_port_at_no_pressure() -> None:
    state = solve_point(oilway.load("pilot relief"))
    values = row(state)
    for part in ("main seat", "main orifice", "pilot seat"):
        assert values[f"flow:{part}"] == pytest.approx(state.flow_through(part) / state.parameter("oil.rho0"))
        assert values[f"flow:{part}"] > 0
    # In series: what the orifice lets in leaves over the pilot's seat, counted at 0 psi to the last digit.
    assert values["flow:main orifice"] == pytest.approx(values["flow:pilot seat"], rel=1e-9)


def test_a_part_with_three_ports_has_a_flow_for_each() -> None:
    text = """
format: 1
machine: shuttle
parts:
  left: {kind: tank, pressure: 900 psi}
  right: {kind: tank, pressure: 300 psi}
  middle: {kind: chamber, volume: 1 L}
  drain: {kind: tank, pressure: 0 psi}
  shuttle: {kind: shuttle, first: left, second: right, to: middle}
  orifice: {kind: orifice, from: middle, to: drain, diameter: 1 mm}
"""
    values = row(solve_point(oilway.loads(text)))
    assert values["flow:shuttle"] == values["flow:shuttle@first"] > 0
    assert values["flow:shuttle@second"] == 0
    assert values["flow:shuttle@to"] == pytest.approx(-values["flow:shuttle@first"])
    assert "flow:orifice@from" not in values
    assert values["size:orifice"] == 1e-3


def test_a_spring_is_compressed_by_preload_turns_and_lift() -> None:
    """The adjuster: 0.75 mm a turn in the file; the poppet's lift goes into the same spring."""
    machine = oilway.load("direct relief")
    state = solve_point(machine)
    values = row(state)
    turns, lift = values["turns:main spring"], values["lift:poppet"]
    assert lift > 0
    assert values["compression:main spring"] == pytest.approx(0.75e-3 * turns + lift)
    rate = state.parameter("main spring.rate")
    force = -sum(e.value for e in state.forces["poppet"] if e.part == "main spring")
    assert rate * values["compression:main spring"] == pytest.approx(force)


def test_a_spring_that_pushes_open_is_let_go_by_the_lift() -> None:
    state = solve_point(oilway.load("reducing"))
    values = row(state)
    rest = 3.5e-3 + 1e-3 * values["turns:main spring"]
    assert values["compression:main spring"] == pytest.approx(rest - values["lift:spool"])


def test_a_ledger_is_there_line_by_line_and_closes() -> None:
    state = solve_point(oilway.load("pilot relief"))
    values = row(state)
    lines = [v for n, v in values.items() if n.startswith("force:main part#")]
    assert len(lines) == len(state.forces["main part"])
    assert abs(sum(lines)) < 1e-6 * max(map(abs, lines))
    labels = {c.name: (c.label, c.law) for c in channels(state)}
    first = state.forces["main part"][0]
    assert labels["force:main part#0"] == (first.label, first.law)
    into = sum(v for n, v in values.items() if n.startswith("into:back chamber#"))
    assert abs(into) < 1e-9


def test_a_change_of_the_point_shows_in_the_row() -> None:
    machine = oilway.load("pilot relief")
    wide = solve_point(machine, {"main orifice.diameter": 0.9e-3})
    assert row(wide)["size:main orifice"] == 0.9e-3
    assert row(solve_point(machine))["size:main orifice"] == pytest.approx(0.6e-3)
    assert frame(wide).point["main orifice.diameter"] == 0.9e-3
