"""The charge of an accumulator against the published figure and against its own derivative."""

from __future__ import annotations

import numpy as np
import pytest

from oilway.laws.gas import gas_volume, gas_work


@pytest.mark.parametrize(("n", "litres"), [(1.0, 3.3333), (1.4, 2.6839)])
def test_delivered_volume(n: float, litres: float) -> None:
    # CK47: 10 L, precharge 100, from 200 to 120 bar absolute; gas law, standard.
    given = gas_volume(10.0, 100.0, 120.0, n) - gas_volume(10.0, 100.0, 200.0, n)
    assert given == pytest.approx(litres, rel=1e-4)


@pytest.mark.parametrize("pressure", [0.0, 50.0, 100.0])
def test_below_its_precharge_the_gas_fills_the_shell(pressure: float) -> None:
    assert gas_volume(10.0, 100.0, pressure) == 10.0


@pytest.mark.parametrize("n", [1.0, 1.25, 1.4])
def test_it_gives_way_by_volume_over_n_times_pressure(n: float) -> None:
    slope = (gas_volume(10.0, 100.0, 149.99, n) - gas_volume(10.0, 100.0, 150.01, n)) / 0.02
    assert slope == pytest.approx(gas_volume(10.0, 100.0, 150.0, n) / (n * 150.0), rel=1e-7)


@pytest.mark.parametrize("n", [1.0, 1.25, 1.4])
def test_its_work_is_pressure_over_the_volume_it_gives(n: float) -> None:
    pressures = np.linspace(100.0, 220.0, 20_001)
    pressed = -np.trapezoid(pressures, gas_volume(10.0, 100.0, pressures, n))
    assert gas_work(10.0, 100.0, 220.0, n) == pytest.approx(pressed, rel=1e-7)
    assert gas_work(10.0, 100.0, 60.0, n) == 0.0
