"""What stands behind a part: plain words, the values of its file, its channels and its laws."""

from __future__ import annotations

import pytest

import oilway
from oilway.model.catalogue import kinds
from oilway.solve.point import solve_point
from oilway.study.about import About, about, plain
from oilway.study.frame import channels
from oilway.study.story import examples


@pytest.fixture(scope="module")
def parts() -> dict[str, About]:
    """The parts of the hoist."""
    machine = oilway.load(examples() / "tipping_hoist.yaml")
    return about(machine, channels(solve_point(machine)))


@pytest.mark.parametrize("kind", kinds().values(), ids=kinds())
def test_the_words_of_every_kind_are_plain(kind: type) -> None:
    words = plain(kind.__doc__)
    assert words
    assert not [mark for mark in (":func:", ":mod:", "`", ">>>", "oilway.") if mark in words]


def test_paragraphs_stay_apart_and_references_become_words() -> None:
    assert plain("One\nline.\n\n    Two: :func:`oilway.laws.areas.circle_area`, ``x``.\n\n    >>> 1\n    1") == (
        "One line.\n\nTwo: circle area, 'x'."
    )


def test_values_are_those_in_use_with_meaning_and_source(parts: dict[str, About]) -> None:
    records = {r.name: r for r in parts["hoist cylinder"].records}
    assert records["bore"].value == pytest.approx(0.1)
    assert records["bore"].kind == "length"
    seat = {r.name: r for r in parts["main relief.main seat"].records}
    assert "from memory" in seat["discharge coefficient"].source
    assert seat["on"].value == "main relief.main part"
    assert seat["on"].kind == ""
    turns = {r.name: r for r in parts["main relief.pilot spring"].records}["turns"]
    assert turns.value != 6.0, "solved by the setting, not what the valve's file says"


def test_channels_and_laws_are_those_of_the_part(parts: dict[str, About]) -> None:
    assert "flow:main relief.main orifice" in parts["main relief.main orifice"].channels
    assert parts["main relief.main orifice"].laws == ["orifice law"]
    part = parts["main relief.main part"].channels
    assert {"lift:main relief.main part", "force:main relief.main part#0"} <= set(part)
    assert not [c for c in part if "pilot" in c]
    assert "into:pump line#0" in parts["pump line"].channels
    assert parts["main relief.main seat"].laws == ["poppet seat law", "momentum of the jet"]
