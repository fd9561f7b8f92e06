"""Valve files: the frame around the parts."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilway.errors import InputError, Place
from oilway.model.catalogue import shipped_valves
from oilway.model.tree import Problems, Text, read_text
from oilway.model.valve import ACTS, read_valve


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("format: 1", "format: 2", "format 2 is not known to this Oilway (this one reads format 1)"),
        ("adjuster:", "ajuster:", "valve file: unknown key 'ajuster' (did you mean 'adjuster'?)"),
        (
            "adjuster: main spring",
            "adjuster: main sprng",
            "adjuster 'main sprng' is no spring of this valve (did you mean",
        ),
        ("adjuster: main spring", "adjuster: poppet", "adjuster 'poppet' is no spring of this valve"),
        ("main spring.rate", "main sprng.rate", "'main sprng.rate' is no spring with a rate in this valve"),
        ("main spring.rate", "main spring.pitch", "'main spring.pitch' is no spring with a rate in this valve"),
        ("rated flow: 18 gpm", "rated flow: [18 gpm]", "valve file: 'rated flow' takes one value"),
        ("chamber: inlet, role", "chambr: inlet, role", "port P: unknown key 'chambr' (did you mean 'chamber'?)"),
        ("role: inlet", "role: inlt", "port P: there is no role 'inlt' (did you mean 'inlet'?)"),
        ("{chamber: inlet, role: inlet}", "inlet", "port P: takes keys of its own: chamber, role"),
        (
            "chamber: outlet, role",
            "chamber: outlt, role",
            "a port names the chamber 'outlt', which the valve does not have",
        ),
        (
            "chamber: outlet, role",
            "chamber: poppet, role",
            "a port names the chamber 'poppet', which the valve does not have",
        ),
        ("acts as: relief", "acts as: relef", "valve file: there is no valve that acts as 'relef' (did you mean"),
        ("acts as: relief", "acts as: [relief]", "valve file: 'acts as' takes one value"),
        ("role: outlet}", "role: outlet, unconnected: open}", "port T: there is no way 'open'"),
        (
            "default: internal",
            "default: internl",
            "option drain: there is no choice 'internl' (did you mean 'internal'?)",
        ),
        ("default: internal", "defalt: internal", "option drain: unknown key 'defalt' (did you mean 'default'?)"),
        ("      external:\n        ports:", "      external:\n        prts:", "option drain"),
        ("when: {poppet: seated}", "wen: {poppet: seated}", "states: unknown key 'wen' (did you mean 'when'?)"),
        (
            "when: {poppet: seated}",
            "when: {popet: seated}",
            "states: 'popet' is no moving part of this valve (did you mean",
        ),
        ("when: {poppet: seated}", "when: {inlet: seated}", "states: 'inlet' is no moving part of this valve"),
        (
            "when: {poppet: seated}",
            "when: {poppet: shut}",
            "states: there is no state 'shut' (known here: seated, open, at its stop)",
        ),
        ("when: {poppet: seated}", "when: poppet", "states: 'when' takes keys of its own"),
    ],
)
def test_a_slip_in_the_frame_is_told_with_its_line(
    direct, refused, line_of, old: str, new: str, said: str
) -> None:
    assert old in direct
    chosen = None
    if "prts" in new:  # seen when this choice is taken
        new = new.replace("prts", "prts: {}\n        ports")
        direct, said = (
            direct.replace("default: internal", "default: external"),
            "option drain: external: unknown key 'prts'",
        )
    spoiled = direct.replace(old, new, 1)
    problems = refused(spoiled, changes=chosen)
    where = f"m.yaml:{line_of(spoiled, new.lstrip())}"
    close = [p for p in problems if said in p]
    assert close, problems
    if "names the chamber" not in said and "prts" not in new:
        assert close[0].startswith(where), (close, where)


def test_an_option_may_not_describe_a_part_again(direct, refused) -> None:
    spoiled = direct.replace(
        "drain passage: {kind: orifice, from: spring chamber, to: outlet",
        "guide: {kind: orifice, from: spring chamber, to: outlet",
    )
    assert any("option drain: there is a part 'guide' already" in p for p in refused(spoiled))


TINY = "format: 1\nvalve: x\nports: {P: {chamber: a, role: inlet}}\nparts: {a: {kind: chamber}}\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("format: 1\nvalve: x\n", ["it describes no parts", "it has no ports"]),
        (TINY.replace("valve: x", "valve: "), ["'valve' is empty"]),
        (TINY.replace("format: 1\n", ""), ["missing key 'format'"]),
        (TINY + "states: {}\n", ["takes a list"]),
        (TINY + "states: [a]\n", ["each has 'when' and 'say'"]),
    ],
)
def test_a_frame_that_is_no_valve(text: str, said: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        read_valve(Path("v.yaml"), read_text(text, "v.yaml"))
    problems = [str(p) for p in caught.value.problems]
    assert all(p.startswith("v.yaml:") for p in problems)
    for words in said:
        assert any(words in p for p in problems), problems


def test_without_a_setting_or_adjuster_it_takes_none(direct, refused) -> None:
    plain = direct.replace("adjuster: main spring\n", "").replace("cracking solves: main spring.rate\n", "")
    assert any("it takes no setting, its file names no adjuster" in p for p in refused(plain))


def test_a_choice_adds_its_parts_and_ports(direct) -> None:
    valve = read_valve(Path("direct.yaml"), read_text(direct))
    problems = Problems()
    external = valve.with_options({"drain": Text("external", Place())}, problems)
    internal = valve.with_options({}, problems)
    assert problems.found == []
    assert (set(external.ports), set(internal.ports)) == ({"P", "T", "Y"}, {"P", "T"})
    assert "drain" in external.parts.items
    assert "drain" not in internal.parts.items
    assert internal.chosen == {"drain": "internal"}
    assert "drain passage" not in valve.parts.items  # the valve itself is left as it was


@pytest.mark.parametrize("path", shipped_valves().values(), ids=lambda path: path.stem)
def test_every_shipped_valve_says_what_it_acts_as(path: Path) -> None:
    assert read_valve(path).acts_as in ACTS


def test_a_file_need_not_say_what_its_valve_acts_as(direct) -> None:
    assert direct.replace("acts as: relief\n", "") != direct
    assert read_valve(Path("v.yaml"), read_text(direct.replace("acts as: relief\n", ""), "v")).acts_as == ""
