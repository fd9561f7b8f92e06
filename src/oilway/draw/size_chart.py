"""The chart of a choice: pass and fail over the two free parts that matter most, the others as in the best choice.

Pass is a filled round mark, fail a cross, and what the adjuster cannot set a small dot: told apart without colour.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from oilway import quantity
from oilway.draw.chart_style import HUES, INK, PALE, as_svg, one_line, page, save, titled
from oilway.quantity import Units
from oilway.study.size import Sizing

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Page

LETTERS = 100  # of the line that tells the targets
FRAME = (0.125, 0.22, 0.845, 0.69)  # of the page; the key stands below


def draw_sizing(found: Sizing, units: Units = "shop") -> str:
    """The chart as SVG, beginning with ``<svg``."""
    return as_svg(_chart(found, units), _heading(found), alt_text(found, units))


def save_sizing(found: Sizing, path: Path, units: Units = "shop") -> None:
    """Write the chart to a file.  Errors: :class:`InputError` for an ending other than .svg, .png or .pdf."""
    save(_chart(found, units), path, _heading(found), alt_text(found, units))


def _heading(found: Sizing) -> str:
    return one_line(f"{found.machine.title}: which parts satisfy")


def alt_text(found: Sizing, units: Units = "shop") -> str:
    """What the chart shows, in words and numbers."""
    over = " and ".join(found.free[k].parameter for k in found.matter[:2])
    targets = "; ".join(target.words(units) for target in found.targets)
    return f"{int(found.passed.sum())} of {len(found.values)} combinations satisfy {targets}. Drawn over {over}."


def shown_sets(found: Sizing) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """The combinations drawn: all values of the two parts that matter most, the others as in the best choice."""
    with np.errstate(invalid="ignore"):
        near = int(np.argmax(np.where(found.set_up, found.inside.min(axis=1), -np.inf)))
    rest = [k for k in range(len(found.free)) if k not in found.matter[:2]]
    drawn: np.ndarray[Any, np.dtype[np.bool_]] = (found.values[:, rest] == found.values[near, rest]).all(axis=1)
    return drawn


@contextmanager
def _chart(found: Sizing, units: Units) -> Iterator[Page]:
    drawn, passed = shown_sets(found), found.passed
    first, *others = (found.free[k] for k in found.matter[:2])
    x = [quantity.number(float(v), first.kind, units) for v in found.values[:, found.matter[0]]]
    y = [0.0] * len(x)
    if others:
        y = [quantity.number(float(v), others[0].kind, units) for v in found.values[:, found.matter[1]]]
    marks: tuple[tuple[Any, dict[str, Any]], ...] = (
        (drawn & passed, {"marker": "o", "s": 60, "color": HUES[0], "label": "satisfies every target"}),
        (drawn & ~passed & found.set_up, {"marker": "x", "s": 40, "color": HUES[1], "label": "does not"}),
        (drawn & ~found.set_up, {"marker": ".", "s": 12, "color": PALE, "label": "cannot be set"}),
    )
    with page() as figure:
        axes = titled(figure, FRAME, _heading(found))
        for which, style in marks:
            if which.any():
                axes.scatter(np.array(x)[which], np.array(y)[which], **style)
        if found.best is not None:
            axes.scatter(
                [x[found.best]], [y[found.best]], marker="o", s=190, facecolors="none", edgecolors=INK,
                linewidths=2, label="furthest inside",
            )  # fmt: skip
        axes.set_xlabel(f"{first.parameter}, {quantity.unit(first.kind, units)}")
        if others:
            axes.set_ylabel(f"{others[0].parameter}, {quantity.unit(others[0].kind, units)}")
        else:
            axes.set_yticks([])
        figure.legend(loc="lower left", bbox_to_anchor=(0.02, 0.05), ncols=4, frameon=False, fontsize=11)
        words = textwrap.shorten("; ".join(target.words(units) for target in found.targets), LETTERS)
        figure.text(0.03, 0.02, words, fontsize=10, color=PALE, va="bottom")
        yield figure
