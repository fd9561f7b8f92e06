"""Words for what is read off a state: each gives the number of the state itself, in its kind."""

from __future__ import annotations

import pytest

import oilway
from oilway.errors import QuantityError
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.study.story import examples
from oilway.study.worksheet_words import Reader, Value


@pytest.fixture(scope="module")
def state() -> State:
    machine = oilway.load(examples() / "tipping_hoist.yaml")
    return solve_point(machine, machine.point_from({"load pressure": "1500 psi", "lever": "1"}))


def test_words_read_the_state(state: State) -> None:
    reader = Reader(state, {"q1": Value(3.0, "pressure")})
    cases: list[tuple[str, float]] = [
        ("pressure of pump line", state.pressures["pump line"]),
        ("pressure of back chamber", state.pressures["main relief.back chamber"]),
        ("reading of pump gauge", state.readings["pump gauge"][1]),
        ("speed of hoist cylinder", state.velocities["hoist cylinder"]),
        ("drop over return hose", abs(state.pressures["return line"])),
        ("lift of main part", 0.0),
        ("pressure of pump line less q1", state.pressures["pump line"] - 3.0),
        ("q1 plus q1", 6.0),
        ("pressure:rod line", state.pressures["rod line"]),
    ]
    for words, expected in cases:
        assert reader.read(words).size == pytest.approx(expected, abs=1e-9), words


def test_a_pressure_times_a_flow_is_a_power(state: State) -> None:
    reader = Reader(state, {})
    found = reader.read("pressure of pump line times flow through pump")
    assert found.kind == "power"
    assert found.size == pytest.approx(
        state.pressures["pump line"] * reader.read("flow through pump").size, rel=1e-12
    )


def test_a_force_of_a_ledger() -> None:
    machine = oilway.load("direct relief")
    full = solve_point(machine)
    expected = abs(sum(e.value for e in full.forces["poppet"] if e.part == "main spring"))
    assert Reader(full, {}).read("force of main spring on poppet").size == pytest.approx(expected)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("pressure of pump lin", "did you mean 'pump line'"),
        ("speed of pump", "no speed of 'pump'"),
        ("the answer", "says nothing"),
        ("pressure of pump line less speed of hoist cylinder", "adds a pressure and a velocity"),
        ("pressure of pump line times pressure of pump line", "makes no quantity"),
        ("drop over nothing", "no part 'nothing'"),
        ("force of pump on main part", "does not push"),
    ],
)
def test_words_that_say_nothing(state: State, words: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said):
        Reader(state, {}).read(words)


def test_where_a_part_stands(state: State) -> None:
    assert Reader(state, {}).status("main part") == "seated"
    with pytest.raises(QuantityError, match="no moving part"):
        Reader(state, {}).status("pump")
