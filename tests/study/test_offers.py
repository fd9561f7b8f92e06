"""Readings on offer: sums of ledger terms, held against the solved state itself."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from oilway.solve.point import solve_point
from oilway.study.offers import GAUGE_CLASS, REPEATS, shared


def read_of(bench: Any, point: dict[str, float]) -> dict[str, float]:
    state = solve_point(bench.machine, point)
    shown = bench.panel.read(bench.machine, state.z, state.th, 50.0)
    return dict(zip([o.name for o in bench.panel.offers], map(float, shown), strict=True)) | {"state": state}


def test_they_are_what_the_ledgers_say(hoist: Any) -> None:
    bench, _ = hoist
    stalled = next(s for s in bench.setups if s.name == "lever valve +1, stalled")
    shown = read_of(bench, stalled.point)
    state = shown["state"]
    assert shown["pump gauge"] == state.pressures["pump line"]
    assert shown["pressure at main relief.back chamber"] == state.pressures["main relief.back chamber"]
    assert shown["speed of hoist cylinder"] == state.velocities["hoist cylinder"]
    assert shown["oil temperature"] == 50.0
    over = sum(
        e.value for e in state.flows["return line"] if e.part.startswith("main relief.") and e.other != "motion"
    )
    assert shown["flow at outlet of main relief"] == pytest.approx(state.at_no_pressure(over))
    # Stalled: all that the pump delivers goes over the relief but for what the spool leaks.
    assert shown["flow at outlet of main relief"] == pytest.approx(shown["flow of pump"], rel=1e-3)


def test_a_gauge_is_as_good_as_its_class(hoist: Any) -> None:
    bench, _ = hoist
    gauge = next(o for o in bench.panel.offers if o.name == "pump gauge")
    assert 2 * gauge.spread(1e7) == pytest.approx(GAUGE_CLASS * 4000 * 6894.757, rel=1e-6)
    assert gauge.fitted
    assert not next(o for o in bench.panel.offers if o.name == "pressure at rod line").fitted


def test_what_an_instrument_shares_is_a_line_over_its_scale() -> None:
    for along in (0.0, 0.3, 1.0, 1.4):
        assert np.hypot(*shared(40.0, along)) == pytest.approx(40 * np.sqrt(1 - REPEATS**2))
    near, far = (np.dot(shared(1.0, 0.5), shared(1.0, along)) for along in (0.52, 1.0))
    assert near > 0.93 > far  # neighbours on the scale err alike, the ends less so
    assert shared(40.0, 0.5, 1.0) == (0.0, 0.0)


def test_the_open_rod_port_is_read_at_the_end_of_the_stroke_only(hoist: Any) -> None:
    bench, _ = hoist
    bypass = next(o for o in bench.panel.offers if o.name == "flow out of rod port of hoist cylinder")
    assert {s.name for s in bench.setups if bypass.valid(s)} == {s.name for s in bench.setups if s.stalled}


def test_a_restricted_inlet_shows_on_the_vacuum_gauge(hoist: Any) -> None:
    bench, _ = hoist
    assert read_of(bench, {"pump.inlet loss": 0.3e5})["pump inlet pressure"] == pytest.approx(
        -0.3e5 * (2000 / 1800) ** 2, rel=1e-6
    )


def test_many_values_at_once_have_the_spread_of_each(hoist: Any) -> None:
    panel = hoist[0].panel
    offers = np.arange(len(panel.offers))
    values = np.outer([-0.2, 0.0, 0.3, 1.2], [o.span or 1e-3 for o in panel.offers])
    each = [[o.spread(v) for o, v in zip(panel.offers, row, strict=True)] for row in values]
    assert panel.spread(offers, values) == pytest.approx(np.array(each), rel=1e-12)
    ends = [[o.ends(v) for o, v in zip(panel.offers, row, strict=True)] for row in values]
    assert panel.ends(offers, values) == pytest.approx(np.array(ends), rel=1e-12)
    assert panel.repeats(offers) == pytest.approx([o.repeats for o in panel.offers])
