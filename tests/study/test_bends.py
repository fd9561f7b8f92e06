"""What straight slopes leave out: a relief shut in the file that opens in a machine within its tolerances."""

from __future__ import annotations

from typing import Any

import numpy as np

from oilway.study.bends import bends


def at(hoist: Any, setup: str, offer: str) -> tuple[float, float, float]:
    """Mean, size of all slopes together, and bend of one reading of the sound hoist."""
    bench, d = hoist
    u = next(k for k, s in enumerate(bench.setups) if s.name == setup)
    r = next(k for k, o in enumerate(bench.panel.offers) if o.name == offer)
    return float(d.sound_mean[u, r]), float(np.linalg.norm(d.sound_slope[u, r])), float(d.sound_bent[u, r])


def test_a_shut_relief_that_some_machines_open_has_a_bend_where_it_has_no_slope(hoist: Any) -> None:
    # Driven down, the hoist stands so close to the setting that a heavier load or a stiffer spring opens it.
    mean, slope, bent = at(hoist, "lever valve -1", "flow at outlet of main relief")
    assert mean == 0.0
    assert slope < 1e-12
    assert bent > 5e-6  # m3/s: a tenth of a gpm and more
    # In neutral the pump idles at next to no pressure: no machine like it opens its relief.
    assert at(hoist, "neutral", "flow at outlet of main relief")[2] < 1e-9


def test_where_nothing_differs_nothing_bends(hoist: Any) -> None:
    bench, d = hoist
    found = bends(bench, [None] * len(bench.setups), d.sound_mean, d.sound_slope)
    assert not found.any()
    assert (d.sound_bent >= 0).all()
