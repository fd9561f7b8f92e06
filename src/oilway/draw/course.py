"""The printed chart of a run: pressures over time on top, below them which parts are open and what moves.

Every line has its own colour, width and dashes and is named at its end, so that colour alone never tells two
apart.  A bar shows when a part is off its seat (or a cylinder on an end stop); grey shows when the inputs change.
The picture's ``<desc>`` has the numbers as text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
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
from oilway.draw.labels import Floats, spread
from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.quantity import Units, show
from oilway.study.run import Run

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

KEY = "Bar: off its seat, or a cylinder on its end stop. Grey: the inputs change."
PROVENANCE = "Computed by Oilway; a teaching calculation, the maker's manual is the authority."
# Points of the page.
LEFT, RIGHT, BOTTOM, TOP = 92.0, 470.0, 98.0, 462.0
GAP, ROW = 14.0, 20.0  # between panels; height of a bar with its label
COLUMN, LEADER = 496.0, 484.0  # labels begin, lines to them end
NAME_LETTERS, BOLD_LETTERS = 26, 22  # a longer name loses its beginning, which is its valve's
MOST_LINES, MOST_PANELS, MOST_ROWS, MOST_EVENTS = 4, 3, 3, 12
SHARES = {1: (1.0,), 2: (0.64, 0.36), 3: (0.46, 0.27, 0.27)}  # of the height, by number of panels
ZOOM = 0.5  # an axis begins at 0 unless everything on it stays above this share of the highest
SAME = 0.01  # a pressure this close to another one, as a share of the highest, is not drawn as well
WORDS = {
    "pressure": "pressure",
    "flow": "flow",
    "lift": "lift",
    "position": "position",
    "velocity": "speed",
    "speed": "shaft speed",
    "stroke": "pump stroke",
    "oil": "oil held",
}


@dataclass(frozen=True)
class _Pen:
    """How one line of a panel is drawn; widths and dashes in points."""

    colour: str
    width: float
    dashes: tuple[float, ...]


_PENS = (
    _Pen(HUES[0], 3.2, ()),
    _Pen(HUES[1], 2.6, (6.0, 1.6)),
    _Pen(HUES[2], 2.2, (2.2, 1.2)),
    _Pen(HUES[3], 1.8, (5.0, 1.5, 1.2, 1.5)),
)


@dataclass
class _Panel:
    """One panel: what it shows (the first word of its series), its quantity kind, series by name of the part."""

    word: str
    kind: str
    lines: dict[str, Floats] = field(default_factory=dict)


def draw_course(run: Run, *, units: Units = "shop", what: Sequence[str] | None = None, title: str = "") -> str:
    """The chart of a run as SVG, beginning with ``<svg``; the same run gives the same text.

    ``what`` are names of series of the run ("pressure in pump line"); without it, the pressures at the gauges (or
    the main ones), the cylinders and the shafts (or the lifts).  Errors: :class:`InputError` for a series that is
    not there.
    """
    panels = _panels(run, what)
    return as_svg(_chart(run, panels, units, title), _heading(run, title), alt_text(run, units, what))


def save_course(
    run: Run, path: str | Path, units: Units = "shop", what: Sequence[str] | None = None, title: str = ""
) -> None:
    """Write the chart to ``path``, whose ending (.svg, .png or .pdf) says how.

    Errors: :class:`InputError` for another ending, as :func:`draw_course`, and where it cannot be written.
    """
    chart = _chart(run, _panels(run, what), units, title)
    save(chart, Path(path), _heading(run, title), alt_text(run, units, what))


def alt_text(run: Run, units: Units = "shop", what: Sequence[str] | None = None) -> str:
    """What the chart shows, in words and numbers, for whoever cannot see it."""
    said = [f"Course of {run.times[-1]:g} s."]
    for panel in _panels(run, what):
        for name, values in panel.lines.items():
            start, end, least, most = (
                show(float(v), panel.kind, units) for v in (values[0], values[-1], values.min(), values.max())
            )
            said.append(f"{name}, {WORDS[panel.word]}: from {start} to {end}, between {least} and {most}.")
    said += [f"{event.part} {event.what} at {event.time:.4f} s." for event in run.events[:MOST_EVENTS]]
    return one_line(" ".join(said))


def _heading(run: Run, title: str) -> str:
    return one_line(title) or one_line(run.machine.title)


# -- what is shown --------------------------------------------------------------------------------------------
def _panels(run: Run, what: Sequence[str] | None) -> list[_Panel]:
    """The panels, pressures first."""
    panels: dict[str, _Panel] = {}
    for name in _chosen(run) if what is None else what:
        if name not in run.series:
            hint = did_you_mean(name, run.series) or "for example 'pressure in ...', 'lift of ...'"
            raise InputError(Problem(Place("chart"), f"the run has no series '{name}'", hint))
        word, _, part = name.split(" ", 2)
        panel = panels.setdefault(word, _Panel(word, run.series[name].kind))
        if len(panel.lines) < MOST_LINES:
            panel.lines[part] = run.series[name].values
    order = list(WORDS)
    return sorted(panels.values(), key=lambda panel: order.index(panel.word))[:MOST_PANELS]


def _chosen(run: Run) -> list[str]:
    """Series that tell most: gauges, or pressures unlike each other, highest first; what is driven, or lifts."""
    parts = run.machine.parts.values()
    gauges = [f"pressure in {p.nodes['at']}" for p in parts if p.kind == "gauge"]
    chosen = list(dict.fromkeys(gauges)) or _unlike(run)
    cylinders = run.machine.system.motion.cylinders
    moved = [f"{word} of {name}" for word in ("position", "velocity") for name in cylinders]
    moved += [name for name, series in run.series.items() if series.kind == "rotation"]
    if moved:
        return chosen + moved
    return chosen + [f"lift of {part}" for part in run.machine.system.moving]


def _unlike(run: Run) -> list[str]:
    pressures = {n: s.values for n, s in run.series.items() if s.kind == "pressure"}
    highest = max(float(np.abs(values).max()) for values in pressures.values())
    chosen: list[str] = []
    for name in sorted(pressures, key=lambda n: -float(pressures[n].max())):
        apart = [float(np.abs(pressures[name] - pressures[other]).max()) for other in chosen]
        flat = float(np.abs(pressures[name]).max()) < SAME * highest
        if not flat and min(apart, default=np.inf) > SAME * highest:
            chosen.append(name)
    return chosen or list(pressures)[:1]


def _bars(run: Run) -> dict[str, list[tuple[float, float]]]:
    """For each part that did something at its seat or end: when it was off its seat, or on its end stop."""
    busy = dict.fromkeys(event.part for event in run.events)
    bars = {}
    for part in busy:
        if f"lift of {part}" in run.series:
            bars[part] = _spans(run.times, run.series[f"lift of {part}"].values > 0)
        else:
            places, column = run.series[f"position of {part}"].values, run.machine.system.parameters
            stroke = run.course.th[:, column[f"{part}.stroke"]]
            bars[part] = _spans(run.times, (places <= 0) | (places >= stroke))
    return dict(list(bars.items())[:MOST_ROWS])


def _spans(times: Floats, true: Any) -> list[tuple[float, float]]:
    """(begin, length) of the stretches in which something is true at the output points."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], true, [False]]).astype(int)))
    last = len(times) - 1
    return [(float(times[a]), float(times[min(b, last)] - times[a])) for a, b in edges.reshape(-1, 2)]


def _ending(name: str, letters: int) -> str:
    name = one_line(name)
    return name if len(name) <= letters else "..." + name[3 - letters :]


# -- drawing --------------------------------------------------------------------------------------------------
@contextmanager
def _chart(run: Run, panels: list[_Panel], units: Units, title: str) -> Iterator[Figure]:
    """The finished chart, under the settings it has to be written with."""
    with page() as figure:
        _Chart(figure, run, units).draw(panels, _heading(run, title))
        yield figure


class _Chart:
    """One chart being drawn.  Places are points of the page from its lower left corner."""

    def __init__(self, figure: Figure, run: Run, units: Units) -> None:
        self.figure, self.run, self.units = figure, run, units
        self.on_page = on_page(figure)
        self.bars = _bars(run)

    def draw(self, panels: list[_Panel], title: str) -> None:
        """Panels from the top, with the bars between the first and the second."""
        self._write(LEFT, HEIGHT - 12, cut(title), fontsize=19, weight="bold")
        rows = ROW * len(self.bars) + (GAP if self.bars else 0.0)
        free = TOP - BOTTOM - rows - GAP * (len(panels) - 1)
        top = TOP
        for k, (panel, share) in enumerate(zip(panels, SHARES[len(panels)], strict=True)):
            axes = self._axes(top - share * free, share * free)
            self._panel(axes, panel)
            top -= share * free + GAP
            if k == 0 and self.bars:
                axes.tick_params(labelbottom=False)
                axes = self._axes(top - ROW * len(self.bars), ROW * len(self.bars))
                self._rows(axes)
                top -= rows
            if top > BOTTOM:
                axes.tick_params(labelbottom=False)
        axes.set_xlabel("time, s", fontsize=16, color=INK)
        self._write(20.0, 46.0, f"{KEY}\n{PROVENANCE}", color=PALE)

    def _write(self, x: float, y: float, text: str, **style: Any) -> None:
        """Text whose first line hangs from (x, y)."""
        style = {"color": INK, "va": "top", "linespacing": LEADING, **self.on_page, **style}
        self.figure.text(x, y, text, **style)

    def _axes(self, bottom: float, height: float) -> Axes:
        frame = LEFT / WIDTH, bottom / HEIGHT, (RIGHT - LEFT) / WIDTH, height / HEIGHT
        axes = self.figure.add_axes(frame)
        axes.set_xlim(0.0, float(self.run.times[-1]) or 1.0)
        axes.set_axisbelow(True)
        axes.tick_params(labelsize=SIZE, labelcolor=INK)
        axes.tick_params(axis="x", pad=8)  # clear of the lowest number beside it
        axes.spines[["top", "right"]].set_visible(False)
        for change in self.run.changes:
            axes.axvspan(change.at, change.at + change.over, color=PALE, alpha=0.25, lw=1.5, zorder=0)
        return axes

    def _panel(self, axes: Axes, panel: _Panel) -> None:
        from matplotlib.ticker import MaxNLocator

        per = quantity.number(1.0, panel.kind, self.units)
        lines = {name: values * per for name, values in panel.lines.items()}
        low, high = (pick(float(pick(v)) for v in lines.values()) for pick in (min, max))
        if panel.word != "position" and not low > ZOOM * high:
            low = min(low, 0.0)
        room = 0.06 * ((high - low) or 1.0)
        axes.set_ylim(low - (room if low else 0.0), high + room)
        height = axes.get_window_extent().height
        axes.yaxis.set_major_locator(MaxNLocator(max(2, int(height / 34)), steps=[1, 2, 2.5, 5, 10]))
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_ylabel(f"{WORDS[panel.word]}\n{quantity.unit(panel.kind, self.units)}", fontsize=SIZE, color=INK)
        axes.yaxis.set_label_coords(-56.0 / (RIGHT - LEFT), 0.5)
        for values, pen in zip(lines.values(), _PENS, strict=False):
            style: dict[str, Any] = {"dashes": pen.dashes} if pen.dashes else {}
            axes.plot(self.run.times, values, color=pen.colour, lw=pen.width, zorder=3, **style)
        self._labels(axes, panel, [float(v[-1]) for v in lines.values()])

    def _labels(self, axes: Axes, panel: _Panel, ends: list[float]) -> None:
        """Names at the ends of the lines, with the numbers to take away, none over another."""
        box = axes.get_window_extent()
        places = [float(axes.transData.transform((0.0, end))[1]) for end in ends]
        texts = [self._label(name, values, panel) for name, values in panel.lines.items()]
        heights = [SIZE * LEADING * len(text) + 5 for text in texts]
        tops = spread([y + SIZE / 2 for y in places], heights, float(box.y0) - 4, float(box.y1) + 6)
        for y, top, text, pen in zip(places, tops, texts, _PENS, strict=False):
            line = top - 0.55 * SIZE
            style: dict[str, Any] = {"dashes": pen.dashes} if pen.dashes else {}
            self.figure.add_artist(self._line([RIGHT, LEADER], [y, line], color=pen.colour, lw=1.2))
            self.figure.add_artist(
                self._line([LEADER, COLUMN - 3], [line, line], color=pen.colour, lw=pen.width, **style)
            )
            self._write(COLUMN, top, text[0], weight="bold")
            if text[1:]:
                self._write(COLUMN, top - SIZE * LEADING, "\n".join(text[1:]))

    def _line(self, x: list[float], y: list[float], **style: Any) -> Any:
        from matplotlib.lines import Line2D

        return Line2D(x, y, solid_capstyle="butt", **{**self.on_page, **style})

    def _label(self, name: str, values: Floats, panel: _Panel) -> list[str]:
        """The name in one line and one line of numbers."""
        first = _ending(name, BOLD_LETTERS)
        if panel.word == "pressure":
            unit = quantity.unit("pressure", self.units)
            peak, end = (
                show(float(v), "pressure", self.units).removesuffix(unit).strip()
                for v in (values.max(), values[-1])
            )
            return [first, f"peak {peak}, end {end}"]
        if panel.word == "position":
            return [first, f"ends at {show(float(values[-1]), panel.kind, self.units)}"]
        return [first, f"at most {show(float(np.abs(values).max()), panel.kind, self.units)}"]

    def _rows(self, axes: Axes) -> None:
        """One bar a part."""
        axes.set_ylim(len(self.bars), 0)
        axes.set_yticks([])
        axes.spines[["left", "bottom"]].set_visible(False)
        axes.tick_params(bottom=False)
        top = float(axes.get_window_extent().y1)
        for k, (name, spans) in enumerate(self.bars.items()):
            axes.axhline(k + 0.5, color=GRID, lw=0.8, zorder=1)
            axes.broken_barh(spans, (k + 0.22, 0.56), color=INK, lw=0, zorder=3)
            self._write(COLUMN, top - (k + 0.5) * ROW, _ending(name, NAME_LETTERS), va="center")
