"""The chart of a spread says its numbers to who cannot see it, and is the same every time."""

from __future__ import annotations

from pathlib import Path

import pytest

import oilway
from oilway.draw.spread_chart import alt_text, draw_spread, save_spread
from oilway.errors import InputError
from oilway.quantity import show
from oilway.study.spread import spread


@pytest.fixture(scope="module")
def told():
    """Thirty sets of the direct-acting relief."""
    return spread(oilway.load("direct relief"), number=30)


def test_band_and_words(told) -> None:
    svg = draw_spread(told)
    assert svg == draw_spread(told)
    assert svg.startswith("<svg")
    assert alt_text(told) in svg
    low, high = (show(v, "pressure") for v in told.outputs[1].at(0.05, 0.95))
    assert f"full-flow pressure: 90 in 100 from {low} to {high}" in alt_text(told)


def test_a_machine_has_a_heap() -> None:
    assert "<svg" in draw_spread(spread(oilway.load("examples/tipping_hoist.yaml"), number=10), "metric")


def test_another_ending_is_refused(told, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="chart is written as"):
        save_spread(told, tmp_path / "spread.doc")
    save_spread(told, tmp_path / "spread.pdf")
    assert (tmp_path / "spread.pdf").read_bytes().startswith(b"%PDF")


def test_single_curves_are_drawn_into_the_band_and_counted(told) -> None:
    """Each is a line of its own: so many more paths than without them."""
    plain, fifty, ten = (draw_spread(told, curves=n).count("<path") for n in (0, 30, 10))
    assert fifty - ten >= 20
    assert ten > plain
    assert draw_spread(told, curves=200).count("<path") == draw_spread(told, curves=30).count("<path")


def test_a_run_has_a_band_over_the_time() -> None:
    machine = oilway.load("direct relief")
    told = spread(machine, number=5, duration=0.05, channels=["peak pressure:inlet"])
    assert "peak pressure:inlet: 90 in 100 from" in alt_text(told)
    assert "<svg" in draw_spread(told, "metric", 3)
