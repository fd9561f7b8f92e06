"""The printed chart of pressure-flow curves: one or several valves, rising and falling, with numbers.

Flow lies along the bottom, counted at 0 psi; pressure stands up from 0.  Every valve has its own colour, line
width, marker and hatch, so that colour alone never tells two apart; widths and markers are nested, so that the
later valve stays visible on top of an earlier one at the same pressure.  Letters are drawn as outlines, since
their places are worked out from the widths of this very font; the picture's ``<desc>`` has the numbers as text.
What is marked and said of a relief or a reducing valve comes from chart_facts.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from oilway import quantity
from oilway.draw.chart_facts import AnyCurve, Facts, lay_out
from oilway.draw.chart_style import (
    GRID,
    HEIGHT,
    HUES,
    INK,
    LEADING,
    PALE,
    SIZE,
    WIDTH,
    as_svg,
    cut,
    on_page,
    one_line,
    page,
    save,
)
from oilway.draw.labels import Box, Floats, along, free_place, inside, spread
from oilway.quantity import Units

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PROVENANCE = (
    "{read} Computed by Oilway from the valve files;\na teaching calculation, the maker's manual is the authority."
)
PLOT = Box(76.0, 120.0, 360.0, 342.0)
LEFT = 20.0  # where the lines below the plot begin
BARS, BAR, COLUMN = 444.0, 9.0, 516.0  # bars (override, droop) begin, width of one, labels of the valves begin
FOOT = 64.0  # upper edge of what stands below the plot
HEADROOM = 1.17  # of the pressure axis over the highest pressure: room for a label of two lines
SIDEROOM = 1.1  # of the flow axis below the least flow: room for its number beside that of the pressure axis
GAP = 4.0  # kept free around a label in the plot
SIGN, INDENT = 12.0, 19.0  # marker beside a label, and where the label begins
NAME_LETTERS = 24  # longer names are wrapped


@dataclass(frozen=True)
class _Pen:
    """How one valve is drawn; line width and marker size in points."""

    colour: str
    marker: str
    hatch: str
    width: float
    size: float


_PENS = (
    _Pen(HUES[0], "o", "////", 5.0, 16.5),
    _Pen(HUES[1], "s", "\\\\\\\\", 3.4, 11.0),
    _Pen(HUES[2], "^", "xxxx", 2.4, 9.5),
    _Pen(HUES[3], "D", "....", 1.6, 6.0),
)


def draw_curves(curves: Sequence[AnyCurve], *, units: Units = "shop", title: str = "") -> str:
    """The chart of one to four curves as SVG, beginning with ``<svg``; the same curves give the same text.

    Errors: :class:`InputError` for no curve, or for more than a chart has room for.
    """
    return as_svg(_chart(curves, units, title), _heading(curves, title), alt_text(curves, units))


def save_curves(curves: Sequence[AnyCurve], path: str | Path, units: Units = "shop", title: str = "") -> None:
    """Write the chart to ``path``, whose ending (.svg, .png or .pdf) says how.

    Errors: :class:`InputError` for another ending, as :func:`draw_curves`, and where it cannot be written.
    """
    save(_chart(curves, units, title), Path(path), _heading(curves, title), alt_text(curves, units))


def alt_text(curves: Sequence[AnyCurve], units: Units = "shop") -> str:
    """What the chart shows, in words and numbers, for whoever cannot see it."""
    layout = lay_out(curves, units)
    valves = (one_line(f"{facts.curve.name}: {'; '.join(facts.words)}.") for facts in layout.facts)
    return f"{layout.pressure.capitalize()} against {layout.flow}. " + " ".join(valves)


def _heading(curves: Sequence[AnyCurve], title: str) -> str:
    return one_line(title) or lay_out(curves, "shop").heading + "s" * (len(curves) > 1)


def _wrapped(name: str) -> list[str]:
    return textwrap.wrap(one_line(name), NAME_LETTERS, max_lines=2, placeholder=" ...")


@contextmanager
def _chart(curves: Sequence[AnyCurve], units: Units, title: str) -> Iterator[Figure]:
    """The finished chart, under the settings it has to be written with."""
    with page() as figure:
        frame = PLOT.x / WIDTH, PLOT.y / HEIGHT, PLOT.width / WIDTH, PLOT.height / HEIGHT
        _Chart(figure, figure.add_axes(frame), units, curves).draw(_heading(curves, title))
        yield figure


class _Chart:
    """One chart being drawn.  Places are points of the page from its lower left corner."""

    def __init__(self, figure: Figure, axes: Axes, units: Units, curves: Sequence[AnyCurve]) -> None:
        self.figure, self.axes, self.units = figure, axes, units
        self.layout = lay_out(curves, units)
        self.valves = list(zip(self.layout.facts, _PENS, strict=False))
        self.on_page = on_page(figure)
        self.taken: list[Floats] = []  # points (n, 2) that no label may cover
        self.falls = False  # whether a falling branch shows

    def draw(self, title: str) -> None:
        """Everything, from the back to the front; labels last, since they look for what is free."""
        self._frame(title)
        for facts, pen in self.valves:
            self._band(facts, pen)
            self._branches(facts, pen)
            self._points(facts, pen)
        self._bars()
        for facts, pen in self.valves:
            self._label(facts, pen)
        self._key()

    def _pressure(self, value: float) -> float:
        return quantity.number(value, "pressure", self.units)

    def _flow(self, value: float) -> float:
        return quantity.number(value, "flow", self.units)

    def _places(self, flows: Any, pressures: Any) -> Floats:
        """Where points of a curve (SI, (n,) each) stand on the page, (n, 2)."""
        units = [self._flow(1.0), self._pressure(1.0)]
        return np.asarray(self.axes.transData.transform(np.column_stack([flows, pressures]) * units))

    def _write(self, x: float, y: float, text: str, **style: Any) -> None:
        """Text whose first line hangs from (x, y)."""
        style = {"color": INK, "va": "top", "linespacing": LEADING, **self.on_page, **style}
        self.figure.text(x, y, text, **style)

    def _leader(self, start: Any, end: Any, pen: _Pen) -> None:
        """A thin line from what is labelled to its label."""
        self.axes.plot(*zip(start, end, strict=True), color=pen.colour, lw=1.3, zorder=2.5, **self.on_page)

    def _marker(self, place: Any, pen: _Pen, size: float, *, hollow: bool = False) -> None:
        face, edge, around = ("white", pen.colour, 1.5) if hollow else (pen.colour, "white", 1.0)
        style = {"mfc": face, "mec": edge, "mew": around, "zorder": 4, **self.on_page}
        self.axes.plot([place[0]], [place[1]], marker=pen.marker, ms=size, **style)

    def _frame(self, title: str) -> None:
        from matplotlib.ticker import MaxNLocator

        axes = self.axes
        ends = [ps for facts, _ in self.valves for _, ps in facts.curve.branches().values()]
        highest = max(float(pressures.max()) for pressures in ends)
        least, most = self.layout.extremes
        axes.set_xlim(SIDEROOM * self._flow(least), self._flow(most))
        axes.set_ylim(0, HEADROOM * self._pressure(highest))
        axes.set_autoscale_on(False)
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.tick_params(labelsize=15, labelcolor=INK)
        axes.spines[["top", "right"]].set_visible(False)
        flow, pressure = (quantity.unit(kind, self.units) for kind in ("flow", "pressure"))
        axes.set_xlabel(f"{self.layout.flow}, {flow} (counted at 0 {pressure})", fontsize=16, color=INK)
        axes.set_ylabel(f"{self.layout.pressure}, {pressure}", fontsize=16, color=INK)
        self._write(PLOT.x, HEIGHT - 12, cut(title), fontsize=19, weight="bold")
        self._write(LEFT, FOOT - 20, PROVENANCE.format(read=self.layout.read), color=PALE)

    def _band(self, facts: Facts, pen: _Pen) -> None:
        low, high = (self._pressure(end) for end in facts.bar)
        self.axes.axhspan(low, high, color=pen.colour, alpha=0.13, linewidth=0, zorder=1)

    def _branches(self, facts: Facts, pen: _Pen) -> None:
        """What leads into the rising branch, up that one, down the falling one.

        The falling branch is drawn only where it parts from the rising one by more than the line hides.
        """
        curve = facts.curve
        lead = self._places(*facts.lead)
        rising = self._places(curve.flows, curve.rising)
        falling = self._places(curve.flows, curve.falling)
        style: dict[str, Any] = {"color": pen.colour, "zorder": 3, **self.on_page}
        up = np.concatenate([lead, rising])
        self.axes.plot(*up.T, lw=pen.width, solid_capstyle="round", solid_joinstyle="round", **style)
        self.taken.append(along(up))
        parted = np.abs(falling - rising)[:, 1] > pen.width
        if parted.any():
            self.falls = True
            falling = np.where(parted[:, None], falling, np.nan)
            self.axes.plot(*falling.T, lw=max(0.6 * pen.width, 1.4), dashes=(4.0, 1.8), **style)
            self.taken.append(along(falling[parted]))

    def _points(self, facts: Facts, pen: _Pen) -> None:
        """Filled where it is read on rising flow, hollow where on falling flow; hollow ones first, below."""
        for mark in sorted(facts.marks, key=lambda mark: not mark.hollow):
            (place,) = self._places([mark.flow], [mark.pressure])
            self._marker(place, pen, mark.share * pen.size, hollow=mark.hollow)
            self.taken.append(inside(Box(place[0], place[1], 0.0, 0.0).grown(pen.size / 2)))

    def _bars(self) -> None:
        """Beside the plot, each override or droop as a bar, and the valve's label."""
        from matplotlib.patches import Rectangle

        # The longest bar stands nearest to the plot: lines to the labels then pass beside the shorter ones.
        valves = sorted(self.valves, key=lambda valve: valve[0].bar[0] - valve[0].bar[1])
        ends = [self._places([0.0, 0.0], facts.bar)[:, 1] for facts, _ in valves]
        names = [_wrapped(facts.curve.name) for facts, _ in valves]
        heights = [SIZE * LEADING * (len(name) + 3) + 8 for name in names]
        tops = spread([float(np.mean(pair)) + SIZE for pair in ends], heights, FOOT, PLOT.y + PLOT.height + 8)
        for k, (facts, pen) in enumerate(valves):
            x, (low, high), line = BARS + k * (BAR + 3), ends[k], tops[k] - 0.55 * SIZE
            bar = Rectangle((x, low), BAR, high - low, facecolor="white", edgecolor=pen.colour, zorder=3)
            bar.set(hatch=pen.hatch, linewidth=1.4, **self.on_page)
            self.axes.add_artist(bar)
            self._leader((x + BAR, np.clip(line, low, high)), (COLUMN - 13, line), pen)
            self._marker((COLUMN - 13, line), pen, SIGN)
            self._write(COLUMN, tops[k], "\n".join(names[k]), weight="bold")
            self._write(COLUMN, tops[k] - SIZE * LEADING * len(names[k]), facts.beside)

    def _label(self, facts: Facts, pen: _Pen) -> None:
        """The numbers of the first mark, in the free place nearest to it."""
        text = self.figure.text(0, 0, facts.label, color=INK, va="top", linespacing=LEADING, **self.on_page)
        size = text.get_window_extent()
        anchor = self._places([facts.marks[0].flow], [facts.marks[0].pressure])[0]
        wide, high = float(size.width) + INDENT + 2 * GAP, float(size.height) + 2 * GAP
        box = free_place(anchor, wide, high, np.concatenate(self.taken), PLOT, reach=pen.size)
        self.taken.append(inside(box))
        inner = box.grown(-GAP)
        top = inner.y + inner.height
        text.set_position((inner.x + INDENT, top))
        sign = np.array([inner.x + SIGN / 2, top - 0.55 * SIZE])
        self._marker(sign, pen, SIGN)
        self._leader(anchor, sign, pen)

    def _key(self) -> None:
        """What the kinds of line and marker mean, whichever the valve."""
        from matplotlib.lines import Line2D
        from matplotlib.patches import Patch

        dot: dict[str, Any] = {"color": PALE, "ls": "none", "marker": "o", "ms": 9}
        handles: list[Artist] = [
            Line2D([], [], color=PALE, lw=3, label="rising" if self.falls else "rising and falling"),
            Line2D([], [], color=PALE, lw=2, dashes=(4.0, 1.8), label="falling"),
            Line2D([], [], **dot, label=self.layout.filled),
            Line2D([], [], **dot, mfc="white", mew=1.5, label=self.layout.hollow),
            Patch(facecolor="white", edgecolor=PALE, hatch="////", label=self.layout.bar),
        ]
        if not self.falls:
            del handles[1]
        self.figure.legend(
            handles=handles, ncols=len(handles), loc="upper left", bbox_to_anchor=(LEFT, FOOT),
            bbox_transform=self.on_page["transform"], borderaxespad=0.0, borderpad=0.0, frameon=False,
            labelcolor=INK, columnspacing=1.4, handletextpad=0.5,
        )  # fmt: skip
