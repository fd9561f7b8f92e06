"""A picture is a tree with bindings; names in it are text and never markup."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.draw.gallery import local

from oilway.draw.picture import WHATS, Picture, spring_path

XML = st.text(st.characters(blacklist_categories=("Cc", "Cs"), blacklist_characters="\ufffe\uffff"), min_size=1)


def by_class(root: ET.Element, name: str) -> ET.Element:
    return next(e for e in root.iter() if e.get("class") == name)


def test_attributes_are_written_the_way_svg_wants_them() -> None:
    picture = Picture("t", 10, 10)
    element = picture.add(None, "rect", stroke_width=2.50, class_="a", x=1 / 3)
    assert element.attrib == {"stroke-width": "2.5", "class": "a", "x": "0.333333"}


@given(XML)
def test_whatever_a_name_holds_it_comes_back_as_text(name: str) -> None:
    picture = Picture(name, 10, 10)
    picture.text(None, 0, 0, name)
    picture.touchable(picture.add(None, "g"), name)
    back = ET.fromstring(picture.svg())
    assert back.get("aria-label") == name
    assert [e.text for e in back.iter() if local(e) == "text"] == [name]
    assert [e.get("data-part") for e in back.iter() if e.get("data-part")] == [name]


def test_what_answers_to_touch_answers_to_the_keyboard_once() -> None:
    picture = Picture("t", 1, 1)
    first, again = (picture.touchable(ET.Element("g"), "part", "part of the pump") for _ in range(2))
    assert (first.get("tabindex"), first.get("role")) == ("0", "button")
    assert first.get("aria-label") == "part of the pump"
    assert again.get("tabindex") is None
    for element in (first, again):
        assert element.get("data-part") == "part"
        assert [e.text for e in element if local(e) == "title"] == ["part of the pump"]


def test_an_element_keeps_one_id_however_often_it_is_bound_and_keys_keep_pictures_apart() -> None:
    one, other = Picture("t", 1, 1, "a"), Picture("t", 1, 1, "b")
    for picture in (one, other):
        element = picture.add(None, "path")
        picture.bind(element, "fill", "pressure:x")
        picture.bind(element, "flow", "flow:y", least=1.0, anchor_gain=2.0)
        assert len({b.id for b in picture.bindings}) == 1
    assert not {b.id for b in one.bindings} & {b.id for b in other.bindings}
    assert one.bindings[1].options == {"least": 1.0, "anchor gain": 2.0}


def test_only_known_bindings_are_taken() -> None:
    with pytest.raises(ValueError, match="'wobble' is no binding"):
        Picture("t", 1, 1).bind(ET.Element("g"), "wobble", "x")


def test_every_option_that_a_binding_names_is_in_its_sentence() -> None:
    """The sentences are what the twin in the page is written from."""
    assert set(re.findall(r"\((.*?)\)", WHATS["spring"])) >= {
        "coils",
        "width",
        "x",
        "a",
        "anchor gain",
        "gain",
        "most",
    }
    assert re.findall(r"\((\w+)\)", WHATS["flow"]) == ["least", "full"]


def test_a_number_stands_in_the_middle_of_its_plate() -> None:
    picture = Picture("t", 200, 100)
    plate = picture.number(None, 100, 50, "pressure:x", size=20)
    rect, words = list(plate)
    x, wide, y, high = (float(rect.get(k, "0")) for k in ("x", "width", "y", "height"))
    assert (x + wide / 2, y + high / 2) == (100, 50)
    assert words.get("text-anchor") == "middle"
    assert picture.bindings[0].options["kind"] == "pressure"


def test_an_arrow_points_its_way_about_its_own_middle() -> None:
    picture = Picture("t", 1, 1)
    turned = picture.arrow(None, (10, 20), 90, "flow:x", least=1e-6, full=1e-3)
    assert turned.get("transform") == "translate(10 20) rotate(90)"
    tip = [
        tuple(map(float, p.split())) for p in re.findall(r"-?\d+ -?\d+", by_class(turned, "arrow").get("d", ""))
    ]
    assert max(x for x, _ in tip) == 17  # the point is on the right, where the local x axis goes
    assert sum(y for _, y in tip) == 0


def test_hatches_grow_denser_and_the_first_is_blank() -> None:
    picture = Picture("t", 1, 1)
    patterns = [e for e in picture.root.iter() if local(e) == "pattern"]
    gaps = [float(p.get("width", "0")) for p in patterns]
    assert gaps == sorted(gaps, reverse=True)
    assert [len(p) for p in patterns] == [0] + [1] * (len(patterns) - 1)
    assert picture.lined("steel", 10, paper="#fff") == "p-steel"


def test_the_upper_left_corner_may_lie_anywhere() -> None:
    assert Picture("t", 30, 20, corner=(-5, 7)).root.get("viewBox") == "-5 7 30 20"


@given(st.floats(-100, 100), st.floats(-100, 100), st.integers(2, 9))
def test_a_spring_reaches_from_end_to_end_and_swings_about_its_axis(a: float, b: float, coils: int) -> None:
    points = [tuple(map(float, p.split())) for p in spring_path(50, 20, coils, a, b)[1:].split("L")]
    assert points[0] == (50, pytest.approx(a, abs=0.01))
    assert points[-1] == (50, pytest.approx(b, abs=0.01))
    assert [x for x, _ in points[1:-1]] == [40, 60] * coils
    heights = [y for _, y in points]
    assert heights == sorted(heights, reverse=b < a)
