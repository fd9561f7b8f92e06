"""Port relief with anti-cavitation check: lets out above its setting, lets in below the tank gallery."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import GALLON, MINUTE, PSI

GPM = GALLON / MINUTE


def test_full_flow_over_it_reads_the_setting_and_the_gallery_adds_one_to_one(smooth, at) -> None:
    valve = smooth("port relief")
    free = at(valve, {"test pump.flow": "12 gpm"})
    # set with 4 N of dry friction on 95 mm2 in the way: without it 6 psi less
    assert free.pressures["port line"] == pytest.approx((2600 - 4 / 95.03e-6 / PSI) * PSI, abs=2 * PSI)
    backed = at(valve, {"test pump.flow": "12 gpm", "tank.pressure": "100 psi"})
    # the same 12 gpm need the same drop, lift, spring and jet; the gallery reaches the spring side in full
    assert backed.pressures["port line"] - free.pressures["port line"] == pytest.approx(100 * PSI, abs=1 * PSI)


@pytest.mark.parametrize("load", ["200 psi", "2200 psi"])
def test_below_its_cracking_pressure_nothing_passes(smooth, at, load: str) -> None:
    state = at(smooth("port relief"), {"load pressure": load})
    assert state.statuses["relief.poppet"].word == "seated"
    assert state.flow_through("relief.seat") == 0.0
    assert state.flow_through("anti-cavitation check") == 0.0


def test_a_runaway_load_is_fed_through_the_check(smooth, at) -> None:
    state = at(smooth("port relief"), {"test pump.flow": "0 gpm", "runaway.flow": "6 gpm"})
    drop = state.pressures["tank"] - state.pressures["port line"]
    assert 2 * PSI < drop < 6 * PSI
    # by hand: open in proportion from 2 to 6 psi, then Q = share Cd A sqrt(2 dp / rho) of a 14 mm bore
    share = (drop / PSI - 2) / 4
    flow = share * 0.61 * math.pi / 4 * 0.014**2 * math.sqrt(2 * drop / state.parameter("oil.rho0"))
    assert flow == pytest.approx(6 * GPM, rel=0.02)
    assert state.statuses["relief.poppet"].word == "seated"


def test_without_the_check_the_port_goes_to_a_vacuum(machine, at) -> None:
    built = machine("""
        tank: {kind: tank}
        port: {kind: chamber}
        runaway: {kind: test pump, inlet: port, outlet: tank, flow: 6 gpm}
        relief: {kind: valve, valve: direct relief, P: port, T: tank}
        """)
    state = at(built)
    assert state.pressures["port"] < -13.9 * PSI
    assert any("air comes out" in finding.what for finding in state.findings)


def test_a_machine_sets_it_as_a_whole(machine, at) -> None:
    built = machine("""
        tank: {kind: tank}
        port: {kind: chamber}
        blow: {kind: test pump, inlet: tank, outlet: port, flow: 10 gpm}
        port relief: {kind: valve, valve: port relief, A: port, T: tank, setting: 2500 psi at 10 gpm}
        """)
    assert at(built).pressures["port"] == pytest.approx(2500 * PSI, abs=PSI)
    # the setting of the relief inside, which its own file gives, does not speak any more
    assert [m.name for m in built.mounted if m.setting is not None] == ["port relief"]
