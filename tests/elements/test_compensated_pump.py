"""Pressure-compensated pump: full stroke below the band, destroked at its setting, slip into the case."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.solve.transient import Knot, transient

# 40 cc/rev at 30 rev/s; no slip, so that the characteristic can be read off.
TIGHT = """
    tank: {kind: tank}
    case: {kind: tank}
    line: {kind: chamber}
    load valve: {kind: test load, from: line, to: tank, load pressure: 100 bar}
    pump:
      kind: pressure-compensated pump
      inlet: tank
      outlet: line
      case: case
      displacement: 40 cc/rev
      engine speed: 1800 rpm
      volumetric efficiency: 100 %
      mechanical efficiency: 90 %
      compensator setting: 210 bar
      band: 10 bar
    """
# With 92 % at 200 bar and this oil it slips 96 cm3/s there.
SLIPPING = TIGHT.replace("100 %", "92 %\n      test pressure: 200 bar\n      test viscosity: 46 cSt")
FULL = 40e-6 * 30.0  # m3/s


def delivered(state) -> float:
    """Mass flow into the line before slip, kg/s."""
    return next(e.value for e in state.flows["line"] if e.law == "displacement x speed")


@pytest.mark.parametrize(("bar", "share"), [(0, 1.0), (199, 1.0), (202, 0.8), (205, 0.5), (209, 0.1)])
def test_stroke_by_hand(solve, oil, bar: int, share: float) -> None:
    state = solve(TIGHT, {"load pressure": f"{bar} bar"})
    # The load valve rises 1 kPa per L/s; the band is 1 MPa.
    assert delivered(state) / (oil.rho0 * FULL) == pytest.approx(share, abs=1.5e-3)
    assert state.readings["pump"] == ("ratio", pytest.approx(share, abs=1.5e-3))


def test_dead_headed_it_delivers_its_slip_just_below_its_setting(solve, oil) -> None:
    state = solve(SLIPPING, {"load pressure": "300 bar"})
    p = state.pressures["line"]
    slip = oil.mean(p, 0) * 0.08 * FULL * p / 200e5
    assert delivered(state) == pytest.approx(slip, rel=1e-8)
    assert 210e5 - p == pytest.approx(10e5 * slip / (oil.rho0 * FULL), rel=1e-8)
    into_case = [e.value for e in state.flows["case"] if e.law == "laminar slip"]
    assert into_case == [pytest.approx(slip, rel=1e-8)]


def test_pressure_in_the_case_adds_to_the_setting(solve) -> None:
    behind = SLIPPING.replace("case: {kind: tank}", "case: {kind: tank, pressure: 3 bar}")
    p = [solve(parts, {"load pressure": "300 bar"}).pressures["line"] for parts in (SLIPPING, behind)]
    assert p[1] - p[0] == pytest.approx(3e5, rel=1e-2)


def test_minimum_displacement_goes_on_delivering(solve, oil) -> None:
    least = TIGHT.replace("band: 10 bar", "band: 10 bar\n      minimum displacement: 20 %")
    state = solve(least, {"load pressure": "250 bar"})
    assert delivered(state) == pytest.approx(0.2 * oil.rho0 * FULL, rel=1e-9)
    assert state.pressures["line"] == pytest.approx(250e5, rel=1e-4)


def test_more_pressure_never_gives_more_flow(solve) -> None:
    flows = [delivered(solve(SLIPPING, {"load pressure": f"{p} bar"})) for p in range(190, 215, 2)]
    assert all(b <= a + 1e-12 for a, b in pairwise(flows))
    assert flows[0] > flows[-1]


def test_destroked_it_takes_little_power(solve, oil) -> None:
    state = solve(SLIPPING, {"load pressure": "300 bar"})
    book = {e.label: e.value for e in state.power if e.part == "pump"}
    given = delivered(state) * oil.work(state.pressures["line"])
    assert book["shaft power"] == pytest.approx(-given / 0.9, rel=1e-8)
    assert book["heat"] == pytest.approx(given, rel=1e-8)  # all that it delivers slips
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-3)


def test_its_swash_follows_within_the_response_time(machine) -> None:
    built = machine(TIGHT.replace("band: 10 bar", "band: 10 bar\n      response time: 80 ms"))
    state = solve_point(built, built.point_from({"load pressure": "205 bar"}))
    row = built.system.index["stroke of pump"]
    assert built.system.storage(state.z, state.th)[row] == pytest.approx(0.08)
    assert built.system.residual(state.z, state.th)[1][row, row] == pytest.approx(-1.0)


def test_a_band_as_wide_as_the_setting_is_refused(machine) -> None:
    with pytest.raises(InputError, match="pump: band is as wide as the compensator setting"):
        machine(TIGHT.replace("band: 10 bar", "band: 100 bar").replace("210 bar", "90 bar"))


def test_in_motion_its_swash_comes_up_with_one_time_constant(machine) -> None:
    built = machine(TIGHT.replace("band: 10 bar", "band: 10 bar\n      response time: 80 ms"))
    system, th = built.system, built.theta()
    course = transient(system, np.zeros(system.size), [Knot(0.0, th), Knot(0.08, th)], 0.02)
    share = course.states[-1, system.index["stroke of pump"]]
    assert share == pytest.approx(1 - math.exp(-1), abs=1e-5)  # the line stays far below its setting
