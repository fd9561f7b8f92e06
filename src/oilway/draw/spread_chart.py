"""The chart of a spread: the band of a pressure-flow curve, or the outputs of all sets as heaps."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from oilway import quantity
from oilway.draw.chart_style import GRID, HUES, INK, PALE, as_svg, cut, one_line, page, save
from oilway.quantity import Units, show
from oilway.study.spread import SHARES, Output, Spread

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Page

FRAME = (0.125, 0.2, 0.845, 0.71)  # of the page; what is said stands below
HEADROOM = 1.12
BINS = 40
WHITE = {"facecolor": "white", "edgecolor": "none", "pad": 1.5}


def draw_spread(told: Spread, units: Units = "shop") -> str:
    """The chart as SVG, beginning with ``<svg``."""
    return as_svg(_chart(told, units), _heading(told), alt_text(told, units))


def save_spread(told: Spread, path: Path, units: Units = "shop") -> None:
    """Write the chart to a file.  Errors: :class:`InputError` for an ending other than .svg, .png or .pdf."""
    save(_chart(told, units), path, _heading(told), alt_text(told, units))


def _heading(told: Spread) -> str:
    return one_line(f"{told.machine.title}: {told.number} sound sets of parts")


def alt_text(told: Spread, units: Units = "shop") -> str:
    """What the chart shows, in words and numbers."""
    return " ".join(_said(output, units) for output in told.outputs)


def _said(output: Output, units: Units) -> str:
    low, high = (show(v, output.kind, units) for v in output.at(SHARES[0], SHARES[-1]))
    accepted = "" if output.accepted is None else f", {100 * output.accepted:.0f} % {output.limit}"
    return f"{output.name}: 90 in 100 from {low} to {high}{accepted}."


@contextmanager
def _chart(told: Spread, units: Units) -> Iterator[Page]:
    with page() as figure:
        axes = figure.add_axes(FRAME)
        axes.set_title(cut(_heading(told)), loc="left", color=INK, fontweight="bold")
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.tick_params(colors=PALE)
        if told.band is not None:
            _draw_band(axes, told, units)
        else:
            _draw_heap(axes, max(told.outputs, key=_wide), units)
        words = [_said(output, units) for output in told.outputs[:4]]
        figure.text(0.03, 0.02, "\n".join(words[:3]), fontsize=10, color=PALE, va="bottom")
        yield figure


def _draw_band(axes: Axes, told: Spread, units: Units) -> None:
    assert told.band is not None
    flows = [quantity.number(float(q), "flow", units) for q in told.band.flows]
    pressure = np.vectorize(lambda p: quantity.number(float(p), "pressure", units))
    lines, nominal = pressure(told.band.lines), pressure(told.band.nominal)
    axes.fill_between(flows, lines[:, 0], lines[:, -1], facecolor="#cfdcea", edgecolor=HUES[0], hatch="/")
    axes.plot(flows, nominal, color=INK, linewidth=2.4)
    axes.annotate(
        "as written", (flows[-1], nominal[-1]), (-6, -18), textcoords="offset points", ha="right", bbox=WHITE
    )
    axes.annotate("90 in 100 in here", (flows[-1], lines[-1, -1]), (-6, 6), textcoords="offset points", ha="right")
    axes.set_ylim(0, HEADROOM * float(lines.max()))
    axes.set_xlim(0, flows[-1])
    axes.set_xlabel(f"flow, {quantity.unit('flow', units)}")
    axes.set_ylabel(f"inlet pressure, {quantity.unit('pressure', units)}")


def _wide(output: Output) -> float:
    """How far an output spreads, as a share of itself."""
    return output.deviation / (abs(output.nominal) or 1.0)


def _draw_heap(axes: Axes, output: Output, units: Units) -> None:
    known = output.values[np.isfinite(output.values)]
    values = [quantity.number(float(v), output.kind, units) for v in known]
    room = 1e-6 * max(map(abs, values), default=0.0) or 1e-9  # what no part moves is one heap
    ends = min(values) - room, max(values) + room
    axes.hist(values, bins=BINS, range=ends, color="#cfdcea", edgecolor=HUES[0])
    axes.axvline(quantity.number(output.nominal, output.kind, units), color=INK, linewidth=2.4)
    axes.set_xlabel(f"{output.name}, {quantity.unit(output.kind, units)}; the line: as written")
    axes.set_ylabel("sets")
