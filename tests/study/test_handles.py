"""Sliders: inside what is legal and what the limits of the machine allow, round in the shop's units."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import oilway
from oilway import quantity
from oilway.errors import NoSolution
from oilway.model.catalogue import shipped_valves
from oilway.model.machine import OIL_TEMPERATURE, Machine
from oilway.oil import COLDEST, HOTTEST
from oilway.solve.point import solve_point
from oilway.study.handles import Handle, handles, start
from oilway.study.story import examples

FILES = [*sorted(map(str, examples().glob("*.yaml"))), *shipped_valves()]
HOIST = str(examples() / "tipping_hoist.yaml")


def limits(machine: Machine, handle: Handle) -> tuple[float, float]:
    """The legal range of the record, and how far its part goes."""
    if handle.parameter == OIL_TEMPERATURE:
        return COLDEST, HOTTEST
    part, _, name = handle.parameter.rpartition(".")
    record = next(r for r in machine.elements[part].records if r.name == name)
    ends = {"turns": "most turns", "position": "stroke"}
    high = machine.parts[part].values.get(ends.get(name, "")) if machine.parts[part].kind != "lever" else None
    return record.low, min(record.high, float(high) if high is not None else math.inf)


@pytest.mark.parametrize("file", FILES)
def test_every_handle_stays_inside_the_legal_range_and_the_limits_of_its_part(file: str) -> None:
    machine = oilway.load(file)
    found = handles(machine)
    assert len({h.parameter for h in found}) == len({h.word for h in found}) == len(found)
    for handle in found:
        low, high = limits(machine, handle)
        slack = 1e-9 * max(abs(handle.low), abs(handle.high))
        assert low - slack <= handle.low < handle.high <= high + slack, handle
        assert handle.low <= handle.value <= handle.high, handle
        assert machine.resolve(handle.word) == (handle.parameter, handle.kind), "its word means its parameter"
        assert handle.meaning


@pytest.mark.parametrize("file", FILES)
def test_steps_are_round_in_the_shops_unit_and_fine_enough(file: str) -> None:
    machine = oilway.load(file)
    for handle in handles(machine):
        size = handle.step / quantity.KINDS[handle.kind].units[quantity.unit(handle.kind)]
        mantissa = size / 10 ** math.floor(math.log10(size) + 1e-9)
        assert round(mantissa, 9) in (1, 2, 5), handle
        assert 50 <= (handle.high - handle.low) / handle.step <= 400, handle
        for end in (handle.low, handle.high):
            steps = quantity.number(end, handle.kind) / size
            round_or_limit = abs(steps - round(steps)) < 1e-6 or end in limits(machine, handle)
            assert round_or_limit, (handle, "its ends are round too")


@pytest.mark.parametrize("file", FILES)
def test_named_points_lie_within_their_sliders(file: str) -> None:
    machine = oilway.load(file)
    found = {h.parameter: h for h in handles(machine)}
    for name, point in machine.points.items():
        for parameter, value in point.items():
            if (handle := found.get(parameter)) is not None:
                assert handle.low <= value <= handle.high, (name, parameter)


@pytest.mark.parametrize("file", [HOIST, "pilot relief", "counterbalance", "unloading"])
def test_at_the_end_of_a_slider_there_is_a_state_or_a_reason(file: str) -> None:
    machine = oilway.load(file)
    for handle in handles(machine):
        for end in (handle.low, handle.high):
            point = machine.point_of(start(machine) | {handle.parameter: end})
            try:
                told: object = solve_point(machine, point).pressures
            except NoSolution as error:
                told = error.what
            assert told


def test_the_hoist_has_what_an_operator_and_a_bench_can_change() -> None:
    found = {h.word: h for h in handles(oilway.load(HOIST))}
    assert {"load pressure", "engine speed", "lever", "stroke", "oil temperature", "turns"} <= set(found)
    assert "load force" not in found, "the file gives the load as a pressure"
    assert found["turns"].parameter == "main relief.pilot spring.turns"
    assert quantity.number(found["turns"].high, "turns") == pytest.approx(12)
    assert (found["lever"].low, found["lever"].high) == (-1, 1)
    inside = {w for w, h in found.items() if h.group == "inside"}
    assert {
        "main relief.main orifice.diameter", "main relief.main spring.rate", "main relief.main seat.worn gap",
        "main relief.main guide.clearance", "main relief.main part.dry friction", "hoist cylinder.seal clearance",
    } <= inside  # fmt: skip


def test_a_word_for_several_parts_is_said_in_full() -> None:
    words = [h.word for h in handles(oilway.load(examples() / "tractor_loader.yaml"))]
    assert "lever" not in words
    assert [w for w in words if w.endswith(".position")]


def test_a_blocked_load_begins_at_the_end_of_its_slider() -> None:
    machine = oilway.load("pilot relief")
    load = next(h for h in handles(machine) if h.word == "load pressure")
    assert start(machine) == {load.parameter: load.high}
    assert load.value == load.high < 500e5
    assert start(oilway.load(HOIST)) == {}


def test_every_other_value_is_the_files_own_even_at_its_end() -> None:
    changes = {"hoist cylinder.position": "1200 mm", "pump.volumetric efficiency": "100 %"}
    machine = oilway.load(HOIST, changes)
    found = {h.parameter: h for h in handles(machine)}
    assert start(machine) == {}
    stroke = found["hoist cylinder.position"]
    assert stroke.value == stroke.high == machine.parts["hoist cylinder"].values["stroke"]
    hot = oilway.loads(Path(HOIST).read_text(encoding="utf-8").replace("120 F", "230 F"), "hot.yaml")
    heat = next(h for h in handles(hot) if h.word == "oil temperature")
    assert heat.value == pytest.approx(110)
    assert heat.high >= heat.value


def test_an_adjuster_without_a_turn_has_no_slider() -> None:
    machine = oilway.load("direct relief")
    fixed = machine.with_part("main spring", {"turns": 0.0, "most turns": 0.0})
    assert "turns" in [h.word for h in handles(machine)]
    assert "turns" not in [h.word for h in handles(fixed)]
