"""Heat: the balance of a tank that warms and cools."""

from __future__ import annotations

import math

import pytest

from oilway.laws.heat import CARRIED, cooler_conductance, steady_temperature, warming_rate
from oilway.laws.power import throttling_temperature_rise

HEAT, MASS, H, AREA, AIR, C = 2000.0, 50.0, 12.0, 2.0, 20.0, 1970.0


def test_a_tank_stepped_in_time_arrives_at_the_steady_temperature() -> None:
    """m c dT/dt = P - h A (T - air), stepped by hand: both laws in one balance."""
    t, dt = AIR, 60.0
    for _ in range(10000):
        t += dt * (warming_rate(HEAT, MASS) - H * AREA * (t - AIR) / (MASS * C))
    assert t == pytest.approx(steady_temperature(HEAT, [(H * AREA, AIR)]), rel=1e-6)


def test_the_time_to_go_most_of_the_way_is_that_of_mass_and_wall() -> None:
    """Starting at the warming rate it would arrive after m c / (h A): the time constant of the tank."""
    rise = steady_temperature(HEAT, [(H * AREA, 0.0)])
    assert rise / warming_rate(HEAT, MASS) == pytest.approx(MASS * C / (H * AREA))


def test_all_oil_passed_once_over_a_relief_warms_as_by_throttling() -> None:
    """Heat dp Q for the time that V / Q takes: the throttling law, whatever the flow."""
    dp, flow, rho, volume = 200e5, 1e-3, 870.0, 0.06
    rise = warming_rate(dp * flow, rho * volume) * volume / flow
    assert rise == pytest.approx(throttling_temperature_rise(dp, rho))
    assert math.isclose(rise, 11.67, rel_tol=1e-3)  # 200e5 / (870 x 1970)


def test_a_cooler_gives_off_its_rating_at_its_flow_and_between_nothing_and_its_surface_else() -> None:
    rated_flow, rated = 1e-3, 180.0
    assert cooler_conductance(rated_flow, rated_flow, rated) == pytest.approx(rated)
    assert cooler_conductance(0.0, rated_flow, rated) == 0.0
    trickle = 1e-6  # so slow that it leaves as cool as the medium
    assert cooler_conductance(trickle, rated_flow, rated) == pytest.approx(CARRIED * trickle)
    surface = -CARRIED * rated_flow * math.log(1 - rated / (CARRIED * rated_flow))
    assert cooler_conductance(1.0, rated_flow, rated) == pytest.approx(surface, rel=1e-3)


def test_a_cooler_that_would_give_off_more_than_its_oil_carries_is_refused() -> None:
    with pytest.raises(ValueError, match="no more than the oil of its rated flow carries"):
        cooler_conductance(1e-3, 1e-3, CARRIED * 1e-3)
