"""Flow force against the momentum of the jet."""

from __future__ import annotations

import math

import pytest

from oilway.laws.flow_force import flow_force, spool_flow_force_coefficient

RHO, AREA, DP = 870.0, 1e-5, 2e7
MEAN = 0.61 * math.sqrt(2 * DP / RHO)
ANGLE = math.radians(69)


def test_it_is_the_axial_momentum_of_the_narrowed_jet() -> None:
    jet = 0.98 * math.sqrt(2 * DP / RHO)
    mass_flow = RHO * AREA * MEAN
    assert float(flow_force(RHO, AREA, MEAN, ANGLE)) == pytest.approx(mass_flow * jet * math.cos(ANGLE))


def test_it_is_the_coefficient_times_area_and_drop() -> None:
    expected = float(spool_flow_force_coefficient(0.61, 0.98, ANGLE)) * AREA * DP
    assert float(flow_force(RHO, AREA, MEAN, ANGLE)) == pytest.approx(expected)


def test_it_closes_whichever_way_the_oil_flows() -> None:
    assert flow_force(RHO, AREA, -MEAN, ANGLE) == flow_force(RHO, AREA, MEAN, ANGLE) > 0.0


def test_a_shaped_part_recovers_momentum() -> None:
    plain = float(flow_force(RHO, AREA, MEAN, ANGLE))
    assert float(flow_force(RHO, AREA, MEAN, ANGLE, recovered=0.75)) == pytest.approx(plain / 4)
    assert flow_force(RHO, AREA, MEAN, ANGLE, recovered=1.0) == 0.0


def test_a_45_degree_seat_has_about_twice_the_force_of_a_spool_edge() -> None:
    ratio = flow_force(RHO, AREA, MEAN, math.radians(45)) / flow_force(RHO, AREA, MEAN, ANGLE)
    assert float(ratio) == pytest.approx(math.cos(math.radians(45)) / math.cos(math.radians(69)))
    assert 1.9 < ratio < 2.1
