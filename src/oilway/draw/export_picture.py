"""A painted picture as a file: SVG as it is, or PDF and PNG through the typesetter, without a browser."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Literal

from oilway.draw.chart_style import check_ending, one_line
from oilway.draw.picture import Picture
from oilway.files import write_whole

Format = Literal["svg", "png", "pdf"]
FORMATS: tuple[Format, ...] = ("svg", "png", "pdf")
POINTS = 0.75  # pt per px of a picture: 96 px to the inch
PPI = 144.0  # of a .png: one and a half dots per px

# The page is as large as the picture, and the picture has its words beside it for a reader who cannot see it.
PAGE = """#set document(title: {title}, date: none)
#set page(width: {width}pt, height: {height}pt, margin: 0pt)
#image("picture.svg", width: 100%, height: 100%, alt: {words})
"""


def exported(picture: Picture, painted: str, form: Format, words: str = "") -> bytes:
    """The bytes of a file of a painted picture; the same numbers give the same bytes.

    ``painted`` is the SVG text that :func:`oilway.draw.paint.paint` made of ``picture``; ``words`` describe it.
    Letters are those of a font that comes along (DejaVu Sans), so that every computer draws them alike.
    """
    if form == "svg":
        return painted.encode()
    import matplotlib
    import typst

    page = PAGE.format(
        title=_literal(picture.title),
        width=POINTS * picture.width,
        height=POINTS * picture.height,
        words=_literal(words or picture.title),
    )
    files = {"main.typ": page.encode(), "picture.svg": painted.encode()}
    fonts = [Path(matplotlib.get_data_path()) / "fonts" / "ttf"]
    made = typst.compile(files, format=form, ppi=PPI, font_paths=fonts, ignore_system_fonts=True, timestamp=0)
    return bytes(made)


def save_picture(picture: Picture, painted: str, path: Path, words: str = "") -> None:
    """Write a painted picture to ``path``, whose ending says how.

    Errors: :class:`InputError` for another ending, and where the file cannot be written.
    """
    ending = check_ending(path).removeprefix(".")
    form = next(form for form in FORMATS if form == ending)
    write_whole(path, exported(picture, painted, form, words))


def _literal(text: str) -> str:
    """A text as typst writes one: in quotes, nothing in it is markup or code."""
    return json.dumps(one_line(text), ensure_ascii=False)
