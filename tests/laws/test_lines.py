"""Lines against an independent library, and against the limits they join."""

from __future__ import annotations

import fluids.friction
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilway.laws import lines

LINE = {"diameter": 20e-3, "length": 10.0, "roughness": 2e-5, "rho": 870.0, "mu": 0.04}
REYNOLDS = [4e3, 1e4, 1e5, 1e7]
ROUGHNESS = [0.0, 1e-5, 1e-3, 0.05]


@pytest.mark.parametrize("re", REYNOLDS)
@pytest.mark.parametrize("e", ROUGHNESS)
def test_colebrook_and_churchill_agree_with_the_library_fluids(re: float, e: float) -> None:
    assert float(lines.colebrook(re, e)) == pytest.approx(fluids.friction.Colebrook(re, e), rel=1e-10)
    churchill = fluids.friction.Churchill_1977(re, e)
    assert float(lines.friction_reynolds(re, e)) / re == pytest.approx(churchill, rel=1e-10)


@pytest.mark.parametrize("re", REYNOLDS)
@pytest.mark.parametrize("e", ROUGHNESS)
def test_the_smooth_law_stays_near_colebrook(re: float, e: float) -> None:
    assert float(lines.friction_reynolds(re, e)) / re == pytest.approx(float(lines.colebrook(re, e)), rel=0.04)


@pytest.mark.parametrize("re", [0.0, 0.5, 1.0, 100.0, 1000.0, 2000.0])
def test_the_smooth_law_is_laminar_below_2000(re: float) -> None:
    assert float(lines.friction_reynolds(re, 1e-3)) == pytest.approx(64.0, rel=2e-3)


def test_the_smooth_law_has_no_seam() -> None:
    re = np.geomspace(0.1, 1e8, 20001)
    factor = lines.friction_reynolds(re, 1e-4)
    assert (np.diff(factor) >= -1e-9).all()
    assert np.max(factor[1:] / factor[:-1]) < 1.01


@given(v=st.floats(-20.0, 20.0))
def test_drop_turns_round_with_the_flow(v: float) -> None:
    assert lines.line_drop(-v, **LINE, k_minor=2.0) == -lines.line_drop(v, **LINE, k_minor=2.0)


def test_slow_flow_loses_by_hagen_and_poiseuille() -> None:
    v, area = 0.1, np.pi / 4 * LINE["diameter"] ** 2
    laminar = lines.laminar_line_drop(v * area, LINE["diameter"], LINE["length"], LINE["mu"])
    assert float(lines.line_drop(v, **LINE)) == pytest.approx(float(laminar), rel=1e-6)


def test_fittings_lose_their_share_of_the_velocity_head() -> None:
    extra = lines.line_drop(5.0, **LINE, k_minor=0.9) - lines.line_drop(5.0, **LINE)
    assert float(extra) == pytest.approx(0.9 * 870.0 * 5.0**2 / 2)


def test_fast_flow_in_rough_pipe_loses_with_the_square() -> None:
    rough = LINE | {"roughness": 1e-3, "mu": 1e-5}
    assert float(lines.line_drop(20.0, **rough) / lines.line_drop(10.0, **rough)) == pytest.approx(4.0, rel=1e-3)


def test_going_up_and_down_again_costs_nothing() -> None:
    assert lines.elevation_drop(870.0, 3.0) == -lines.elevation_drop(870.0, -3.0) > 0.0
