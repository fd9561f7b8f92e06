"""The printed chart of pressure-flow curves: one or several relief valves, rising and falling, with numbers.

Flow lies along the bottom, counted at 0 psi; pressure stands up from 0.  Every valve has its own colour, line
width, marker and hatch, so that colour alone never tells two apart; widths and markers are nested, so that the
later valve stays visible on top of an earlier one at the same pressure.  Letters are drawn as outlines, since
their places are worked out from the widths of this very font; the picture's ``<desc>`` has the numbers as text.
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
from oilway.errors import InputError, Place, Problem
from oilway.quantity import Units, show
from oilway.study.curve import Curve

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PROVENANCE = (
    "Cracking and reseating read at {flows}. Computed by Oilway from the valve files;\n"
    "a teaching calculation, the maker's manual is the authority."
)
PLOT = Box(76.0, 120.0, 360.0, 342.0)
LEFT = 20.0  # where the lines below the plot begin
BARS, BAR, COLUMN = 444.0, 9.0, 516.0  # override bars begin, width of one, labels of the valves begin
FOOT = 64.0  # upper edge of what stands below the plot
HEADROOM = 1.17  # of the pressure axis over the highest pressure: room for a label of two lines
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


def draw_curves(curves: Sequence[Curve], *, units: Units = "shop", title: str = "") -> str:
    """The chart of one to four curves as SVG, beginning with ``<svg``; the same curves give the same text.

    Errors: :class:`InputError` for no curve, or for more than a chart has room for.
    """
    return as_svg(_chart(curves, units, title), _heading(curves, title), alt_text(curves, units))


def save_curves(curves: Sequence[Curve], path: str | Path, units: Units = "shop", title: str = "") -> None:
    """Write the chart to ``path``, whose ending (.svg, .png or .pdf) says how.

    Errors: :class:`InputError` for another ending, as :func:`draw_curves`, and where it cannot be written.
    """
    save(_chart(curves, units, title), Path(path), _heading(curves, title), alt_text(curves, units))


def alt_text(curves: Sequence[Curve], units: Units = "shop") -> str:
    """What the chart shows, in words and numbers, for whoever cannot see it."""
    return "Inlet pressure against flow. " + " ".join(_in_words(curve, units) for curve in curves)


def _in_words(curve: Curve, units: Units) -> str:
    def at(pressure: float, flow: float) -> str:
        return f"{show(pressure, 'pressure', units)} at {show(flow, 'flow', units)}"

    facts = [
        *(f"{opening.part} opens at {show(opening.pressure, 'pressure', units)}" for opening in curve.openings),
        f"cracking pressure {at(curve.cracking, curve.cracked_flow)}",
        f"full-flow pressure {at(curve.full, curve.full_flow)}",
        f"override {_override(curve, units)}",
        f"reseating pressure {at(curve.reseating, curve.cracked_flow)}",
        f"rising less falling pressure {at(curve.hysteresis, curve.full_flow / 2)}",
    ]
    return one_line(f"{curve.name}: {'; '.join(facts)}.")


def _override(curve: Curve, units: Units) -> str:
    return f"{show(curve.override, 'pressure', units)}, {show(curve.override_share, 'ratio', units)}"


def _heading(curves: Sequence[Curve], title: str) -> str:
    return one_line(title) or ("Pressure-flow curve" if len(curves) == 1 else "Pressure-flow curves")


def _wrapped(name: str) -> list[str]:
    return textwrap.wrap(one_line(name), NAME_LETTERS, max_lines=2, placeholder=" ...")


@contextmanager
def _chart(curves: Sequence[Curve], units: Units, title: str) -> Iterator[Figure]:
    """The finished chart, under the settings it has to be written with."""
    if not 1 <= len(curves) <= len(_PENS):
        what = f"a chart has room for one to {len(_PENS)} curves, not for {len(curves)}"
        raise InputError(Problem(Place("chart"), what, "draw the others on a chart of their own"))
    with page() as figure:
        frame = PLOT.x / WIDTH, PLOT.y / HEIGHT, PLOT.width / WIDTH, PLOT.height / HEIGHT
        _Chart(figure, figure.add_axes(frame), units, curves).draw(_heading(curves, title))
        yield figure


class _Chart:
    """One chart being drawn.  Places are points of the page from its lower left corner."""

    def __init__(self, figure: Figure, axes: Axes, units: Units, curves: Sequence[Curve]) -> None:
        self.figure, self.axes, self.units = figure, axes, units
        self.valves = list(zip(curves, _PENS, strict=False))
        self.on_page = on_page(figure)
        self.taken: list[Floats] = []  # points (n, 2) that no label may cover
        self.falls = False  # whether a falling branch shows

    def draw(self, title: str) -> None:
        """Everything, from the back to the front; labels last, since they look for what is free."""
        self._frame(title)
        for curve, pen in self.valves:
            self._band(curve, pen)
            self._branches(curve, pen)
            self._points(curve, pen)
        self._overrides()
        for curve, pen in self.valves:
            self._cracking_label(curve, pen)
        self._key()

    def _pressure(self, value: float) -> float:
        return quantity.number(value, "pressure", self.units)

    def _flow(self, value: float) -> float:
        return quantity.number(value, "flow", self.units)

    def _shown(self, pressure: float) -> str:
        return show(pressure, "pressure", self.units)

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
        highest = max(float(max(curve.rising.max(), curve.falling.max())) for curve, _ in self.valves)
        axes.set_xlim(0, self._flow(max(curve.full_flow for curve, _ in self.valves)))
        axes.set_ylim(0, HEADROOM * self._pressure(highest))
        axes.set_autoscale_on(False)
        for axis in (axes.xaxis, axes.yaxis):
            axis.set_major_locator(MaxNLocator(6, steps=[1, 2, 2.5, 5, 10]))
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.tick_params(labelsize=15, labelcolor=INK)
        axes.spines[["top", "right"]].set_visible(False)
        flow, pressure = (quantity.unit(kind, self.units) for kind in ("flow", "pressure"))
        axes.set_xlabel(f"flow, {flow} (counted at 0 {pressure})", fontsize=16, color=INK)
        axes.set_ylabel(f"inlet pressure, {pressure}", fontsize=16, color=INK)
        self._write(PLOT.x, HEIGHT - 12, cut(title), fontsize=19, weight="bold")
        read = [curve.cracked_flow for curve, _ in self.valves]
        flows = dict.fromkeys(show(flow, "flow", self.units) for flow in (min(read), max(read)))
        self._write(LEFT, FOOT - 20, PROVENANCE.format(flows=" to ".join(flows)), color=PALE)

    def _band(self, curve: Curve, pen: _Pen) -> None:
        low, high = self._pressure(curve.cracking), self._pressure(curve.full)
        self.axes.axhspan(low, high, color=pen.colour, alpha=0.13, linewidth=0, zorder=1)

    def _branches(self, curve: Curve, pen: _Pen) -> None:
        """Up along the axis to where the valve begins to open, up the rising branch, down the falling one.

        The falling branch is drawn only where it parts from the rising one by more than the line hides.
        """
        rising = self._places([0.0, *curve.flows], [0.0, *curve.rising])
        falling = self._places(curve.flows, curve.falling)
        style: dict[str, Any] = {"color": pen.colour, "zorder": 3, **self.on_page}
        self.axes.plot(*rising.T, lw=pen.width, solid_capstyle="round", solid_joinstyle="round", **style)
        self.taken.append(along(rising))
        parted = np.abs(falling - rising[1:])[:, 1] > pen.width
        if parted.any():
            self.falls = True
            falling = np.where(parted[:, None], falling, np.nan)
            self.axes.plot(*falling.T, lw=max(0.6 * pen.width, 1.4), dashes=(4.0, 1.8), **style)
            self.taken.append(along(falling[parted]))

    def _points(self, curve: Curve, pen: _Pen) -> None:
        """Filled where the pressure rises (cracking, full flow), hollow where it has fallen (reseating)."""
        flows = [curve.cracked_flow, curve.cracked_flow, curve.full_flow]
        places = self._places(flows, [curve.reseating, curve.cracking, curve.full])
        # Cracking is drawn smaller, so that reseating shows round it where the two are close.
        for place, share, hollow in zip(places, (1.0, 0.6, 1.0), (True, False, False), strict=True):
            self._marker(place, pen, share * pen.size, hollow=hollow)
            self.taken.append(inside(Box(place[0], place[1], 0.0, 0.0).grown(pen.size / 2)))

    def _overrides(self) -> None:
        """Beside the plot, each override as a bar from cracking to full-flow pressure, and the valve's label."""
        from matplotlib.patches import Rectangle

        # The longest bar stands nearest to the plot: lines to the labels then pass beside the shorter ones.
        valves = sorted(self.valves, key=lambda valve: -valve[0].override)
        ends = [self._places([0.0, 0.0], [curve.cracking, curve.full])[:, 1] for curve, _ in valves]
        names = [_wrapped(curve.name) for curve, _ in valves]
        heights = [SIZE * LEADING * (len(name) + 3) + 8 for name in names]
        tops = spread([float(np.mean(pair)) + SIZE for pair in ends], heights, FOOT, PLOT.y + PLOT.height + 8)
        for k, (curve, pen) in enumerate(valves):
            x, (low, high), line = BARS + k * (BAR + 3), ends[k], tops[k] - 0.55 * SIZE
            bar = Rectangle((x, low), BAR, high - low, facecolor="white", edgecolor=pen.colour, zorder=3)
            bar.set(hatch=pen.hatch, linewidth=1.4, **self.on_page)
            self.axes.add_artist(bar)
            self._leader((x + BAR, np.clip(line, low, high)), (COLUMN - 13, line), pen)
            self._marker((COLUMN - 13, line), pen, SIGN)
            self._write(COLUMN, tops[k], "\n".join(names[k]), weight="bold")
            full = f"full flow {self._shown(curve.full)}\nat {show(curve.full_flow, 'flow', self.units)}"
            numbers = f"{full}\noverride {_override(curve, self.units)}"
            self._write(COLUMN, tops[k] - SIZE * LEADING * len(names[k]), numbers)

    def _cracking_label(self, curve: Curve, pen: _Pen) -> None:
        """The numbers of cracking and reseating, in the free place nearest to the point."""
        words = f"cracks {self._shown(curve.cracking)}\nreseats {self._shown(curve.reseating)}"
        text = self.figure.text(0, 0, words, color=INK, va="top", linespacing=LEADING, **self.on_page)
        size = text.get_window_extent()
        anchor = self._places([curve.cracked_flow], [curve.cracking])[0]
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
            Line2D([], [], **dot, label="cracks, full flow"),
            Line2D([], [], **dot, mfc="white", mew=1.5, label="reseats"),
            Patch(facecolor="white", edgecolor=PALE, hatch="////", label="override"),
        ]
        if not self.falls:
            del handles[1]
        self.figure.legend(
            handles=handles, ncols=len(handles), loc="upper left", bbox_to_anchor=(LEFT, FOOT),
            bbox_transform=self.on_page["transform"], borderaxespad=0.0, borderpad=0.0, frameon=False,
            labelcolor=INK, columnspacing=1.4, handletextpad=0.5,
        )  # fmt: skip
