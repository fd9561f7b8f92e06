"""Hand checks of a relief."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.laws import relief

SEAT, RATE, PRELOAD = 80e-6, 50e3, 12e-3


def test_it_cracks_where_pressure_balances_the_preload() -> None:
    assert relief.cracking_pressure(SEAT, RATE, PRELOAD) * SEAT == pytest.approx(RATE * PRELOAD)


def test_override_is_what_the_lift_adds_to_the_spring() -> None:
    override = relief.full_flow_pressure(SEAT, RATE, PRELOAD, 1e-3) - relief.cracking_pressure(SEAT, RATE, PRELOAD)
    assert override == pytest.approx(RATE * 1e-3 / SEAT)


def test_back_pressure_adds_in_full() -> None:
    for law, lift in ((relief.cracking_pressure, ()), (relief.full_flow_pressure, (1e-3,))):
        plain = law(SEAT, RATE, PRELOAD, *lift)
        assert law(SEAT, RATE, PRELOAD, *lift, back_pressure=7e5) == pytest.approx(plain + 7e5)


@given(delta=st.floats(0.01, 1e3), q=st.floats(1e-3, 1e3))
def test_the_dimensionless_relief_passes_its_inflow_in_balance(delta: float, q: float) -> None:
    lift, pressure = (float(y) for y in relief.dimensionless_equilibrium(delta, q))
    assert pressure == pytest.approx(lift + delta)
    assert lift * math.sqrt(pressure) == pytest.approx(q, rel=1e-9)
