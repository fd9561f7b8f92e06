"""The pressure scale: even, told apart in grayscale and with any colour vision, and doubled by a hatch."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib import colormaps
from numpy.typing import NDArray

from oilway.draw.colours import HATCHES, STOPS, colour, hatch, share

FULL = 2e7
Floats = NDArray[np.float64]
# Linear RGB as a reader without one kind of cone sees it (G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
# physiologically-based model for simulation of color vision deficiency", 2009, severity 1, from memory).
SEEN = {
    "all cones": np.eye(3),
    "no red cones": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no green cones": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no blue cones": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}


def linear(code: str) -> Floats:
    """Linear RGB of a colour (IEC 61966-2-1)."""
    c = np.array([int(code[i : i + 2], 16) / 255 for i in (1, 3, 5)])
    out: Floats = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)
    return out


def lightness(rgb: Floats) -> float:
    """CIE L* (0 black, 100 white) of linear RGB: what a grayscale print keeps of a colour."""
    y = float(np.clip(rgb, 0, 1) @ [0.2126, 0.7152, 0.0722])
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_four_pressures_side_by_side_are_four_shades_of_grey() -> None:
    """A step of 10 in L* between patches is plain to see; here each is more than 15."""
    greys = [lightness(linear(colour(p, FULL))) for p in (0.0, FULL / 3, 2 * FULL / 3, FULL)]
    assert min(a - b for a, b in pairwise(greys)) > 15


@pytest.mark.parametrize("eyes", SEEN)
def test_higher_pressure_is_darker_to_any_eyes(eyes: str) -> None:
    seen = [lightness(SEEN[eyes] @ linear(colour(p, FULL))) for p in np.linspace(0, FULL, 33)]
    assert min(a - b for a, b in pairwise(seen)) > 0.5


def test_lightness_runs_evenly() -> None:
    """Perceptually uniform: no step of the scale is more than half as large again as the mean."""
    seen = [lightness(linear(colour(p, FULL))) for p in np.linspace(0, FULL, 17)]
    steps = [a - b for a, b in pairwise(seen)]
    assert max(steps) < 1.5 * np.mean(steps)


def test_the_stops_are_those_of_the_map_they_are_said_to_be() -> None:
    places = np.linspace(1, 0, len(STOPS))
    for code, (r, g, b, _) in zip(STOPS, colormaps["cividis"](places), strict=True):
        ours = [int(code[i : i + 2], 16) for i in (1, 3, 5)]
        assert np.abs(np.array(ours) - 255 * np.array([r, g, b])).max() <= 1


@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_colour_and_hatch_stay_on_the_scale(pressure: float, full: float) -> None:
    assert 0 <= share(pressure, full) <= 1
    assert 0 <= hatch(pressure, full) < HATCHES
    assert len(colour(pressure, full)) == 7


@given(st.floats(0, FULL), st.floats(0, FULL))
def test_a_higher_pressure_has_no_thinner_hatch(low: float, high: float) -> None:
    low, high = sorted((low, high))
    assert hatch(low, FULL) <= hatch(high, FULL)


def test_the_hatch_reaches_from_blank_to_its_last_band() -> None:
    assert [hatch(k / HATCHES * FULL, FULL) for k in range(HATCHES + 1)] == [*range(HATCHES), HATCHES - 1]
