"""The test circuit that a valve file brings along: mounted, joined, set on it, refused where it does not fit."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.model.bench import read_bench
from oilway.model.load import PUMP, read_machine_text, stand
from oilway.model.tree import Problems, Text, read_text
from oilway.model.valve import read_valve
from oilway.quantity import GALLON, MINUTE, PSI
from oilway.solve.point import solve_point
from oilway.study.explain import point_name, point_words

GPM = GALLON / MINUTE
CIRCUIT = """
stand:
  parts:
    sump: {kind: tank, pressure: 20 psi}
    supply line: {kind: chamber, volume: 2 L}
    supply: {kind: test pump, inlet: sump, outlet: supply line, flow: 9 gpm}
    load: {kind: test load, from: supply line, to: sump, load pressure: 1000 psi}
  joins: {P: supply line, T: sump, Y: sump}
  set by: {pressure in: supply line, flow of: supply.flow, at: {load pressure: 10000 psi}}
  points:
    at work: {load pressure: 1000 psi}
    blocked: {load pressure: 10000 psi, supply.flow: 6 gpm}
"""


@pytest.fixture
def own(direct: str) -> str:
    """The shipped direct relief with a test circuit of its own; set to 2300 psi at 18 gpm."""
    return direct + CIRCUIT


def test_its_parts_and_the_valves_are_one_circuit(own: str) -> None:
    machine = read_machine_text(own)
    assert PUMP not in machine.parts
    assert machine.parts["seat"].nodes == {"from": "supply line", "to": "sump"}
    assert machine.parts["supply line"].values["volume"] == pytest.approx(2e-3 + 20e-6)  # with the valve's inlet
    assert "inlet" not in machine.parts
    assert machine.parts["sump"].kind == "tank"


def test_the_points_are_read_in_their_order(own: str) -> None:
    machine = read_machine_text(own)
    assert machine.points == {
        "at work": {"load.load pressure": pytest.approx(1000 * PSI)},
        "blocked": {"load.load pressure": pytest.approx(10000 * PSI), "supply.flow": pytest.approx(6 * GPM)},
    }


def test_explain_takes_the_points_and_says_their_names(own: str) -> None:
    machine = oilway.loads(own)
    explained = oilway.explain(machine)
    assert [e.state.statuses["poppet"].word for e in explained] == ["seated", "open"]
    point = explained[0].state.point
    assert (point_name(machine, point), point_words(machine, point)) == ("at work", "load pressure 1000 psi")
    assert point_name(machine, {}) == ""


def test_a_setting_is_made_on_it(own: str) -> None:
    machine = oilway.loads(own, changes={"setting": "2000 psi at 7 gpm"})
    state = solve_point(machine, {"load.load pressure": 10000 * PSI, "supply.flow": 7 * GPM})
    # read on this stand, so the 20 psi in the sump are part of the 2000
    assert state.pressures["supply line"] == pytest.approx(2000 * PSI, abs=PSI)


def test_without_set_by_a_setting_is_made_on_the_plain_stand(own: str) -> None:
    line = next(line for line in own.splitlines() if line.lstrip().startswith("set by"))
    machine = oilway.loads(own.replace(line + "\n", ""), changes={"setting": "2000 psi at 7 gpm"})
    state = solve_point(machine, {"load.load pressure": 10000 * PSI, "supply.flow": 7 * GPM})
    assert state.pressures["supply line"] == pytest.approx(2020 * PSI, abs=PSI)


def test_joins_made_for_the_setting_are_for_the_setting_alone(own: str) -> None:
    other = own.replace("flow of: supply.flow,", "flow of: supply.flow, joins: {T: drip},").replace(
        "    sump: {kind: tank, pressure: 20 psi}\n",
        "    sump: {kind: tank, pressure: 20 psi}\n    drip: {kind: tank}\n",
    )
    valve = read_valve(Path("direct.yaml"), read_text(other))
    assert stand(valve).parts["seat"].nodes["to"] == "sump"
    assert stand(valve, to_set=True).parts["seat"].nodes["to"] == "drip"


def test_a_port_of_a_choice_is_joined_only_with_that_choice(own: str) -> None:
    assert read_machine_text(own).parts["drain passage"].nodes["to"] == "sump"  # by way of the outlet
    machine = read_machine_text(own, changes={"drain": "external"})
    assert machine.mounted[0].valve.chosen == {"drain": "external"}
    assert machine.mounted[0].outside["drain"] == "sump"


def test_in_a_machine_the_circuit_is_left_out(own: str, sound: str, tmp_path: Path) -> None:
    (tmp_path / "mine.yaml").write_text(own, encoding="utf-8")
    machine = read_machine_text(
        sound + "  relief: {kind: valve, valve: mine.yaml, P: line, T: tank}\n", "m.yaml", tmp_path
    )
    assert not [name for name in machine.parts if "supply" in name or "sump" in name]
    assert machine.points == {}


@pytest.mark.parametrize(
    ("old", "new", "at", "said"),
    [
        ("  joins:", "  join:", "  join:", "stand: unknown key 'join' (did you mean 'joins'?)"),
        ("{P: supply line,", "{Q: supply line,", "{Q:", "stand: joins: unknown key 'Q'"),
        ("{P: supply line,", "{P: suply line,", "{P:", "stand: port P: there is no chamber 'suply line'"),
        ("{P: supply line,", "{P: [a],", "{P:", "stand: joins: 'P' takes one value"),
        ("T: sump, Y", "Y", "  parts:\n    sump", "stand: port T (outlet) is not joined (add 'T: chamber'"),
        (
            "    supply:",
            "    poppet:",
            "    poppet: {kind: test",
            "stand: the valve has a part 'poppet' of its own",
        ),
        ("flow: 9 gpm}", "flow: 9 psi}", "flow: 9 psi", "supply: flow: '9 psi' is a pressure"),
        ("{load pressure: 1000 psi}", "{lod pressure: 1 psi}", "at work", "unknown word 'lod pressure'"),
        ("{load pressure: 1000 psi}", "1000 psi", "at work", "stand: points: 'at work' takes keys of its own"),
        ("pressure in: supply line", "pressure in: sump", "set by", "set by: there is no chamber 'sump' whose"),
        (
            "flow of: supply.flow",
            "flow of: suply.flow",
            "set by",
            "set by: there is no 'suply.flow' on this stand",
        ),
        ("flow of: supply.flow, ", "", "set by", "set by: missing key 'flow of'"),
        ("at: {load pressure: 10000 psi}", "at: {load pressure: 3 gpm}", "set by", "load pressure: '3 gpm' is a"),
    ],
)
def test_a_slip_in_the_circuit_is_told_with_its_line(
    own: str, refused, line_of, old: str, new: str, at: str, said: str
) -> None:
    assert own.count(old) == 1
    spoiled = own.replace(old, new)
    problem = next(text for text in refused(spoiled) if said in text)
    assert problem.startswith(f"m.yaml:{line_of(spoiled, at)}: ")


def test_a_stand_of_nothing_is_refused(direct: str, refused) -> None:
    assert any("stand: it has no parts" in text for text in refused(direct + "stand: {points: {}}\n"))


def test_what_is_read_keeps_its_place(own: str) -> None:
    problems = Problems()
    bench = read_bench(read_valve(Path("direct.yaml"), read_text(own, "direct.yaml")), problems)
    assert problems.found == []
    assert bench.joins["T"] == Text("sump", bench.joins["T"].where)
    assert own.splitlines()[bench.joins["T"].where.line - 1].startswith("  joins:")


def test_the_face_of_the_setting_is_a_face(own: str, refused, line_of) -> None:
    spoiled = own + "setting acts on: inlet fase\n"
    (problem,) = refused(spoiled)
    assert problem.startswith(f"m.yaml:{line_of(spoiled, 'setting acts on')}: ")
    assert "'inlet fase' is no face of this valve (did you mean 'inlet face'?)" in problem
