"""A painted picture as a file: SVG as it is, or PDF and PNG through the typesetter, without a browser."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from oilway.draw.chart_style import check_ending, one_line
from oilway.draw.picture import Picture
from oilway.files import write_whole

if TYPE_CHECKING:
    from typst import Fonts

Format = Literal["svg", "png", "pdf"]
FORMATS: tuple[Format, ...] = ("svg", "png", "pdf")
POINTS = 0.75  # pt per px of a picture: 96 px to the inch
PPI = 144.0  # of a .png: one and a half dots per px

# The page is as large as the picture, and has its words for a reader who cannot see it.  What comes from a file
# comes as an input, never as part of this text, so that nothing in it is code.
PAGE = b"""#set document(title: sys.inputs.title, date: none)
#set page(width: float(sys.inputs.width) * 1pt, height: float(sys.inputs.height) * 1pt, margin: 0pt)
#image(bytes(sys.inputs.picture), format: "svg", width: 100%, height: 100%, alt: sys.inputs.words)
"""


def exported(picture: Picture, painted: str, form: Format, words: str = "") -> bytes:
    """The bytes of a file of a painted picture; the same numbers give the same bytes.

    ``painted`` is the SVG text that :func:`oilway.draw.paint.paint` made of ``picture``; ``words`` describe it.
    Letters are those of a font that comes along (DejaVu Sans), so that every computer draws them alike.
    """
    if form == "svg":
        return painted.encode()
    import typst

    inputs = {
        "title": one_line(picture.title),
        "width": str(POINTS * picture.width),
        "height": str(POINTS * picture.height),
        "words": one_line(words or picture.title),
        "picture": painted,
    }
    return typst.compile(PAGE, format=form, ppi=PPI, sys_inputs=inputs, font_paths=_fonts(), timestamp=0)


@cache
def _fonts() -> Fonts:
    """DejaVu Sans as the charts' library brings it, and nothing of this computer's own."""
    import matplotlib
    import typst

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[folder])


def save_picture(picture: Picture, painted: str, path: Path, words: str = "") -> None:
    """Write a painted picture to ``path``, whose ending says how.

    Errors: :class:`InputError` for another ending, and where the file cannot be written.
    """
    ending = check_ending(path).removeprefix(".")
    form = next(form for form in FORMATS if form == ending)
    write_whole(path, exported(picture, painted, form, words))
