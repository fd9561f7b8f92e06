"""A state as a row: the same columns at every point, and in them the numbers of the state."""

from __future__ import annotations

import pytest

import oilway
from oilway.model.catalogue import shipped_valves
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.explain import words
from oilway.study.frame import channels, frame
from oilway.study.story import examples

HOIST = str(examples() / "tipping_hoist.yaml")


def row(state: State) -> dict[str, float]:
    """The values of a frame by channel."""
    return dict(zip((c.name for c in channels(state)), frame(state).values, strict=True))


@pytest.fixture(scope="module")
def relieving() -> State:
    """The hoist with a load that the relief cannot lift."""
    machine = oilway.load(HOIST)
    return solve_point(machine, machine.point_from({"load pressure": "2600 psi"}))


@pytest.mark.parametrize("file", [HOIST, *shipped_valves()])
def test_the_columns_are_the_same_at_every_point_and_each_stands_once(file: str) -> None:
    machine = oilway.load(file)
    points = [{}, *machine.points.values()]
    columns = [channels(solve_point(machine, point)) for point in points]
    assert all(c == columns[0] for c in columns)
    assert len({c.name for c in columns[0]}) == len(columns[0])


def test_pressures_lifts_and_words_are_those_of_the_state(relieving: State) -> None:
    shown, said = row(relieving), frame(relieving)
    for chamber, pressure in relieving.pressures.items():
        assert shown[f"pressure:{chamber}"] == pressure
    for part, status in relieving.statuses.items():
        assert shown[f"lift:{part}"] == status.lift
        assert shown[f"share:{part}"] == pytest.approx(status.lift / status.travel)
        assert said.statuses[part] == status.word
    assert said.words == {m.name: words(relieving, m) for m in relieving.machine.mounted}
    assert said.findings == [(f.part, str(f)) for f in relieving.findings]


def test_flows_are_volume_at_no_pressure_and_what_goes_in_comes_out(relieving: State) -> None:
    shown = row(relieving)
    orifice = "main relief.main orifice"
    assert shown[f"flow:{orifice}"] == pytest.approx(
        relieving.flow_through(orifice) / relieving.parameter("oil.rho0")
    )
    ports = [shown[f"flow:main relief@{port}"] for port in ("P", "T")]
    assert ports[0] > 1e-4
    assert sum(ports) == pytest.approx(0, abs=1e-9)


def test_a_ledger_in_the_row_closes_and_its_lines_say_what_they_are(relieving: State) -> None:
    shown, columns = row(relieving), {c.name: c for c in channels(relieving)}
    for part, entries in relieving.forces.items():
        lines = [f"force:{part}#{i}" for i in range(len(entries))]
        assert sum(shown[line] for line in lines) == pytest.approx(0, abs=1e-3)
        assert [(columns[n].label, columns[n].law) for n in lines] == [(e.label, e.law) for e in entries]
    into = [v for name, v in shown.items() if name.startswith("into:pump line#")]
    assert sum(into) == pytest.approx(0, abs=1e-9)


def test_a_spring_is_compressed_by_its_turns_and_by_the_lift() -> None:
    valve = oilway.load("direct relief")
    spring, on = "main spring", str(valve.parts["main spring"].values["on"])
    state = solve_point(valve)
    pitch, compression = (float(valve.parts[spring].values[k] or 0.0) for k in ("pitch", "compression"))
    turns, lift = state.parameter(f"{spring}.turns"), state.statuses[on].lift
    assert lift > 0
    assert row(state)[f"compression:{spring}"] == pytest.approx(compression + pitch * turns + lift)
    assert row(state)[f"turns:{spring}"] == turns
