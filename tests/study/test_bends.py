"""What straight slopes leave out: a relief shut in the file that opens in a machine within its tolerances."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

import oilway
from oilway.study.bends import bends
from oilway.study.dictionary import bench_of, empty_entry, solve_into
from oilway.study.story import examples


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


def test_a_void_that_some_machines_fill_has_a_bend_where_it_has_no_slope() -> None:
    """The loader's lift, in neutral: which of two spool gaps is wider says whether its rod line is empty."""
    bench = bench_of(oilway.load(examples() / "tractor_loader.yaml"))
    bench = replace(bench, setups=[s for s in bench.setups if s.name == "tilt valve +1"])
    line = next(k for k, o in enumerate(bench.panel.offers) if o.name == "pressure at lift rod line")
    entry = empty_entry(bench)
    start = solve_into(bench, entry, 0, bench.setups[0], {}, [])
    assert entry.mean[0, line] < -0.9e5
    assert np.abs(entry.slope[0, line]).max() < 1.0
    assert bends(bench, [start], entry.mean, entry.slope)[0, line] > 0.5e5
