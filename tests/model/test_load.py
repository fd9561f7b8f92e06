"""From a file to a machine."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.errors import InputError, Place
from oilway.model.load import LOAD, PUMP, STAND_LINE, read_machine, read_machine_text, stand
from oilway.model.tree import read_text
from oilway.model.valve import read_valve
from oilway.quantity import GALLON, MINUTE, PSI

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda p: p.stem)
def test_every_example_reads(path: Path) -> None:
    machine = read_machine(path)
    assert machine.title
    assert machine.system.size > 0


@pytest.mark.parametrize("name", ["direct relief", "Direct_Relief", " pilot relief ", "lever valve"])
def test_a_shipped_valve_is_found_by_its_name(name: str) -> None:
    machine = read_machine(Path(name))
    assert machine.mounted[0].prefix == ""


def test_a_missing_file_is_told_with_what_there_is(tmp_path: Path) -> None:
    for name, said in {
        "direct releif": "no such file, and no shipped valve of that name (did you mean 'direct relief'?)",
        "whatever": "shipped valves: ",
        "hoist.yaml": "no such file",
        "a" * 5000: "no such file",
    }.items():
        with pytest.raises(InputError) as caught:
            read_machine(Path(name))
        assert said in str(caught.value)
        assert caught.value.exit_status == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("format: 1\n", "m.yaml:1: machine file: missing key 'machine'"),
        ("machine: x\n", "m.yaml:1: file: missing key 'format'"),
        ("format: 1.0\nmachine: x\n", "m.yaml:1: format 1.0 is not known to this Oilway"),
        ("format: 1\nmachine: x\nparts:\n", "m.yaml:3: machine file: it has no parts"),
        ("format: 1\nmachine: x\nparts: a\n", "m.yaml:3: machine file: 'parts' takes keys of its own"),
        ("format: 1\nmachine: x\noil: thick\n", "m.yaml:3: machine file: 'oil' takes keys of its own"),
        ("format: 1\nmachine: x\nvalve: y\n", "m.yaml:3: machine file: unknown key 'valve'"),
        (
            "format: 1\nmachine: x\npart: {}\n",
            "m.yaml:3: machine file: unknown key 'part' (did you mean 'parts'?)",
        ),
    ],
)
def test_a_frame_that_is_no_machine(refused, text: str, said: str) -> None:
    assert any(problem.startswith(said) for problem in refused(text))


def test_two_parts_of_one_name(sound, refused) -> None:
    assert refused(sound + "  hole: {kind: tank}\n") == ["m.yaml:8: 'hole' stands here twice (first on line 7)"]


@pytest.mark.parametrize(
    ("point", "said"),
    [
        ("{pump flw: 3 gpm}", "unknown word 'pump flw' in the operating point (did you mean 'pump flow'?)"),
        ("{pump flow: 3 psi}", "pump flow: '3 psi' is a pressure; a flow is wanted, for example '25 gpm'"),
        ("{pump flow: -3 gpm}", "pump flow: -3.00 gpm is outside the legal range of pump.flow (from 0.00 gpm to"),
        ("{pump flow: }", "operating point: 'pump flow' is empty"),
        ("{pump flow: [1]}", "operating point: 'pump flow' takes one value"),
        ("{oil temperature: 900 F}", "oil temperature: an oil temperature of 482.222 °C lies outside"),
        ("3 gpm", "machine file: 'operating point' takes keys of its own"),
    ],
)
def test_a_slip_in_the_operating_point(sound, refused, point: str, said: str) -> None:
    (problem,) = refused(f"{sound}operating point: {point}\n")
    assert problem.startswith(f"m.yaml:8: {said}")


@pytest.mark.parametrize(
    ("trapped", "said"),
    [
        ("{lin: 3 psi}", "trapped: unknown key 'lin' (did you mean 'line'?)"),
        ("{tank: 3 psi}", "trapped: unknown key 'tank'"),
        ("{line: 3 gpm}", "trapped: line: pressure: '3 gpm' is a flow"),
        ("{line: 3e9 psi}", "trapped: line: pressure 3e9 psi is outside its legal range"),
        ("{line: {a: b}}", "trapped: 'line' takes one pressure"),
    ],
)
def test_a_slip_in_what_is_trapped(sound, refused, trapped: str, said: str) -> None:
    (problem,) = refused(f"{sound}trapped: {trapped}\n")
    assert problem.startswith(f"m.yaml:8: {said}")


def test_valves_named_by_path_are_looked_for_beside_the_file(sound, direct, tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text(direct, encoding="utf-8")
    path = tmp_path / "bench.yaml"
    path.write_text(sound + "  relief: {kind: valve, valve: mine.yaml, P: line, T: tank}\n", encoding="utf-8")
    assert "relief.poppet" in read_machine(path).parts


# -- the stand ---------------------------------------------------------------------------------------------
def test_the_stand_feeds_the_inlet_and_takes_the_oil_of_the_outlet(direct) -> None:
    machine = stand(read_valve(Path("direct.yaml"), read_text(direct)))
    assert machine.parts[PUMP].nodes == {"inlet": "outlet", "outlet": "inlet"}
    assert machine.parts[PUMP].values["flow"] == pytest.approx(18 * GALLON / MINUTE)
    assert machine.parts[LOAD].nodes == {"from": "inlet", "to": "outlet"}
    assert machine.parts["outlet"].kind == "tank"
    assert machine.parts["inlet"].values["volume"] == pytest.approx(20e-6 + STAND_LINE)


def test_the_stand_needs_an_inlet_and_an_outlet(direct, refused) -> None:
    (problem,) = refused(direct.replace("role: outlet}", "role: drain}"))
    assert "no port has the role 'outlet'" in problem


def test_the_parts_of_the_stand_keep_their_names(direct, refused, line_of) -> None:
    spoiled = direct.replace(
        "  guide:", "  test pump: {kind: orifice, from: inlet, to: outlet, diameter: 1 mm}\n  guide:"
    )
    (problem,) = refused(spoiled)
    where = Place("m.yaml", line_of(spoiled, "test pump"))
    assert problem == f"{where}: the test stand has a part 'test pump' of its own (rename yours)"


def test_a_valve_without_a_rated_flow_gets_a_usual_one(direct) -> None:
    plain = direct.replace("rated flow: 18 gpm\n", "").replace(
        "setting: cracks 1900 psi, 2300 psi at 18 gpm\n", ""
    )
    machine = read_machine_text(plain)
    assert machine.parts[PUMP].values["flow"] == pytest.approx(15 * GALLON / MINUTE)


def test_a_rated_flow_that_is_none_is_told(direct, refused) -> None:
    plain = direct.replace("rated flow: 18 gpm\n", "rated flow: 18 psi\n")
    plain = plain.replace("setting: cracks 1900 psi, 2300 psi at 18 gpm\n", "")
    assert "rated flow: '18 psi' is a pressure" in refused(plain)[0]


# -- what moves into a chamber -------------------------------------------------------------------------------
def test_a_chamber_that_its_part_would_more_than_fill_is_told(direct, refused, line_of) -> None:
    """11 mm x 3 mm of travel are 0.285 cm3: a spring chamber of 0.25 cm3 would hold less than nothing."""
    spoiled = direct.replace("volume: 12 cm3", "volume: 0.25 cm3")
    (problem,) = refused(spoiled)
    assert problem.startswith(f"m.yaml:{line_of(spoiled, 'volume: 0.25 cm3')}: spring chamber: its volume")
    assert "0.285 cm3" in problem
    read_machine_text(direct.replace("volume: 12 cm3", "volume: 0.29 cm3"))


# -- changes to a lone valve file ----------------------------------------------------------------------------
def test_a_change_reaches_the_stand_of_a_lone_valve() -> None:
    machine = read_machine(Path("reducing"), {"main line.pressure": "1500 psi"})
    assert machine.parts["main line"].values["pressure"] == pytest.approx(1500 * PSI)


def test_a_change_reaches_the_valve_inside_a_lone_valve() -> None:
    machine = read_machine(Path("port relief"), {"relief.poppet.mass": "2 g"})
    assert machine.parts["relief.poppet"].values["mass"] == pytest.approx(2e-3)


def test_a_change_reaches_the_parts_of_the_choice_taken_and_no_others() -> None:
    change = {"relieving edge.width": "3 mm"}
    machine = read_machine(Path("reducing"), {**change, "outlet": "relieving"})
    assert machine.parts["relieving edge"].values["width"] == pytest.approx(3e-3)
    with pytest.raises(InputError, match="there is no part 'relieving edge'"):
        read_machine(Path("reducing"), change)


def test_a_wrong_word_for_a_part_of_the_stand_is_told_with_the_closest() -> None:
    with pytest.raises(InputError, match=r"there is no part 'main lin' \(did you mean 'main line'\?\)"):
        read_machine(Path("reducing"), {"main lin.pressure": "1500 psi"})
    with pytest.raises(InputError, match=r"main line: unknown key 'presure' \(did you mean 'pressure'\?\)"):
        read_machine(Path("reducing"), {"main line.presure": "1500 psi"})
