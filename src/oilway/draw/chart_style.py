"""What the printed charts share: letters, colours, the page as points, and writing the file."""

from __future__ import annotations

import io
import textwrap
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.sax.saxutils import escape

from oilway.errors import InputError, Place, Problem, did_you_mean
from oilway.files import write_whole

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SUFFIXES = (".svg", ".png", ".pdf")
# Lengths are points of the page, 10 x 7 in: it is laid out at 72 dots per inch, where a dot is a point.
WIDTH, HEIGHT = 720.0, 504.0
SIZE, LEADING = 14, 1.2  # letters, and lines in letters
TITLE_LETTERS = 52  # a longer title is cut
INK, PALE, GRID = "#1a1a1a", "#5c5c5c", "#dddddd"
# Hues after M. Okabe and K. Ito, "Color universal design" (from memory), spread in lightness for grayscale.
HUES = ("#003a70", "#d55e00", "#009e73", "#b0609a")
DPI = 200  # of a .png
STYLE: Any = {
    "font.family": "DejaVu Sans",  # comes with the library
    "font.size": SIZE,
    "hatch.linewidth": 1.1,
    "svg.fonttype": "path",
    "svg.hashsalt": "oilway",
    "text.hinting": "no_hinting",  # letters as wide at 72 dots per inch as anywhere else
    "text.parse_math": False,
}
# No file carries its date or the library's version: the same numbers give the same bytes.
METADATA: dict[str, dict[str, str | None]] = {
    ".svg": dict.fromkeys(("Date", "Creator", "Format", "Type")),
    ".png": {"Software": None},
    ".pdf": dict.fromkeys(("CreationDate", "Creator", "Producer")),
}
# The plotting library keeps its settings in one place for all threads.
_ONE_AT_A_TIME = threading.Lock()


@contextmanager
def page() -> Iterator[Figure]:
    """An empty page, under the settings it has to be drawn and written with."""
    import matplotlib
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    with _ONE_AT_A_TIME, matplotlib.rc_context():
        matplotlib.rcdefaults()  # the chart does not depend on anybody's own settings
        matplotlib.rcParams.update(STYLE)
        figure = Figure((WIDTH / 72, HEIGHT / 72), dpi=72)
        FigureCanvasAgg(figure)
        yield figure


def titled(figure: Figure, frame: tuple[float, float, float, float], heading: str) -> Axes:
    """Axes of their own on a page, with a heading and a grid behind what is drawn."""
    axes = figure.add_axes(frame)
    axes.set_title(cut(heading), loc="left", color=INK, fontweight="bold")
    axes.grid(color=GRID, linewidth=0.8)
    axes.set_axisbelow(True)
    axes.tick_params(colors=PALE)
    return axes


def on_page(figure: Figure) -> dict[str, Any]:
    """Style of what is placed by points of the page from its lower left corner."""
    from matplotlib.transforms import Affine2D

    return {"transform": Affine2D().scale(1 / 72) + figure.dpi_scale_trans, "clip_on": False}


def as_svg(chart: AbstractContextManager[Figure], heading: str, words: str) -> str:
    """A chart as SVG, beginning with ``<svg``, with its heading and its description in words."""
    written = io.BytesIO()
    with chart as figure:
        figure.savefig(written, format="svg", metadata=METADATA[".svg"])
    svg = written.getvalue().decode()
    # Without its prologue it can also stand inside a page.
    head, _, rest = svg[svg.index("<svg") :].partition(">")
    return f'{head} role="img">\n <title>{escape(heading)}</title>\n <desc>{escape(words)}</desc>{rest}'


def check_ending(path: Path) -> str:
    """The ending (.svg, .png or .pdf) of a path.  Errors: :class:`InputError` for another one."""
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES:
        what = "a chart is written as .svg, .png or .pdf" + (f", not as '{suffix}'" if suffix else "")
        hint = did_you_mean(suffix, SUFFIXES) or f"write '{path.stem or 'chart'}.svg'"
        raise InputError(Problem(Place(str(path)), what, hint))
    return suffix


def save(chart: AbstractContextManager[Figure], path: Path, heading: str, words: str) -> None:
    """Write a chart to ``path``, whose ending says how.  Errors: as :func:`check_ending`."""
    suffix = check_ending(path)
    if suffix == ".svg":
        write_whole(path, as_svg(chart, heading, words))
        return
    key = "Description" if suffix == ".png" else "Subject"
    metadata = {**METADATA[suffix], "Title": heading, key: words}
    with chart as figure:
        picture = io.BytesIO()
        figure.savefig(picture, format=suffix[1:], dpi=DPI, metadata=metadata)
    write_whole(path, picture.getvalue())


def one_line(text: str) -> str:
    """Text on one line, without the control characters that XML forbids."""
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())


def cut(title: str) -> str:
    """A title that fits the page."""
    return textwrap.shorten(title, TITLE_LETTERS, placeholder=" ...")
