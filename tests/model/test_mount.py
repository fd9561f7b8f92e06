"""Valves mounted in machines: connections, options, changed internals, and valves within valves."""

from __future__ import annotations

import pytest

import oilway
from oilway.model.load import read_machine_text

RELIEF = "  relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: 2000 psi at 18 gpm}\n"
OWN = """\
format: 1
valve: needle
ports:
  P: {chamber: inlet, role: inlet}
  T: {chamber: outlet, role: outlet}
parts:
  inlet: {kind: chamber, volume: 3 cm3, rated pressure: 90 bar}
  outlet: {kind: chamber}
  needle: {kind: orifice, from: inlet, to: outlet, diameter: 1 mm}
"""


def test_its_parts_get_full_names_and_its_ports_become_the_chambers_outside(sound) -> None:
    machine = read_machine_text(sound + RELIEF)
    assert {"relief.poppet", "relief.main spring", "relief.spring chamber"} <= set(machine.parts)
    assert not {"relief.inlet", "relief.outlet"} & set(machine.parts)
    seat = machine.parts["relief.seat"]
    assert seat.nodes == {"from": "line", "to": "tank"}
    assert seat.values["on"] == "relief.poppet"
    assert machine.mounted[0].outside == {"inlet": "line", "outlet": "tank"}
    assert machine.mounted[0].adjuster == "relief.main spring"


def test_chambers_that_become_one_add_their_oil_and_keep_the_lower_rating(sound, tmp_path) -> None:
    (tmp_path / "needle.yaml").write_text(OWN, encoding="utf-8")
    spoiled = sound.replace("kind: chamber", "kind: chamber, volume: 5 cm3, rated pressure: 200 bar")
    machine = read_machine_text(
        spoiled + "  needle valve: {kind: valve, valve: needle.yaml, P: line, T: tank}\n", folder=tmp_path
    )
    assert machine.parts["line"].values["volume"] == pytest.approx(8e-6)
    assert machine.parts["line"].values["rated pressure"] == pytest.approx(90e5)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "direct relief",
            "direct releif",
            "relief: there is no valve 'direct releif' (did you mean 'direct relief'?)",
        ),
        ("direct relief", "mine.yaml", "relief: there is no valve 'mine.yaml'"),
        ("direct relief", "x" * 5000 + ".yaml", "relief: there is no valve 'xxx"),
        ("valve: direct relief, ", "", "relief: missing key 'valve'"),
        ("direct relief", "", "relief: 'valve' is empty"),
        ("P: line, ", "", "relief: port P (inlet) is not connected (add 'P: chamber')"),
        ("P: line", "P: ", "relief: port P (inlet) is not connected"),
        ("P: line", "P: lin", "relief: port P: there is no chamber 'lin' (did you mean 'line'?)"),
        ("P: line", "P: [line]", "relief: 'P' takes one value"),
        ("T: tank", "R: tank", "relief: unknown key 'R'"),
        ("T: tank", "T: tank, drian: external", "relief: unknown key 'drian' (did you mean 'drain'?)"),
        (
            "T: tank",
            "T: tank, drain: extern",
            "option drain: there is no choice 'extern' (did you mean 'external'?)",
        ),
        ("T: tank", "T: tank, drain: {a: b}", "relief: 'drain' takes one value"),
        ("T: tank", "T: tank, drain: external", "relief: port Y (drain) is not connected"),
        ("T: tank", "T: tank, Y: tank", "relief: unknown key 'Y'"),
        ("2000 psi at 18 gpm", "2000 psi", "relief: setting '2000 psi' does not say at which flow"),
        ("2000 psi at 18 gpm", "{a: b}", "relief: 'setting' takes one value"),
        (
            "T: tank",
            "T: tank, with: {popet.mass: 1 g}",
            "relief: with: there is no part 'popet' (did you mean 'poppet'?)",
        ),
        ("T: tank", "T: tank, with: {poppet.mas: 1 g}", "poppet: unknown key 'mas' (did you mean 'mass'?)"),
        ("T: tank", "T: tank, with: {poppet.mass: 1 mm}", "poppet: mass: '1 mm' is a length; a mass is wanted"),
        ("T: tank", "T: tank, with: {poppet: 1 mm}", "relief: with: 'poppet' names a part but none of its keys"),
        ("T: tank", "T: tank, with: 1 mm", "relief: 'with' takes keys of its own"),
    ],
)
def test_a_slip_in_mounting_is_told_with_its_line(sound, refused, old: str, new: str, said: str) -> None:
    problems = refused(sound + RELIEF.replace(old, new))
    assert any(problem.startswith(f"m.yaml:8: {said}") for problem in problems), problems


def test_a_connected_port_wins_over_being_plugged(sound) -> None:
    plugged = sound + RELIEF.replace("direct", "pilot")
    assert "relief.back chamber" in read_machine_text(plugged).parts
    vented = read_machine_text(plugged.replace("T: tank", "T: tank, X: tank"))
    assert "relief.back chamber" not in vented.parts
    assert vented.parts["relief.main orifice"].nodes["to"] == "tank"


def test_changed_internals_take_the_place_of_the_file(sound) -> None:
    machine = read_machine_text(sound + RELIEF.replace("T: tank", "T: tank, with: {poppet.mass: 1 g}"))
    assert machine.parts["relief.poppet"].values["mass"] == pytest.approx(1e-3)
    untouched = read_machine_text(sound + RELIEF)
    assert untouched.parts["relief.poppet"].values["mass"] == pytest.approx(70e-3)


def test_changes_from_outside_name_a_part_and_a_key(sound, refused) -> None:
    text = sound + RELIEF
    machine = read_machine_text(text, changes={"hole.diameter": "5 mm", "relief.valve": "pilot relief"})
    assert machine.parts["hole"].values["diameter"] == pytest.approx(5e-3)
    assert "relief.pilot spring" in machine.parts
    for change, said in {
        "hol.diameter": "change: change: there is no part 'hol' (did you mean 'hole'?)",
        "hole.diamter": "change: hole: unknown key 'diamter' (did you mean 'diameter'?)",
        "titel": "change: machine file: unknown key 'titel'",
    }.items():
        assert any(p.startswith(said) for p in refused(text, changes={change: "5 mm"}))


def test_a_change_reaches_into_a_mounted_valve_as_with_does(sound) -> None:
    """The setting is solved anew, on a stand that has the changed part too."""
    changes = {"relief.poppet.dry friction": "9 N", "relief.seat.diameter": "9 mm"}
    written = "T: tank, with: {poppet.dry friction: 9 N, seat.diameter: 9 mm}"
    changed, by_file, plain = (
        {name: part.values for name, part in oilway.loads(text, changes=laid).parts.items()}
        for text, laid in (
            (sound + RELIEF, changes),
            (sound + RELIEF.replace("T: tank", written), None),
            (sound + RELIEF, None),
        )
    )
    assert changed == by_file
    assert changed["relief.seat"]["diameter"] == pytest.approx(9e-3)
    assert changed["relief.main spring"]["turns"] != plain["relief.main spring"]["turns"]


def test_a_change_stands_above_what_the_file_says_under_with(sound) -> None:
    text = sound + RELIEF.replace("T: tank", "T: tank, with: {poppet.mass: 1 g, seat.worn gap: 2 um}")
    machine = read_machine_text(text, changes={"relief.poppet.mass": "2 g"})
    assert machine.parts["relief.poppet"].values["mass"] == pytest.approx(2e-3)
    assert machine.parts["relief.seat"].values["worn gap"] == pytest.approx(2e-6)


def test_a_change_reaches_a_valve_inside_a_valve(sound) -> None:
    text = sound + "  port: {kind: valve, valve: port relief, A: line, T: tank}\n"
    machine = read_machine_text(text, changes={"port.relief.poppet.mass": "2 g"})
    assert machine.parts["port.relief.poppet"].values["mass"] == pytest.approx(2e-3)


def test_a_wrong_word_of_a_deep_change_is_told_with_the_closest(sound, refused) -> None:
    for change, said in {
        "releif.poppet.mass": "change: change: there is no part 'releif' (did you mean 'relief'?)",
        "relief.popet.mass": "change: relief: with: there is no part 'popet' (did you mean 'poppet'?)",
        "relief.poppet.mas": "change: poppet: unknown key 'mas' (did you mean 'mass'?)",
        "hole.of.diameter": "change: hole: unknown key 'of.diameter' (did you mean 'diameter'?)",
        "hole.": "change: change: 'hole.' names a part but none of its keys (write 'hole.key')",
    }.items():
        problems = refused(sound + RELIEF, changes={change: "5 g"})
        assert any(p.startswith(said) for p in problems), problems


def test_a_valve_inside_a_valve_is_flat_in_the_end(sound, tmp_path) -> None:
    (tmp_path / "needle.yaml").write_text(OWN, encoding="utf-8")
    outer = OWN.replace("needle: {kind: orifice, from: inlet, to: outlet, diameter: 1 mm}", "inner: INNER")
    (tmp_path / "block.yaml").write_text(
        outer.replace("INNER", "{kind: valve, valve: needle.yaml, P: inlet, T: outlet}"), encoding="utf-8"
    )
    machine = read_machine_text(
        sound + "  block: {kind: valve, valve: block.yaml, P: line, T: tank}\n", folder=tmp_path
    )
    assert machine.parts["block.inner.needle"].nodes == {"from": "line", "to": "tank"}


def test_a_valve_cannot_contain_itself(sound, refused, tmp_path) -> None:
    again = OWN + "  again: {kind: valve, valve: needle.yaml, P: inlet, T: outlet}\n"
    (tmp_path / "needle.yaml").write_text(again, encoding="utf-8")
    said = "needle.yaml:10: again: valve 'needle.yaml': a valve cannot contain itself"
    assert refused(sound + "  n: {kind: valve, valve: needle.yaml, P: line, T: tank}\n", tmp_path) == [said]
    assert refused(again, tmp_path) == [said]


def test_two_ports_into_one_chamber_go_to_one_chamber_outside(sound, refused, tmp_path) -> None:
    (tmp_path / "needle.yaml").write_text(
        OWN.replace("ports:\n", "ports:\n  G: {chamber: inlet, role: vent, unconnected: plugged}\n"),
        encoding="utf-8",
    )
    mounted = "  n: {kind: valve, valve: needle.yaml, P: line, T: tank, G: WHERE}\n"
    assert read_machine_text(sound + mounted.replace("WHERE", "line"), folder=tmp_path).parts["n.needle"]
    (problem,) = refused(sound + mounted.replace("WHERE", "tank"), tmp_path)
    assert problem.startswith("m.yaml:8: n: port P opens into the same chamber as another port of this valve")


@pytest.mark.parametrize("name", ["a.b", '""', "a."])
def test_a_name_is_not_empty_and_has_no_full_stop(sound, refused, name: str) -> None:
    (problem,) = refused(f"{sound}  {name}: {{kind: tank}}\n")
    assert problem.startswith("m.yaml:8: part '")
    assert "has no full stop in it" in problem


def test_it_knows_its_parts_and_its_open_ports(sound) -> None:
    mounts = (
        "  relief: {kind: valve, valve: pilot relief, P: line, T: tank}\n"
        "  vented: {kind: valve, valve: pilot relief, P: line, T: tank, X: vent}\n  vent: {kind: chamber}\n"
    )
    relief, vented = read_machine_text(sound + mounts).mounted
    assert relief.holds("relief.pilot poppet")
    assert not relief.holds("vented.pilot poppet")
    assert not relief.holds("line")
    assert [p.name for p in relief.connected()] == ["P", "T"], "the vent is plugged"
    assert [p.name for p in vented.connected()] == ["P", "T", "X"]
