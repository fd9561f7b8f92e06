"""Noise of a table: by the class of a gauge, shared by its readings; else a share of each reading by itself."""

from __future__ import annotations

import numpy as np
import pytest

from benchmarks.fit_trials import GAUGE
from oilway.quantity import PSI
from oilway.study.noise import LEAST, Noise


def test_a_share_is_of_each_reading_and_has_a_floor() -> None:
    found = Noise(0.01).covariance(["P", "P", "V"], np.array([100.0, 50.0, 0.0]))
    assert found == pytest.approx(np.diag([1.0, 0.25, (LEAST) ** 2]))


def test_readings_of_one_gauge_share_its_error_and_keep_its_class() -> None:
    # 1 % of 5000 psi is a limit of 50 psi, two standard deviations, wherever on the scale.
    found = Noise(instruments={"P": GAUGE, "V": GAUGE}).covariance(
        ["P", "V", "D"], np.array([2000.0, 2100, 0]) * PSI
    )
    assert np.sqrt(np.diagonal(found))[:2] == pytest.approx(25 * PSI)
    # The eye and the way it was reached add anew each time; 100 psi apart the line differs little.
    alone = GAUGE.repeats(2000 * PSI) * 25 * PSI
    apart = found[0, 0] + found[1, 1] - 2 * found[0, 1]
    assert apart == pytest.approx(2 * alone**2, rel=0.05)
    assert found[0, 2] == 0.0
    assert (np.linalg.eigvalsh(found) > 0).all()
