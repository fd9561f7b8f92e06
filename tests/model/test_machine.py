"""Machines: words of the operating point, and the parameters they set."""

from __future__ import annotations

import pickle

import pytest

import oilway
from oilway.errors import InputError, Place

PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 20 cc/rev, engine speed: 1800 rpm}
    main relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: 2000 psi at 10 gpm}
    ram: {kind: cylinder, cap: line, rod: tank, bore: 80 mm, rod diameter: 45 mm, stroke: 500 mm}
    weight: {kind: load, on: ram, load force: 20 kN}
    """
SECOND = "second: {kind: valve, valve: pilot relief, P: line, T: tank, setting: 2200 psi at 10 gpm}\n"


@pytest.fixture
def bench(machine):
    """A pump, a relief and a loaded cylinder."""
    return machine(PARTS)


@pytest.fixture
def two_reliefs(machine):
    """The same with a second relief."""
    return machine(f"{PARTS.rstrip()}\n    {SECOND}")


def said(call) -> str:
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.exit_status == 2
    return str(caught.value)


@pytest.mark.parametrize(
    ("word", "target"),
    [
        ("load pressure", "weight.load pressure"),
        ("load force", "weight.load force"),
        ("engine speed", "pump.engine speed"),
        ("tank pressure", "tank.pressure"),
        ("turns", "main relief.main spring.turns"),
        ("stroke", "ram.position"),
        ("oil temperature", "oil temperature"),
        ("main relief.main spring.rate", "main relief.main spring.rate"),
        ("main spring.rate", "main relief.main spring.rate"),
        ("pump.engine speed", "pump.engine speed"),
        ("ram.stroke", "ram.position"),
    ],
)
def test_words_and_what_they_stand_for(bench, word: str, target: str) -> None:
    assert bench.resolve(word)[0] == target


@pytest.mark.parametrize(
    "word", ["load presure", "", ".", "pump.", ".flow", "ram.bor", "oil.mu", "main relief.turns"]
)
def test_an_unknown_word_is_told(bench, word: str) -> None:
    assert said(lambda: bench.resolve(word)).startswith(f"operating point: unknown word '{word}'")


def test_a_word_that_could_mean_several_parts_lists_them(two_reliefs) -> None:
    text = said(lambda: two_reliefs.resolve("turns"))
    assert "'turns' could mean several parts" in text
    assert "'main relief.main spring.turns', 'second.pilot spring.turns'" in text
    assert two_reliefs.resolve("second.pilot spring.turns")[1] == "turns"


def test_every_slip_of_a_point_is_told_with_its_place(bench) -> None:
    words = {"lode": "1", "load pressure": "3 gpm", "engine speed": "99999 rpm"}
    lines = said(lambda: bench.point_from(words, {"lode": Place("f", 7)})).splitlines()
    assert lines[0].startswith("f:7: unknown word 'lode'")
    assert lines[1].startswith("operating point: load pressure: '3 gpm' is a flow")
    assert lines[2].startswith("operating point: engine speed: 99999 rpm is outside the legal range")


def test_two_words_for_one_thing_are_refused(bench) -> None:
    for words in (
        {"load pressure": "1 bar", "load force": "1 N"},
        {"load pressure": "1 bar", "weight.load pressure": "2 bar"},
    ):
        assert "says again what 'load pressure' has said" in said(lambda words=words: bench.point_from(words))


def test_a_range_without_an_upper_end_can_be_left_too(bench) -> None:
    assert "not below" in said(lambda: bench.point_from({"ram.seal friction": "-5 N"}))


def test_theta_lays_the_point_over_the_file(bench) -> None:
    index = bench.system.parameters
    plain, laid = (
        bench.theta(),
        bench.theta(bench.point_from({"load pressure": "100 bar", "oil temperature": "80 C"})),
    )
    assert plain[index["weight.load force"]] == 20e3
    assert (laid[index["weight.load force"]], laid[index["weight.load pressure"]]) == (0.0, 1e7)
    assert laid[index["oil.mu"]] < plain[index["oil.mu"]]
    assert plain[index["pump.displacement"]] == laid[index["pump.displacement"]] == pytest.approx(20e-6)


def test_a_copy_with_other_values_leaves_the_first_alone(bench) -> None:
    other = bench.with_part("pump", {"engine speed": 10.0})
    assert other.parts["pump"].values["engine speed"] == 10.0
    assert bench.parts["pump"].values["engine speed"] == 30.0
    assert other.system is not bench.system
    other.notes.append("x")
    assert "x" not in bench.notes


def test_a_bare_copy_goes_to_another_process_and_is_the_same_machine(bench) -> None:
    assert bench.system.size
    there = pickle.loads(pickle.dumps(bench.bare()))
    assert there.system.parameters == bench.system.parameters
    assert (there.theta() == bench.theta()).all()


def test_a_machine_is_printed_short(bench) -> None:
    assert len(repr(bench)) < 60


def test_a_limit_is_no_word_of_an_operating_point() -> None:
    machine = oilway.load("direct relief")
    with pytest.raises(InputError, match="does not change while the machine works"):
        machine.point_from({"main spring.solid compression": "3 mm"})
