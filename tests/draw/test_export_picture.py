"""Pictures as files: the same bytes twice, the right size, letters that are there, nothing read as code."""

from __future__ import annotations

import io
import struct
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import oilway
from oilway.draw.export_picture import FORMATS, PPI, Format, exported, save_picture
from oilway.draw.paint import paint
from oilway.draw.picture import Picture
from oilway.draw.pictures import pictures
from oilway.errors import InputError
from oilway.solve.point import solve_point
from oilway.study.scale import full_scale


def drawn(title: str = "plain", words: str = "") -> Picture:
    """A picture of 200 by 100 px with one word on it."""
    picture = Picture(title, 200, 100)
    if words:
        picture.text(None, 100, 60, words, 40)
    return picture


def pixels(png: bytes) -> np.ndarray:
    """A PNG of 8 bits a channel, without filters beyond the standard ones, as (height, width, channels)."""
    import io

    import matplotlib.image

    return np.asarray(matplotlib.image.imread(io.BytesIO(png), format="png"))


@pytest.mark.parametrize("form", FORMATS)
def test_the_same_numbers_give_the_same_bytes(form: Format) -> None:
    machine = oilway.load("direct relief")
    state, picture = solve_point(machine), pictures(machine)[0].picture
    made = [exported(picture, paint(picture, state, full_scale(machine)), form) for _ in range(2)]
    assert made[0] == made[1]
    assert len(made[0]) > 1000


def test_a_png_has_the_size_of_the_picture() -> None:
    png = exported(drawn(), drawn().svg(), "png")
    assert struct.unpack(">II", png[16:24]) == (200 * PPI / 96, 100 * PPI / 96)


def test_a_pdf_has_one_page_of_the_size_of_the_picture_and_no_date() -> None:
    pdf = exported(drawn(), drawn().svg(), "pdf")
    assert b"/MediaBox[0 0 150 75]" in pdf.replace(b"/MediaBox [", b"/MediaBox[").replace(b".0", b"")
    assert b"CreationDate" not in pdf


def test_letters_are_drawn_and_bold_ones_are_bolder() -> None:
    def ink(**style: str) -> float:
        picture = drawn()
        picture.text(None, 100, 60, "2300 psi", 40, **style)
        return float((1 - pixels(exported(picture, picture.svg(), "png"))[..., :3].mean(2)).sum())

    plain, bold = ink(), ink(font_weight="bold")
    assert plain > 500
    assert bold > 1.2 * plain


@pytest.mark.parametrize("title", ['"quoted" #panic("no") \\ [x] $y$', "<b>&amp;", "line\nbreak", "é ½ °F"])
def test_nothing_in_a_name_is_read_as_code(title: str) -> None:
    picture = drawn(title, "x")
    assert exported(picture, picture.svg(), "pdf").startswith(b"%PDF")


def test_the_file_is_what_its_ending_says(tmp_path: Path) -> None:
    picture = drawn()
    for form in FORMATS:
        path = tmp_path / f"a.{form.upper()}"
        save_picture(picture, picture.svg(), path)
        assert path.read_bytes() == exported(picture, picture.svg(), form)
    with pytest.raises(InputError, match=r"\.svg, \.png or \.pdf"):
        save_picture(picture, picture.svg(), tmp_path / "a.gif")


# Three alike orifices in a row share the pressure of the pump: four chambers at 0, 1/3, 2/3 and all of it.
SHARED = """\
format: 1
machine: four chambers
oil: {grade: ISO VG 46, viscosity index: 100, temperature: 120 F}
parts:
  tank: {kind: tank}
  pump: {kind: fixed pump, inlet: tank, outlet: d, displacement: 20 cc/rev, engine speed: 1500 rpm}
  b: {kind: chamber}
  c: {kind: chamber}
  d: {kind: chamber}
  first: {kind: orifice, from: d, to: c, diameter: 2 mm}
  second: {kind: orifice, from: c, to: b, diameter: 2 mm}
  third: {kind: orifice, from: b, to: tank, diameter: 2 mm}
"""
CHAMBERS = ("tank", "b", "c", "d")


@pytest.mark.parametrize("hatched", [False, True])
def test_four_pressures_side_by_side_differ_in_grey(hatched: bool) -> None:
    """A printed page has no colours: four chambers differ by their grey, with the hatch on it as well."""
    state = solve_point(oilway.loads(SHARED, "four.yaml"), {})
    picture = Picture("four chambers", 400, 100)
    for k, name in enumerate(CHAMBERS):
        for what in ("fill", "hatch"):
            box = picture.add(None, "rect", x=100 * k, y=0, width=100, height=100)
            picture.bind(box, what, f"pressure:{name}")
    page = exported(picture, paint(picture, state, state.pressures["d"], hatched=hatched), "png")
    shades = [shade.mean() for shade in np.split(np.asarray(Image.open(io.BytesIO(page)).convert("L")), 4, axis=1)]
    steps = [a - b for a, b in pairwise(shades)]
    assert min(steps) > 0.1 * 255, f"the lighter the lower, and a clear step each: {shades}"
