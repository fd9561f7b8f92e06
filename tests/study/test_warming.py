"""Where the oil temperature settles, and what tank and cooler give off there, by hand."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.quantity import parse
from oilway.solve.point import solve_point
from oilway.study.consequences import consequences
from oilway.study.warming import Warming

FLOW = parse("20 gpm", "flow")
RATED = 180.0  # W/K
MILD = 2500 * 6894.757 * FLOW  # W over the relief, within 2 %
BENCH = """format: 1
machine: bench
oil: {grade: ISO VG 46, temperature: 50 C, air temperature: 20 C}
parts:
  tank: {kind: tank, oil volume: 200 L TANK}
  line: {kind: chamber}
  return line: {kind: chamber}
  pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 gpm}
  relief: {kind: valve, valve: direct relief, P: line, T: WHERE, setting: 2500 psi at 20 gpm}
  filler: {kind: orifice, from: return line, to: tank, diameter: 1 mm}
  cooler: {kind: cooler, from: return line, to: tank, rated flow: 20 gpm, heat given off: 180 W/K MORE}
"""


def bench(tank: str = "", more: str = "", where: str = "return line") -> Warming:
    text = BENCH.replace("TANK", tank).replace("MORE", more).replace("WHERE", where)
    return consequences(solve_point(oilway.loads(text, "bench.yaml"))).warming


def test_a_cooler_alone_stands_heat_over_conductance_above_the_air() -> None:
    """21.7 kW at 180 W/K: 121 K over 20 C.  All but what the small hole beside it takes goes through: 1 %."""
    felt = bench()
    assert felt.heat == pytest.approx(MILD, rel=0.02)
    assert felt.steady == pytest.approx(20 + felt.heat / RATED, rel=0.01)
    assert felt.given == {"cooler": pytest.approx(felt.heat)}
    assert (felt.missing, felt.taken) == ([], [])


def test_tank_and_cooler_share_the_heat_by_conductance() -> None:
    """4 m2 at 15 W/m2K are 60 W/K beside 180: a quarter and three quarters; 1 % for the hole."""
    felt = bench(", cooling area: 4 m2, heat transfer: 15 W/m2K")
    assert felt.steady == pytest.approx(20 + felt.heat / 240, rel=0.01)
    assert felt.given["tank"] == pytest.approx(felt.heat / 4, rel=0.01)
    assert sum(felt.given.values()) == pytest.approx(felt.heat)


def test_cold_water_takes_more() -> None:
    """With water of 10 C: 60 (T - 20) + 180 (T - 10) = P, so T = (P + 3000) / 240."""
    felt = bench(", cooling area: 4 m2, heat transfer: 15 W/m2K", ", medium temperature: 10 C")
    assert felt.steady == pytest.approx((felt.heat + 3000) / 240, rel=0.01)


def test_the_rise_with_all_at_work_is_that_of_what_is_left() -> None:
    """180 W/K and 60 W/K over 30 K take 7.2 kW of it now."""
    felt = bench(", cooling area: 4 m2, heat transfer: 15 W/m2K")
    assert felt.rise is not None
    assert felt.cooled == pytest.approx(felt.rise * (1 - 7200 / felt.heat), rel=0.01)
    cool = bench(", cooling area: 40 m2, heat transfer: 30 W/m2K")
    assert cool.cooled is not None
    assert cool.cooled < 0  # 36 kW more go than come: it cools down


def test_oil_that_goes_past_the_cooler_is_not_cooled() -> None:
    felt = bench(where="tank")
    assert felt.steady is None
    assert any("no oil goes through the cooler" in what for what in felt.missing)
    beside = bench(", cooling area: 4 m2, heat transfer: 15 W/m2K", where="tank")
    assert beside.given["cooler"] == pytest.approx(0.0, abs=1e-6)
    assert beside.steady == pytest.approx(20 + beside.heat / 60, rel=1e-6)


def test_at_half_its_rated_flow_it_gives_off_a_little_less() -> None:
    """C = 870 x 1970 x Q: 180 W/K of 2163 at 20 gpm; half that flow cools each litre by almost twice as much."""
    full_flow = bench().steady
    twice = BENCH.replace("rated flow: 20 gpm", "rated flow: 40 gpm").replace("TANK", "").replace("MORE", "")
    halved = consequences(solve_point(oilway.loads(twice.replace("WHERE", "return line"), "bench.yaml"))).warming
    full = 870 * 1970 * 2 * FLOW
    units = -math.log(1 - RATED / full) * full
    by_hand = full / 2 * (1 - math.exp(-units / (full / 2)))
    assert 0.95 * RATED < by_hand < RATED
    assert halved.steady == pytest.approx(20 + halved.heat / by_hand, rel=0.01)
    assert full_flow is not None
    assert halved.steady > full_flow


def test_air_that_is_not_said_is_taken_and_told() -> None:
    text = BENCH.replace(", air temperature: 20 C", "").replace("TANK", "").replace("WHERE", "return line")
    by_air, by_water = (
        consequences(solve_point(oilway.loads(text.replace("MORE", more), "bench.yaml"))).warming.taken
        for more in ("", ", medium temperature: 10 C")
    )
    assert by_air == ["air temperature 70 °F"]
    assert by_water == []
