"""What every shipped valve keeps to, found by scanning the folder: a new file is held to it by being there."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product

import pytest

from oilway.errors import Place
from oilway.model.catalogue import shipped_valves
from oilway.model.load import LOAD, PUMP, stand
from oilway.model.machine import Machine
from oilway.model.setting import Setting, read_setting
from oilway.model.tree import Block, Problems, Text
from oilway.model.valve import STATE_WORDS, Valve, read_valve
from oilway.quantity import PSI
from oilway.solve.point import solve_point
from oilway.solve.result import State
from oilway.solve.stability import stability
from oilway.study.explain import words
from oilway.study.setting import settle

VALVES = shipped_valves()
HERE = Place("test")


def read(name: str) -> Valve:
    return read_valve(VALVES[name])


def choices_of(name: str) -> list[dict[str, str]]:
    """Every combination of the choices of a valve's options."""
    options = {
        option: list(block.items["choices"].items)  # type: ignore[union-attr]
        for option, block in read(name).options.items.items()
        if isinstance(block, Block)
    }
    return [dict(zip(options, picked, strict=True)) for picked in product(*options.values())]


VARIANTS = [(name, chosen) for name in VALVES for chosen in choices_of(name)]
SETTABLE = [(name, chosen) for name, chosen in VARIANTS if read(name).setting]
PLAIN = [(name, chosen) for name, chosen in SETTABLE if not read(name).stand.items]


def label(variant: tuple[str, dict[str, str]]) -> str:
    return ", ".join([variant[0], *variant[1].values()])


@cache
def settled(name: str, chosen: tuple[tuple[str, str], ...], to_set: bool = False) -> Machine:
    options = {option: Text(choice, HERE) for option, choice in chosen}
    return settle(stand(read(name), options=options, to_set=to_set))


each_variant = pytest.mark.parametrize(("name", "chosen"), VARIANTS, ids=map(label, VARIANTS))
each_settable = pytest.mark.parametrize(("name", "chosen"), SETTABLE, ids=map(label, SETTABLE))
each_plain = pytest.mark.parametrize(("name", "chosen"), PLAIN, ids=map(label, PLAIN))


def on_stand(name: str, chosen: dict[str, str], to_set: bool = False) -> Machine:
    """The valve with its own setting: on the stand it is shown on, or on the one on which it is set."""
    return settled(name, tuple(chosen.items()), to_set)


def test_the_two_valves_of_every_lesson_are_there() -> None:
    assert {"direct relief", "pilot relief"} <= set(VALVES)


@pytest.mark.parametrize("name", VALVES)
def test_its_file_explains_itself(name: str) -> None:
    text = VALVES[name].read_text(encoding="utf-8")
    assert text.startswith("# ")
    assert text.count("#") >= 5


@each_variant
def test_it_reads_with_every_choice(name: str, chosen: dict[str, str]) -> None:
    problems = Problems()
    valve = read(name).with_options({k: Text(v, HERE) for k, v in chosen.items()}, problems)
    assert problems.found == []
    assert valve.chosen == chosen
    for port in valve.ports.values():
        assert port.chamber in valve.parts.items


@each_variant
def test_it_rests_on_the_stand(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen)
    points = list(machine.points.values())
    assert points or not read(name).stand.items, "name the points of your stand"
    for state in [solve_point(machine, point) for point in points or [{}]]:
        assert any(state.pressures.values())
        assert state.findings == []
        assert state.isolated == []


@each_variant
def test_it_stays_where_it_rests(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen)
    for point in list(machine.points.values()) or [{}]:
        state = solve_point(machine, point)
        assert stability(machine.system, state.z, state.th).stable, point


@each_settable
def test_its_adjuster_is_a_spring_that_turns(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen)
    spring = machine.parts[machine.mounted[0].adjuster]
    assert spring.kind == "spring"
    assert float(spring.values["pitch"] or 0) > 0
    assert 0 < float(spring.values["turns"] or 0) <= float(spring.values["most turns"] or 0) < 100


@each_settable
def test_its_own_setting_is_met_within_a_psi(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen, to_set=True)
    setting = machine.mounted[0].setting
    assert setting is not None
    assert inlet_pressure(machine, setting.flow) == pytest.approx(setting.pressure, abs=PSI)
    if setting.cracking is not None:
        assert inlet_pressure(machine, setting.cracked_flow) == pytest.approx(setting.cracking, abs=PSI)


def inlet_pressure(machine: Machine, flow: float) -> float:
    """What its setting speaks of: the inlet of a relief, the outlet of a reducing valve ..."""
    chamber, parameter = machine.set_by
    return solve_point(machine, {parameter: flow}).pressures[chamber]


@each_settable
@pytest.mark.parametrize(("share", "flows"), [(0.8, 1.0), (1.15, 1.5)])
def test_a_setting_near_its_own_is_met_within_a_psi(name: str, chosen: dict[str, str], share, flows) -> None:
    own = on_stand(name, chosen).mounted[0].setting
    assert own is not None
    wanted = Setting(share * own.pressure, flows * own.flow)
    options = {option: Text(choice, HERE) for option, choice in chosen.items()}
    machine = settle(stand(read(name), wanted, options=options, to_set=True))
    assert inlet_pressure(machine, wanted.flow) == pytest.approx(wanted.pressure, abs=PSI)


@each_plain
@pytest.mark.parametrize("setting", ["1500 psi at 10 gpm", "set 150 bar at 60 L/min"])
def test_another_setting_is_met_within_a_psi(name: str, chosen: dict[str, str], setting: str) -> None:
    wanted = read_setting(Text(setting, HERE), Problems(), name)
    assert wanted is not None
    options = {option: Text(choice, HERE) for option, choice in chosen.items()}
    machine = settle(stand(read(name), wanted, options=options))
    assert inlet_pressure(machine, wanted.flow) == pytest.approx(wanted.pressure, abs=PSI)


@pytest.mark.parametrize("name", VALVES)
def test_its_state_words_speak_of_its_moving_parts(name: str) -> None:
    machine = on_stand(name, {})
    assert read(name).states or not machine.system.moving
    for state in read(name).states:
        assert len(state.say) > 20
        for part, word in state.when:
            assert machine.parts[part].kind == "moving part"
            assert word in STATE_WORDS


@each_variant
def test_every_state_it_reaches_has_words_in_its_file(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen)
    reached = set()
    for state in sweep(machine):
        now = tuple((part, status.word) for part, status in state.statuses.items())
        reached.add(now)
        for mounted in machine.mounted if now else []:
            assert words(state, mounted) in {" ".join(s.say.split()) for s in mounted.valve.states}, now
    assert len(reached) > 1 or not machine.system.moving


def sweep(machine: Machine) -> Iterator[State]:
    """Its named points; or states from a load far below the setting up to the full flow, and four times that."""
    if machine.points:
        yield from (solve_point(machine, point) for point in machine.points.values())
        return
    setting = machine.mounted[0].setting
    full = setting.flow if setting is not None else 1e-3
    top = setting.pressure if setting is not None else 150e5
    start = None
    for share in (0.1, 0.5, 0.8, 0.9, 0.95, 0.98, 0.99, 1.2):
        state = solve_point(machine, {f"{LOAD}.load pressure": share * top, f"{PUMP}.flow": full}, start)
        start = state.z
        yield state
    for share in (1e-6, 1e-3, 0.01, 0.03, 0.1, 0.3, 1.0, 4.0):
        yield solve_point(machine, {f"{PUMP}.flow": share * full})


@each_plain
def test_shut_it_passes_exactly_nothing_but_its_named_leaks(name: str, chosen: dict[str, str]) -> None:
    machine = on_stand(name, chosen)
    state = solve_point(machine, {f"{LOAD}.load pressure": 50e5})
    seats = [part for part, made in machine.parts.items() if made.kind == "poppet seat"]
    assert seats
    for seat in seats:
        assert state.flow_through(seat) == 0.0
