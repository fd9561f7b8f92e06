"""Where things can go wrong: roles found from how a valve is built, not from what its parts are called."""

from __future__ import annotations

import oilway
from oilway.study.sites import Site, sites, stages, valves

RENAMED = """
format: 1
valve: one of my own
acts as: relief
ports: {P: {chamber: high, role: inlet}, T: {chamber: low, role: outlet}}
adjuster: coil
rated flow: 10 gpm
parts:
  high: {kind: chamber}
  low: {kind: chamber}
  cone: {kind: moving part, mass: 50 g}
  front: {kind: face, on: cone, chamber: high, diameter: 8 mm, pushes: open}
  rear: {kind: face, on: cone, chamber: low, diameter: 8 mm, pushes: shut}
  coil: {kind: spring, on: cone, rate: 200 N/mm, pitch: 1 mm/turn, turns: 3 turns}
  ring: {kind: poppet seat, on: cone, from: high, to: low, diameter: 8 mm}
"""


def roles(found: list[Site], owner: str) -> dict[str, tuple[str, ...]]:
    return {s.role: s.parts or (s.chamber,) for s in found if s.owner == owner}


def test_a_two_stage_relief_is_told_by_its_build() -> None:
    machine = oilway.load("pilot relief")
    assert stages(machine, machine.mounted[0]).two
    found = roles(sites(machine), "two-stage relief")
    assert found["main part"] == ("main part",)
    assert found["pilot seat"] == ("pilot seat",)
    assert found["main orifice"] == ("main orifice",)
    assert found["vent"] == ("back chamber",)
    assert found["drain passage"] == ("drain passage",)


def test_names_play_no_part() -> None:
    machine = oilway.loads(RENAMED)
    found = roles(sites(machine), "one of my own")
    assert found == {"seat": ("ring",), "main part": ("cone",), "adjuster": ("coil",)}
    assert not stages(machine, machine.mounted[0]).two


def test_one_adjuster_is_one_valve_and_reliefs_of_a_crossover_are_two() -> None:
    assert [m.name for m in valves(oilway.load("port relief"))] == ["port relief with anti-cavitation check"]
    crossover = sites(oilway.load("crossover relief"))
    assert {s.owner for s in crossover if s.role == "adjuster"} == {"relief A", "relief B"}
    assert {s.acts_as for s in crossover if s.role == "adjuster"} == {"crossover relief"}
    assert {s.owner for s in crossover if s.role == "check"} == {"check A", "check B"}
