"""The chart on a test sheet: readings up and down, the limits as a band, the figures with their doubt.

Rising readings are filled and joined by a full line, falling ones hollow and dashed: told apart without colour.  A
logger's thousands of rows are drawn as their median in narrow steps of the swept column.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from oilway import quantity
from oilway.draw.chart_style import GRID, HUES, INK, PALE, as_svg, cut, one_line, page, save
from oilway.errors import InputError, Place, Problem
from oilway.quantity import Units, show
from oilway.study.branches import Branch, branches
from oilway.study.proof import Found, Proof
from oilway.study.rows import COLUMNS, Floats, Table

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure as Page

MOST = 60  # points drawn of a branch
FRAME = (0.125, 0.27, 0.845, 0.65)  # of the page; the key stands below
STEP_FRAME = (0.125, 0.12, 0.845, 0.8)
HEADROOM = 1.12
ZOOM = 0.5  # lowest over highest; above it the part below is cut off
# Which column is drawn over the swept one, by test; what has no sweep has no chart.
UPRIGHT = {"relief": "P", "pump flow": "Q", "reducing": "R", "counterbalance": "L"}
# Figures drawn as a point with its doubt, where they stand along the bottom.
AT_FULL = ("full-flow pressure", "reduced pressure at full flow", "flow at rated pressure")


def has_chart(proof: Proof) -> bool:
    """Whether this test has rows that go up, or a step."""
    found = proof.last
    return found.section.step is not None or (
        proof.readings.form.name in UPRIGHT and found.table is not None and len(found.table) > 1
    )


def draw_proof(proof: Proof, units: Units = "shop") -> str:
    """The chart as SVG.  Errors: :class:`InputError` for a test without a sweep."""
    return as_svg(_chart(proof, units), _heading(proof), alt_text(proof, units))


def save_proof(proof: Proof, path: Path, units: Units = "shop") -> None:
    """Write the chart to a file (.svg, .png, .pdf).  Errors: as :func:`draw_proof`, and for another ending."""
    save(_chart(proof, units), path, _heading(proof), alt_text(proof, units))


def alt_text(proof: Proof, units: Units = "shop") -> str:
    """What the chart shows, in words and numbers."""
    said = [f"Readings of {proof.readings.title}, {proof.last.section.name}."]
    for figure in proof.last.figures.values():
        value, doubt = (show(x, figure.kind, units) for x in (figure.value, figure.uncertainty))
        said.append(f"{figure.name} {value}, plus or minus {doubt}.")
    return one_line(" ".join(said))


def _heading(proof: Proof) -> str:
    return one_line(proof.readings.title)


@contextmanager
def _chart(proof: Proof, units: Units) -> Iterator[Page]:
    if not has_chart(proof):
        what = f"a {proof.readings.form.name} test has no curve to draw"
        raise InputError(Problem(Place(proof.readings.file), what))
    with page() as sheet:
        swept = proof.readings.form.name in UPRIGHT and proof.last.table is not None
        axes = sheet.add_axes(FRAME if swept else STEP_FRAME)
        (_sweep if swept else _step)(axes, proof, units)
        axes.grid(color=GRID, linewidth=0.8)
        axes.set_axisbelow(True)
        axes.spines[["top", "right"]].set_visible(False)
        sheet.text(FRAME[0], 0.95, cut(_heading(proof)), fontsize=17, weight="bold", color=INK)
        yield sheet


def _sweep(axes: Axes, proof: Proof, units: Units) -> None:
    """Every branch of the judged section, the one as found behind it, limits and figures."""
    form = proof.readings.form
    upright = UPRIGHT[form.name]
    for found in proof.found[:-1]:
        _branches(axes, found, form.swept, upright, units, pale=True)
    _branches(axes, proof.last, form.swept, upright, units, pale=False)
    _limits(axes, proof, units)
    axes.set_xlim(left=0)
    _upright(axes)
    for label, column in ((axes.set_xlabel, form.swept), (axes.set_ylabel, upright)):
        kind, meaning = COLUMNS[column]
        label(f"{column}, {meaning}, {quantity.unit(kind, units)}", fontsize=15, color=INK)
    handles, names = axes.get_legend_handles_labels()
    # Below the plot, where no curve runs: columns filled one after the other.
    axes.legend(
        handles, names, loc="upper center", bbox_to_anchor=(0.46, -0.19), ncols=2, frameon=False, fontsize=13
    )


def _upright(axes: Axes) -> None:
    """From zero, unless everything lies in the upper part: then only that, and the axis says so."""
    low, high = axes.get_ylim()
    if low < ZOOM * high:
        axes.set_ylim(0, HEADROOM * high)
        return
    axes.set_ylim(low - 0.15 * (high - low), high + 0.15 * (high - low))
    axes.text(0.01, 0.02, "this axis does not begin at zero", transform=axes.transAxes, fontsize=12, color=PALE)


def _branches(axes: Axes, found: Found, swept: str, upright: str, units: Units, *, pale: bool) -> None:
    if found.table is None:
        return
    colour = PALE if pale else HUES[0]
    named: set[bool] = set()
    for branch in branches(found.table.columns[swept]):
        x, y = thinned(found.table, branch, swept, upright)
        words = f"{found.section.name}, {'rising' if branch.rising else 'falling'}"
        style: dict[str, Any] = {"color": colour, "lw": 1.2 if pale else 2.0, "ms": 5 if pale else 7}
        if len(branch.rows) > MOST:  # a logger's: points close together
            style["ms"] = 3
        style["ls"] = "-" if branch.rising else (0, (4, 2))
        style["marker"] = "o" if branch.rising else "s"
        style["mfc"] = colour if branch.rising else "white"
        axes.plot(
            _in(x, swept, units), _in(y, upright, units), label=None if branch.rising in named else words, **style
        )
        named.add(branch.rising)


def _in(values: Floats, column: str, units: Units) -> Floats:
    return np.array([quantity.number(float(v), COLUMNS[column][0], units) for v in values])


def thinned(table: Table, branch: Branch, swept: str, upright: str) -> tuple[Floats, Floats]:
    """The rows of a branch, or of more than ``MOST`` the medians in as many steps of the swept column."""
    x, y = table.columns[swept][branch.rows], table.columns[upright][branch.rows]
    if len(x) <= MOST:
        return x, y
    edges = np.linspace(x.min(), x.max(), MOST + 1)
    step = np.clip(np.digitize(x, edges) - 1, 0, MOST - 1)
    kept = [k for k in range(MOST) if np.any(step == k)]
    medians = [(float(np.median(x[step == k])), float(np.median(y[step == k]))) for k in kept]
    xs, ys = zip(*medians, strict=True)
    return np.array(xs), np.array(ys)


def _limits(axes: Axes, proof: Proof, units: Units) -> None:
    """The limits of the figure at full flow as hatched bounds, and that figure with its doubt."""
    for name in AT_FULL:
        figure, limit = proof.last.figures.get(name), proof.readings.limits.get(name)
        if limit is not None:
            for bound in (limit.low, limit.high):
                if bound is not None:
                    y = quantity.number(bound, proof.readings.form.figures[name], units)
                    axes.axhline(y, color=HUES[1], lw=1.6, ls=(0, (1, 1.5)))
            axes.plot([], [], color=HUES[1], lw=1.6, ls=(0, (1, 1.5)), label=f"limits of {name}")
        if figure is not None:
            key = "rated pressure" if proof.readings.form.swept == "P" else "rated flow"
            place = quantity.number(proof.readings.given[key], COLUMNS[proof.readings.form.swept][0], units)
            value, doubt = (quantity.number(x, figure.kind, units) for x in (figure.value, figure.uncertainty))
            style: dict[str, Any] = {"color": INK, "capsize": 7, "lw": 2.2, "marker": "D", "ms": 6, "ls": ""}
            axes.errorbar([place], [value], yerr=[doubt], label=f"{name} ± U", zorder=5, **style)


def _step(axes: Axes, proof: Proof, units: Units) -> None:
    """Pressure over time."""
    table = proof.last.section.step
    assert table is not None
    every = max(1, len(table) // 4000)
    axes.plot(table.columns["t"][::every], _in(table.columns["P"][::every], "P", units), color=HUES[0], lw=1.8)
    figure = proof.last.figures.get("step peak")
    if figure is not None:
        y = quantity.number(figure.value, "pressure", units)
        axes.axhline(y, color=INK, lw=1.2, ls=(0, (4, 2)), label=f"peak {show(figure.value, 'pressure', units)}")
        axes.legend(loc="lower right", frameon=False, fontsize=13)
    axes.set_xlabel("t, time, s", fontsize=15, color=INK)
    axes.set_ylabel(f"P, pressure, {quantity.unit('pressure', units)}", fontsize=15, color=INK)
    axes.set_ylim(bottom=0)
