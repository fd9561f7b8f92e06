"""Several painted pictures on one sheet, each under its own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from oilway.draw.picture import FONT, INK, PAPER, Picture

WIDE, LETTERS, ROOM = 900.0, 34.0, 24.0  # px: a panel, its words, and what lies between two panels
TITLE = 46.0


@dataclass(frozen=True)
class Panel:
    """One painted picture: ``painted`` is the SVG that :func:`oilway.draw.paint.paint` made of ``picture``."""

    words: str
    picture: Picture
    painted: str


def sheet(title: str, panels: Sequence[Panel], across: int) -> tuple[Picture, str]:
    """A sheet of panels, ``across`` in a row, as an empty picture of its size and the SVG that goes with it.

    Pictures on one sheet were drawn with keys of their own, or their ids would meet.
    """
    tall = max(WIDE * p.picture.height / p.picture.width for p in panels)
    step = WIDE + ROOM, tall + 2 * LETTERS + ROOM
    rows = -(-len(panels) // across)
    size = across * step[0] + ROOM, rows * step[1] + 2 * TITLE
    inside = [_words(ROOM, 1.3 * TITLE, TITLE, title)]
    for number, panel in enumerate(panels):
        x = ROOM + (number % across) * step[0]
        y = 2 * TITLE + (number // across) * step[1]
        inside.append(_words(x, y + LETTERS, LETTERS, panel.words))
        place = f'<svg x="{x:.6g}" y="{y + 1.5 * LETTERS:.6g}" width="{WIDE:.6g}" height="{tall:.6g}" '
        inside.append(panel.painted.replace("<svg ", place, 1))
    whole = Picture(title, *size, key="sheet")
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size[0]:.6g} {size[1]:.6g}" font-family="{FONT}">'
    )
    paper = f'<rect width="{size[0]:.6g}" height="{size[1]:.6g}" fill="{PAPER}"/>'
    return whole, f"{head}{paper}{''.join(inside)}</svg>"


def _words(x: float, y: float, size: float, words: str) -> str:
    place = f'x="{x:.6g}" y="{y:.6g}" font-size="{size:.6g}" font-weight="bold" fill="{INK}"'
    return f"<text {place}>{escape(words)}</text>"
