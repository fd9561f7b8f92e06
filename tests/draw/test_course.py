"""The printed chart of a run: its numbers are the run's, its labels are legible, its bytes are always the same."""

from __future__ import annotations

import itertools
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

import oilway
from oilway.draw import course
from oilway.draw.course import alt_text, draw_course, save_course
from oilway.errors import InputError
from oilway.quantity import show
from oilway.study.run import Run, read_change, run
from oilway.study.story import HOIST, examples

SVG = "{http://www.w3.org/2000/svg}"


def asked(file: str, duration: float, changes: list[str], at: dict[str, str]) -> Run:
    """A run in words."""
    machine = oilway.load(file)
    return run(machine, duration, [read_change(machine, text) for text in changes], point=machine.point_from(at))


@pytest.fixture(scope="module")
def relief() -> Run:
    """The two-stage relief when the flow over it doubles."""
    return asked("pilot relief", 0.2, ["0.05 s: pump flow=18 gpm"], {"pump flow": "9 gpm"})


@pytest.fixture(scope="module")
def hoist() -> Run:
    """The box raised and stopped."""
    changes = ["0.5 s over 0.3 s: lever=1", "2 s over 0.2 s: lever=0"]
    return asked(str(examples() / HOIST), 3.0, changes, {"lever": "0"})


@pytest.fixture(params=["relief", "hoist"])
def done(request: pytest.FixtureRequest) -> Run:
    """Either run."""
    return request.getfixturevalue(request.param)


def drawn_texts(svg: str) -> list[str]:
    """The lines of text in a drawing whose letters are outlines: the library notes each in a comment."""
    return [part.partition("-->")[0].strip() for part in svg.split("<!--")[1:]]


@pytest.mark.parametrize("units", ["shop", "metric"])
def test_the_picture_and_its_description_have_the_numbers_of_the_run(hoist: Run, units) -> None:
    svg = draw_course(hoist, units=units)
    texts, words = drawn_texts(svg), ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""
    for chamber in ("pump line", "cap line"):
        figures = hoist.figures[chamber]
        peak, end = (show(p, "pressure", units) for p in (figures.peak, figures.end))
        unit = peak.split(" ")[1]
        assert chamber in texts
        assert f"peak {peak.removesuffix(unit).strip()}, end {end.removesuffix(unit).strip()}" in texts
        assert f"and {peak}." in words
    place = hoist.series["position of hoist cylinder"].values
    assert f"ends at {show(float(place[-1]), 'length', units)}" in texts
    fastest = np.abs(hoist.series["velocity of hoist cylinder"].values).max()
    assert f"at most {show(float(fastest), 'velocity', units)}" in texts
    assert "main relief.pilot poppet leaves its seat at" in words
    assert "a teaching calculation, the maker's manual is the authority" in " ".join(texts)


def test_the_lines_are_the_series(hoist: Run) -> None:
    panels = course._panels(hoist, None)
    assert [panel.word for panel in panels] == ["pressure", "position", "velocity"]
    assert list(panels[0].lines) == ["pump line", "cap line"], "where the gauges are"
    with course._chart(hoist, panels, "metric", "") as figure:
        drawn = [line.get_xydata() for axes in figure.axes for line in axes.lines if len(line.get_xydata()) > 2]
    assert len(drawn) == 4
    assert np.allclose(drawn[0][:, 0], hoist.times)
    assert np.allclose(drawn[0][:, 1], hoist.series["pressure in pump line"].values / 1e5)


def test_without_gauges_pressures_unlike_each_other_are_shown(relief: Run) -> None:
    panels = course._panels(relief, None)
    assert [panel.word for panel in panels] == ["pressure", "lift"]
    assert list(panels[0].lines) == ["inlet", "back chamber", "pilot chamber"]
    assert list(panels[1].lines) == ["main part", "pilot poppet"]


def test_series_can_be_chosen(relief: Run) -> None:
    panels = course._panels(relief, ["flow through main seat", "pressure in outlet", "flow through pilot seat"])
    assert [(p.word, list(p.lines)) for p in panels] == [
        ("pressure", ["outlet"]),
        ("flow", ["main seat", "pilot seat"]),
    ]
    with pytest.raises(InputError, match="did you mean 'pressure in inlet'"):
        draw_course(relief, what=["pressure in inlat"])


def test_a_bar_shows_when_a_part_is_off_its_seat(relief: Run) -> None:
    bars = course._bars(relief)
    assert list(bars) == ["pilot poppet"]
    lift = relief.series["lift of pilot poppet"].values
    shut = [t for t, x in zip(relief.times, lift, strict=True) if x == 0]
    assert shut
    for t in shut:
        assert not [begin for begin, length in bars["pilot poppet"] if begin < t < begin + length]
    assert course._spans(np.array([0.0, 1.0, 2.0, 3.0]), np.array([True, False, True, True])) == [(0, 1), (2, 1)]


def test_no_text_covers_another_or_leaves_the_page(done: Run) -> None:
    with course._chart(done, course._panels(done, None), "shop", "A title that is too long: " * 5) as figure:
        figure.draw_without_rendering()
        texts = list(figure.texts)
        for axes in figure.axes:
            texts += [axes.xaxis.label, axes.yaxis.label]
            for axis in (axes.xaxis, axes.yaxis):
                low, high = axis.get_view_interval()
                ticks = [tick.label1 for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
                texts += [label for label in ticks if label.get_visible()]
        boxes = [(text.get_text(), text.get_window_extent()) for text in texts if text.get_text()]
        sizes = [text.get_fontsize() for text in texts if text.get_text()]
        page = figure.bbox
    assert min(sizes) >= 14, "large enough for the back of a room"
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        covers = min(a.x1, b.x1) > max(a.x0, b.x0) and min(a.y1, b.y1) > max(a.y0, b.y0)
        assert not covers, f"{one!r} and {other!r}"
    for text, box in boxes:
        assert page.x0 <= box.x0 <= box.x1 <= page.x1, text
        assert page.y0 <= box.y0 <= box.y1 <= page.y1, text


def test_colour_alone_tells_nothing() -> None:
    for kind in ("colour", "width", "dashes"):
        assert len({getattr(pen, kind) for pen in course._PENS}) == len(course._PENS), kind


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf"])
def test_the_same_run_gives_the_same_file(tmp_path: Path, relief: Run, hoist: Run, suffix: str) -> None:
    first, second = tmp_path / f"first{suffix}", tmp_path / f"second{suffix}"
    save_course(relief, first)
    draw_course(hoist)
    save_course(relief, second)
    assert first.read_bytes() == second.read_bytes()
    assert first.read_bytes().startswith({".svg": b"<svg", ".png": b"\x89PNG", ".pdf": b"%PDF"}[suffix])


def test_a_drawing_can_stand_inside_a_page(relief: Run) -> None:
    svg = draw_course(relief, title="Flow <doubled> & held")
    root = ElementTree.fromstring(svg)
    assert svg.startswith("<svg")
    assert root.get("role") == "img"
    assert [root[0].tag, root[1].tag] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text == "Flow <doubled> & held"
    assert root[1].text == alt_text(relief)


def test_a_long_name_loses_its_beginning() -> None:
    assert course._ending("main relief.pilot poppet", 14) == "...ilot poppet"
    assert course._ending("poppet", 14) == "poppet"


def test_the_plotting_library_is_imported_only_to_draw() -> None:
    code = "import oilway.draw.course, sys; print('matplotlib' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "False"


def test_the_speed_of_a_shaft_is_drawn() -> None:
    done = asked(str(examples() / "swing_drive.yaml"), 0.4, ["0.1 s over 0.1 s: lever=1"], {"lever": "0"})
    values = done.series["speed of motor"].values
    texts = drawn_texts(draw_course(done))
    assert {"shaft speed", "rpm", "motor"} <= set(texts)
    assert f"at most {show(float(np.abs(values).max()), 'rotation', 'shop')}" in texts
    end = show(float(values[-1]), "rotation", "shop")
    assert f"motor, shaft speed: from {show(float(values[0]), 'rotation', 'shop')} to {end}" in alt_text(done)
