"""Functions held: where the oil then goes, and what stands in whose way."""

from __future__ import annotations

import pytest
from tests.study.shop import BENCH, PSI, stalled

import oilway
from oilway.study.controls import controls
from oilway.study.stall import beside, flow_over, loaded, masks, stalls
from oilway.study.story import examples


def test_a_held_cylinder_leaves_the_pump_no_way_but_over_the_relief(machine) -> None:
    built = machine(stalled())
    main, port = controls(built)[0]
    (held,), failed = stalls(built)
    assert failed == []
    assert held.held == ("cylinder",)
    assert held.state.velocities["cylinder"] == 0
    over = flow_over(held.state, main) + flow_over(held.state, port)
    assert over == pytest.approx(36e-6 * 2000 / 60, rel=1e-3)  # all that the pump gives
    assert loaded([held], [main, port], main) is held
    assert loaded([held], [main, port], port) is None
    assert masks([held], [main, port], port) == [main]
    assert masks([held], [main], main) == []


def test_a_port_relief_below_takes_it_first(machine) -> None:
    built = machine(stalled("1900 psi"))
    main, port = controls(built)[0]
    found, _ = stalls(built)
    assert masks(found, [main, port], main) == [port]
    assert loaded(found, [main, port], main) is None


def test_one_that_is_only_ajar_is_not_loaded(machine) -> None:
    """A direct port relief of 2700 psi opens near 2250 psi: at the main's 2300 psi a little leaves by it."""
    built = machine(stalled("2700 psi"))
    main, port = controls(built)[0]
    assert port.opens < main.full
    found, _ = stalls(built)
    stall = loaded(found, [main, port], main)
    assert [c.name for c in beside(stall, [main, port], main)] == ["port"]
    assert loaded(found, [main, port], port) is None


def test_each_way_of_a_lever_and_those_on_one_lever_together() -> None:
    found, _ = stalls(oilway.load(examples() / "press.yaml"))
    held = {(s.held, s.place) for s in found}
    assert (("clamp cylinder", "ram cylinder"), 1.0) in held
    assert (("ram cylinder",), -1.0) in held
    assert len(held) == 6


def test_a_load_valve_is_shut_where_there_is_no_actuator(machine) -> None:
    parts = BENCH.replace("SETTING", "2300 psi at 24 gpm")
    parts += "load: {kind: test load, from: line, to: tank, load pressure: 500 psi}\n"
    built = machine(parts)
    (stall,), _ = stalls(built)
    assert stall.held == ("load",)
    assert stall.state.pressures["line"] == pytest.approx(2300 * PSI, rel=1e-3)


def test_values_laid_over_the_point_count(machine) -> None:
    built = machine(stalled())
    slow, _ = stalls(built, {"pump.engine speed": 1000 / 60})
    over = sum(flow_over(slow[0].state, c) for c in controls(built)[0])
    assert over == pytest.approx(36e-6 * 1000 / 60, rel=1e-3)
