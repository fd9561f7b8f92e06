"""The printed chart: its numbers are the curve's, its labels are legible, its bytes are always the same."""

from __future__ import annotations

import dataclasses
import itertools
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from oilway.draw import chart
from oilway.draw.chart import PLOT, alt_text, draw_curves, save_curves
from oilway.draw.chart_facts import MOST
from oilway.draw.labels import along
from oilway.errors import InputError
from oilway.quantity import PSI, Units, parse, show
from oilway.study.curve import Curve, Opening
from oilway.study.reducing import ReducingCurve

SVG = "{http://www.w3.org/2000/svg}"


def curve(name: str, cracking: float, full: float, *, falls: float = 10.0, flow: str = "18 gpm") -> Curve:
    """A straight curve (psi); ``falls`` is how far the falling branch lies below the rising one."""
    flows = parse(flow, "flow") * np.linspace(0, 1, 101)
    rising = PSI * np.linspace(cracking, full, 101)
    falling = rising - PSI * falls
    falling[-1] = rising[-1]
    return Curve(name, flows, rising, falling, float(flows[1]), 0.0, [Opening("poppet", rising[0], 0.0)])


DIRECT = curve("direct-acting relief", 1900, 2300)
TWO_STAGE = curve("two-stage relief", 2284, 2300)
DRY = curve("direct relief, dirty guide", 1980, 2385, falls=180)
LOW = curve("pilot supply relief", 285, 600, flow="12 gpm")
STEEP = curve("stepped-plunger relief with damping orifice and a long name", 600, 2290)


def reducing(name: str, held: float, full: float, *, apart: float = 8.0, back: float = 0.0) -> ReducingCurve:
    """A straight curve (psi); ``apart`` is what friction makes, ``back`` the rise with 6 gpm pushed back."""
    flows = parse("6 gpm", "flow") * np.linspace(0, 1, 101)
    falling = PSI * np.linspace(held, full + apart, 101)
    rising = falling - PSI * apart
    pushed = PSI * np.linspace(held, held + back, 101) if back else np.empty(0)
    pressures = PSI * 2000, PSI * 1300, PSI * 2
    return ReducingCurve(name, flows, rising, falling, float(flows[33]), *pressures, flows[: pushed.size], pushed)


CLAMP = reducing("clamp valve", 640, 560)
RELIEVING = reducing("relieving clamp valve", 640, 560, back=400)
STICKY = reducing("two-stage reducing valve, dirty", 816, 700, apart=110)
REDUCING_SETS = {
    "clamp": [CLAMP],
    "relieving": [RELIEVING],
    "sticky": [STICKY],
    "side by side": [CLAMP, STICKY, RELIEVING],
}
SETS = {
    "one": [DIRECT],
    "same full flow": [DIRECT, TWO_STAGE],
    "the other way round": [TWO_STAGE, DIRECT],
    "twice the same": [DIRECT, DIRECT],
    "dry friction": [TWO_STAGE, DRY],
    "far apart": [TWO_STAGE, LOW],
    "three": [DIRECT, TWO_STAGE, STEEP],
    "four": [DIRECT, TWO_STAGE, LOW, DRY],
    "four close": [DIRECT, TWO_STAGE, DRY, curve("x", 2100, 2310)],
}
every_set = pytest.mark.parametrize("curves", SETS.values(), ids=SETS.keys())
both_units = pytest.mark.parametrize("units", ["shop", "metric"])


def drawn_texts(svg: str) -> list[str]:
    """The lines of text in a drawing whose letters are outlines: the library notes each in a comment."""
    return [part.partition("-->")[0].strip() for part in svg.split("<!--")[1:]]


@both_units
@every_set
def test_the_picture_and_its_description_have_the_numbers_of_the_curves(curves: list[Curve], units: Units) -> None:
    svg = draw_curves(curves, units=units)
    texts, words = drawn_texts(svg), ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""
    for c in curves:
        pressures = ("cracking", "reseating", "full", "override")
        numbers = {name: show(getattr(c, name), "pressure", units) for name in pressures}
        assert f"cracks {numbers['cracking']}" in texts
        assert f"reseats {numbers['reseating']}" in texts
        assert f"full flow {numbers['full']}" in texts
        assert f"at {show(c.full_flow, 'flow', units)}" in texts
        assert f"override {numbers['override']}, {show(c.override_share, 'ratio', units)}" in texts
        assert f"cracking pressure {numbers['cracking']} at {show(c.cracked_flow, 'flow', units)}" in words
        assert f"full-flow pressure {numbers['full']} at {show(c.full_flow, 'flow', units)}" in words
        assert f"override {numbers['override']}" in words
        assert f"reseating pressure {numbers['reseating']}" in words


def test_the_numbers_are_those_put_in() -> None:
    # By hand: cracking is read at 1 % of the full flow, 1 % of the way from 1900 to 2300 psi; 396 / 1904 = 20.8 %.
    words = alt_text([DIRECT])
    for number in ("1904 psi at 0.18 gpm", "2300 psi at 18.00 gpm", "override 396 psi, 20.8 %", "1894 psi"):
        assert number in words


def test_a_drawing_can_stand_inside_a_page() -> None:
    svg = draw_curves([DIRECT], title="Hoist <main> & port")
    root = ElementTree.fromstring(svg)
    assert svg.startswith("<svg")
    assert root.get("role") == "img"
    assert [root[0].tag, root[1].tag] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text == "Hoist <main> & port"
    assert "Hoist <main> & port".replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") in svg


@pytest.mark.parametrize("name", ["a -- b --", "$x^2$ <b>", "tab\tand\nline", "bell \x07 and \x00", "", "x" * 300])
def test_any_name_gives_a_drawing(name: str) -> None:
    ElementTree.fromstring(draw_curves([dataclasses.replace(DIRECT, name=name)], title=name))


def test_the_provenance_is_printed() -> None:
    printed = " ".join(drawn_texts(draw_curves([DIRECT, LOW])))
    assert "Computed by Oilway from the valve files" in printed
    assert "a teaching calculation, the maker's manual is the authority" in printed
    assert "Cracking and reseating read at 0.12 gpm to 0.18 gpm" in printed


@pytest.mark.parametrize("curves", [*SETS.values(), *REDUCING_SETS.values()], ids=[*SETS, *REDUCING_SETS])
def test_no_text_covers_another_or_leaves_the_page(curves: list[Curve]) -> None:
    title = "A title of a length that is cut: both relief valves of the hoist"
    with chart._chart(curves, "shop", title) as figure:
        figure.draw_without_rendering()
        axes = figure.axes[0]
        texts = [*figure.texts, *figure.legends[0].get_texts(), axes.xaxis.label, axes.yaxis.label]
        for axis in (axes.xaxis, axes.yaxis):
            low, high = axis.get_view_interval()
            texts += [tick.label1 for tick in axis.get_major_ticks() if low <= tick.get_loc() <= high]
        boxes = [(text.get_text(), text.get_window_extent()) for text in texts]
        page = figure.bbox
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        covers = min(a.x1, b.x1) > max(a.x0, b.x0) and min(a.y1, b.y1) > max(a.y0, b.y0)
        assert not covers, f"{one!r} and {other!r}"
    for text, box in boxes:
        assert page.x0 <= box.x0 <= box.x1 <= page.x1, text
        assert page.y0 <= box.y0 <= box.y1 <= page.y1, text


@pytest.mark.parametrize("curves", [*SETS.values(), *REDUCING_SETS.values()], ids=[*SETS, *REDUCING_SETS])
def test_no_text_lies_on_a_curve(curves: list[Curve]) -> None:
    with chart._chart(curves, "shop", "") as figure:
        texts = [(text.get_text(), text.get_window_extent()) for text in figure.texts]
        lines = [line.get_xydata() for line in figure.axes[0].lines if len(line.get_xydata()) > 2]
    assert len(lines) >= len(curves)
    for corners in lines:
        for x, y in along(corners[np.isfinite(corners).all(axis=1)]):
            assert not [text for text, box in texts if box.x0 < x < box.x1 and box.y0 < y < box.y1]


def test_text_is_large_enough_for_the_back_of_a_room() -> None:
    from matplotlib.text import Text

    with chart._chart(SETS["four"], "shop", "title") as figure:
        figure.draw_without_rendering()
        assert figure.get_size_inches().tolist() == [10.0, 7.0]
        sizes = {t.get_text(): t.get_fontsize() for t in figure.findobj(Text) if t.get_text()}
    assert len(sizes) > 20
    assert min(sizes.values()) >= 14


def test_colour_alone_tells_nothing() -> None:
    pens = chart._PENS
    assert len(pens) == MOST
    for kind in ("colour", "marker", "hatch", "width", "size"):
        assert len({getattr(pen, kind) for pen in pens}) == len(pens), kind
    # Nested: a later valve is narrower, so that an earlier one at the same pressure shows on both its sides.
    assert [pen.width for pen in pens] == sorted((pen.width for pen in pens), reverse=True)
    assert [pen.size for pen in pens] == sorted((pen.size for pen in pens), reverse=True)


def test_a_shut_valve_is_drawn_up_the_pressure_axis() -> None:
    with chart._chart([DIRECT], "shop", "") as figure:
        axes = figure.axes[0]
        corners = axes.lines[0].get_xydata()
        opens = axes.transData.inverted().transform(corners[1])
    assert corners[0].tolist() == pytest.approx([PLOT.x, PLOT.y])
    assert opens.tolist() == pytest.approx([0.0, 1900.0])


def test_the_falling_branch_is_drawn_only_where_it_can_be_seen() -> None:
    hidden, seen = (drawn_texts(draw_curves([c])) for c in (DIRECT, DRY))
    assert "falling" not in hidden
    assert "rising and falling" in hidden
    assert {"rising", "falling"} <= set(seen)
    with chart._chart([DRY], "shop", "") as figure:
        axes = figure.axes[0]
        _, down = (line.get_xydata() for line in axes.lines if len(line.get_xydata()) > 2)
        low = axes.transData.inverted().transform(down[0])
    assert low.tolist() == pytest.approx([0.0, 1800.0])
    assert np.isnan(down[-1, 1]), "at full flow the branches meet"


def test_each_override_stands_beside_the_plot_as_a_bar() -> None:
    with chart._chart([DIRECT, LOW], "shop", "") as figure:
        axes = figure.axes[0]
        bars = [patch for patch in axes.patches if patch.get_hatch()]
        ends = [
            [axes.transData.inverted().transform((0.0, y))[1] for y in (b.get_y(), b.get_y() + b.get_height())]
            for b in bars
        ]
    wanted = [[c.cracking / PSI, c.full / PSI] for c in (DIRECT, LOW)]
    assert np.allclose(sorted(ends), sorted(wanted))
    assert len({bar.get_x() for bar in bars}) == 2


@pytest.mark.parametrize("suffix", [".svg", ".png", ".pdf", ".PNG"])
def test_the_same_curves_give_the_same_file(tmp_path: Path, suffix: str) -> None:
    first, second = tmp_path / f"first{suffix}", tmp_path / f"second{suffix}"
    save_curves(SETS["four"], first)
    draw_curves([DIRECT], title="another in between")
    save_curves(SETS["four"], second)
    assert first.read_bytes() == second.read_bytes()
    signature = {".svg": b"<svg", ".png": b"\x89PNG", ".pdf": b"%PDF"}[suffix.lower()]
    assert first.read_bytes().startswith(signature)


def test_the_bytes_do_not_depend_on_the_process() -> None:
    code = (
        "import importlib.util, sys;"
        f"spec = importlib.util.spec_from_file_location('t', {__file__!r});"
        "t = importlib.util.module_from_spec(spec); sys.modules['t'] = t; spec.loader.exec_module(t);"
        "sys.stdout.write(t.draw_curves(t.SETS['same full flow']))"
    )
    run = [sys.executable, "-c", code]
    done = subprocess.run(run, capture_output=True, check=True)
    assert done.stdout.decode().replace("\r\n", "\n") == draw_curves(SETS["same full flow"])


def test_settings_of_the_plotting_library_are_neither_used_nor_changed() -> None:
    import matplotlib

    plain = draw_curves([DIRECT])
    with matplotlib.rc_context({"font.size": 5.0, "svg.fonttype": "none", "axes.facecolor": "red"}):
        assert draw_curves([DIRECT]) == plain
        assert matplotlib.rcParams["font.size"] == 5.0


@pytest.mark.parametrize(
    ("name", "what", "hint"),
    [
        ("chart.pgn", "not as '.pgn'", "did you mean '.png'?"),
        ("chart.sgv", "not as '.sgv'", "did you mean '.svg'?"),
        ("chart.docx", "not as '.docx'", "write 'chart.svg'"),
        ("chart", "a chart is written as .svg, .png or .pdf (", "write 'chart.svg'"),
    ],
)
def test_another_ending_is_refused(tmp_path: Path, name: str, what: str, hint: str) -> None:
    with pytest.raises(InputError) as refused:
        save_curves([DIRECT], tmp_path / name)
    assert what in str(refused.value)
    assert hint in str(refused.value)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("count", [0, 5])
def test_no_curve_or_too_many_are_refused(count: int) -> None:
    with pytest.raises(InputError, match=f"one to 4 curves, not for {count}"):
        draw_curves([DIRECT] * count)


# -- reducing valves -----------------------------------------------------------------------------------------
@both_units
def test_a_chart_of_reducing_valves_has_their_numbers(units: Units) -> None:
    svg = draw_curves([CLAMP, RELIEVING], units=units)
    texts, words = drawn_texts(svg), ElementTree.fromstring(svg).findtext(f"{SVG}desc") or ""
    for c in (CLAMP, RELIEVING):
        held, full, droop = (show(p, "pressure", units) for p in (c.held, c.full, c.droop))
        assert {f"holds {held}", f"full flow {full}", f"droop {droop}"} <= set(texts)
        assert f"held pressure at no flow {held}" in words
        assert f"droop {droop}" in words
    assert words.startswith("Reduced pressure against flow drawn, pushed back below 0. ")
    assert f"Inlet held at {show(PSI * 2000, 'pressure', units)}." in " ".join(texts)


def test_oil_pushed_back_is_drawn_left_of_no_flow() -> None:
    for curves, left in (([CLAMP], 0.0), ([RELIEVING], -6.0)):
        with chart._chart(curves, "shop", "") as figure:
            axes = figure.axes[0]
            line = axes.transData.inverted().transform(axes.lines[0].get_xydata())
        assert axes.get_xlim()[0] <= left
        assert line[0].tolist() == pytest.approx([left, 1040.0 if left else 632.0])  # 640 less 8 on rising flow


def test_reliefs_and_reducing_valves_do_not_share_a_chart() -> None:
    with pytest.raises(InputError, match="not both"):
        draw_curves([DIRECT, CLAMP])


def test_the_plotting_library_is_imported_only_to_draw() -> None:
    code = "import oilway.draw.chart, sys; print('matplotlib' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
