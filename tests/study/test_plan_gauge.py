"""Which gauge: the setting in the middle of the scale, and the scale longer than anything it may see."""

from __future__ import annotations

from itertools import pairwise

import pytest

from oilway.quantity import PSI
from oilway.study.plan_gauge import BAR_SPANS, PSI_SPANS, gauge_at

GAUGED = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 5 gpm}
    hole: {kind: orifice, from: line, to: tank, diameter: 5 mm}
    short: {kind: gauge, at: line, span: 2000 psi}
    other: {kind: gauge, at: tank, span: 100 psi}
    """


@pytest.mark.parametrize(
    ("setting", "span"), [(2600, 4000), (1500, 2000), (2250, 3000), (2251, 4000), (1200, 2000)]
)
def test_the_smallest_span_on_which_it_sits_in_the_middle(machine, setting: float, span: float) -> None:
    """By hand: 75 % of 3000 is 2250, so that 2251 takes the next one; 1200 is more than 75 % of 1500."""
    chosen = gauge_at(machine(GAUGED), "line", setting * PSI, setting * PSI).psi
    assert chosen.end == pytest.approx(span * PSI)
    assert chosen.fits
    assert chosen.share == pytest.approx(setting / span)


def test_the_scale_ends_above_whatever_it_sees(machine) -> None:
    chosen = gauge_at(machine(GAUGED), "line", 650 * PSI, 2550 * PSI).psi
    assert chosen.end == pytest.approx(3000 * PSI)
    assert not chosen.fits


def test_bar_and_the_gauges_of_the_file(machine) -> None:
    found = gauge_at(machine(GAUGED), "line", 180e5, 180e5)
    assert found.bar.end == pytest.approx(250e5)
    assert found.bar.unit == "bar"
    assert list(found.fitted) == ["short"]
    assert not found.fitted["short"].fits  # 180 bar is 2611 psi: beyond its end


def test_the_spans_leave_no_gap_a_setting_could_fall_into() -> None:
    """Spans 1.5 times apart put every setting at 50 to 75 %; the common ones are up to 5/3 apart: 45 %."""
    for spans in (PSI_SPANS, BAR_SPANS):
        wide = [b / a for a, b in pairwise(spans)]
        assert max(wide) <= 5 / 3 + 1e-9
