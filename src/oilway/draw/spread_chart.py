"""The chart of a spread: the band of a pressure-flow curve, or the outputs of all sets as heaps."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from oilway import quantity
from oilway.draw.chart_style import HUES, INK, PALE, as_svg, one_line, page, save, titled
from oilway.model.system import Vector
from oilway.quantity import Units, show
from oilway.study.spread import SHARES, Band, Output, Spread

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Page

FRAME = (0.125, 0.2, 0.845, 0.71)  # of the page; what is said stands below
ROOM = 0.12  # of what is drawn, above and below it
ABOVE = 2.5  # as much room above as below: the key has its place there
CLOSE = 0.8  # lines that lie closer together than this share of them are looked at closely
FIRST = 0.005  # of what they stand over is not looked at so closely
BAND, FAINT = "#cfdcea", "#e6edf5"
BINS = 40
SINGLE: dict[str, Any] = {"color": HUES[0], "linewidth": 0.6, "alpha": 0.5}  # the band is seen between them
# The line as written, in a band and among single ones.
WRITTEN: dict[bool, dict[str, Any]] = {
    False: {"color": INK, "linewidth": 2.4},
    True: {"color": INK, "linewidth": 2.4, "linestyle": (0, (4, 2))},
}


def draw_spread(told: Spread, units: Units = "shop", curves: int = 0) -> str:
    """The chart as SVG, beginning with ``<svg``: the band, and ``curves`` single ones in it."""
    return as_svg(_chart(told, units, curves), _heading(told), alt_text(told, units))


def save_spread(told: Spread, path: Path, units: Units = "shop", curves: int = 0) -> None:
    """Write the chart to a file.  Errors: :class:`InputError` for an ending other than .svg, .png or .pdf."""
    save(_chart(told, units, curves), path, _heading(told), alt_text(told, units))


def _heading(told: Spread) -> str:
    anew = ", set anew" if told.job.anew else ""
    return one_line(f"{told.machine.title}: {told.number} sound sets{anew}")


def alt_text(told: Spread, units: Units = "shop") -> str:
    """What the chart shows, in words and numbers."""
    return " ".join(_said(output, units) for output in told.outputs)


def _said(output: Output, units: Units) -> str:
    ends = output.at(SHARES[0], SHARES[-1])
    if output.lost == len(output.values):
        return f"{output.name}: no set has one."
    low, high = (show(v, output.kind, units) for v in ends)
    accepted = "" if output.accepted is None else f", {100 * output.accepted:.0f} % {output.limit}"
    return f"{output.name}: 90 in 100 from {low} to {high}{accepted}."


@contextmanager
def _chart(told: Spread, units: Units, curves: int) -> Iterator[Page]:
    with page() as figure:
        axes = titled(figure, FRAME, _heading(told))
        if told.band is not None:
            _draw_band(axes, told.band, units, curves)
        else:
            _draw_heap(axes, max(told.outputs, key=_wide), units)
        words = [_said(output, units) for output in told.outputs[:4]]
        figure.text(0.03, 0.02, "\n".join(words[:3]), fontsize=10, color=PALE, va="bottom")
        yield figure


def _draw_band(axes: Axes, band: Band, units: Units, curves: int) -> None:
    over = band.over
    x = [quantity.number(float(v), over.x_kind, units) for v in over.x]
    in_units = np.vectorize(lambda v: quantity.number(float(v), over.kind, units))
    lines, nominal = in_units(band.lines), in_units(band.nominal)
    single = in_units(band.single[:curves]) if curves else np.empty((0, len(x)))
    plain: dict[str, Any] = {"facecolor": BAND, "edgecolor": HUES[0], "hatch": "/"}
    if curves:
        plain = {"facecolor": FAINT, "edgecolor": HUES[0], "linewidth": 2.0}
    axes.plot(x, single.T, **SINGLE)
    axes.fill_between(x, lines[:, 0], lines[:, -1], **plain, zorder=1)
    axes.plot(x, nominal, **WRITTEN[bool(curves)])
    cut_off = _limit(axes, np.array(x), np.vstack([lines.T, single, nominal]))
    axes.set_xlim(x[0], x[-1])
    axes.set_xlabel(f"{over.x_name}, {quantity.unit(over.x_kind, units)}{cut_off}")
    axes.set_ylabel(f"{over.name}, {quantity.unit(over.kind, units)}")
    _key(axes, plain, len(single))


def _limit(axes: Axes, x: Vector, drawn: Vector) -> str:
    """The scale from 0, or close around lines that lie close together; what a reader must know of that.

    A valve that only just opens is left out of it: its pressure there may lie far below.
    """
    drawn = drawn[:, x >= FIRST * x[-1]]
    low, high = float(np.nanmin(drawn)), float(np.nanmax(drawn))
    room = ROOM * (high - low) or 1e-6 * abs(high) or 1e-9  # what no part moves is one line
    if low > CLOSE * high > 0:
        axes.set_ylim(low - room, high + ABOVE * room)
        return "; the scale at the left does not begin at 0"
    axes.set_ylim(min(0.0, low - room), high + ABOVE * room)
    return ""


def _key(axes: Axes, plain: dict[str, Any], single: int) -> None:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    keys: list[Any] = [Line2D([], [], **WRITTEN[bool(single)], label="as written")]
    keys.append(Patch(**plain, label="90 in 100 in here"))
    if single:
        keys.append(Line2D([], [], **SINGLE, label=f"{single} single sets"))
    axes.legend(handles=keys, loc="best", facecolor="white", edgecolor="none", framealpha=1.0, fontsize=12)


def _wide(output: Output) -> float:
    """How far an output spreads, as a share of itself."""
    return output.deviation / (abs(output.nominal) or 1.0) if output.nominal == output.nominal else 0.0


def _draw_heap(axes: Axes, output: Output, units: Units) -> None:
    known = output.values[np.isfinite(output.values)]
    values = [quantity.number(float(v), output.kind, units) for v in known]
    room = 1e-6 * max(map(abs, values), default=0.0) or 1e-9  # what no part moves is one heap
    ends = min(values) - room, max(values) + room
    axes.hist(values, bins=BINS, range=ends, color="#cfdcea", edgecolor=HUES[0])
    axes.axvline(quantity.number(output.nominal, output.kind, units), color=INK, linewidth=2.4)
    axes.set_xlabel(f"{output.name}, {quantity.unit(output.kind, units)}; the line: as written")
    axes.set_ylabel("sets")
