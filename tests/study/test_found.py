"""What was found on the bench, as values of the model, worked by hand."""

from __future__ import annotations

import math

import pytest

import oilway
from oilway.errors import InputError
from oilway.model.mount import Mounted
from oilway.quantity import parse
from oilway.study.found import from_words, read_findings, read_found, words_of
from oilway.study.setting import put_on_stand


@pytest.fixture(scope="module")
def bench():
    machine = oilway.load("pilot relief")
    mounted: Mounted = machine.mounted[0]
    return put_on_stand(machine, mounted)


def said(bench, word: str, text: str):
    return read_found(bench, from_words({word: text}, "--found"))


def test_a_key_of_a_part_is_taken_as_it_is(bench) -> None:
    told = said(bench, "main guide.clearance", "12 um")
    assert told.values == {"main guide": {"clearance": pytest.approx(12e-6)}}
    assert told.into(bench).parts["main guide"].values["clearance"] == pytest.approx(12e-6)
    assert bench.parts["main guide"].values["clearance"] == 0  # the one as new is untouched


def test_a_shorter_spring_is_compressed_less_at_the_same_turns(bench) -> None:
    told = said(bench, "main spring.free length", "40.0 mm of 40.5 mm")
    assert told.values["main spring"]["compression"] == pytest.approx(18e-3 - 0.5e-3)
    assert "less free length" in told.notes[0]


def test_force_at_a_length_gives_the_rate_with_the_free_length_whatever_comes_first(bench) -> None:
    """105 N at 22.5 mm of a spring 40 mm long: 105 / 17.5 = 6 N/mm."""
    words = {"main spring.force": "105 N at 22.5 mm", "main spring.free length": "40 mm of 40.5 mm"}
    told = read_found(bench, from_words(words, "--found"))
    assert told.values["main spring"]["rate"] == pytest.approx(6e3)
    assert told.values["main spring"]["wire diameter"] is None


def test_a_gauge_wire_lies_on_one_side_of_the_hole_or_on_both(bench) -> None:
    both = said(bench, "main orifice.gauge wire", "0.60 mm to 0.66 mm")
    assert both.values["main orifice"]["diameter"] == pytest.approx(0.63e-3)
    assert said(bench, "main orifice.gauge wire", "0.60 mm").values["main orifice"]["diameter"] == pytest.approx(
        6e-4
    )


def test_a_wide_seat_counts_to_the_middle_of_its_ring_and_takes_its_face_along(bench) -> None:
    """24 mm, a ring of 0.4 mm along a cone of 45 degrees: its middle is 2 x 0.2 x sin 45 wider."""
    told = said(bench, "main seat.seat width", "0.4 mm")
    wide = 24e-3 + 2 * 0.2e-3 * math.sin(math.pi / 4)
    assert told.values["main seat"]["diameter"] == pytest.approx(wide)
    assert told.values["main face"]["diameter"] == pytest.approx(wide)
    assert "back face" not in told.values  # that one slides in its bore


@pytest.mark.parametrize(
    ("word", "text", "what"),
    [
        ("main sprin.rate", "6 N/mm", "no part 'main sprin' in this valve .*did you mean 'main spring'"),
        ("main spring.rat", "6 N/mm", "nothing called 'rat' is measured of a spring .*did you mean 'rate'"),
        ("rate", "6 N/mm", "says no part"),
        ("main spring.rate", "6 mm", "is a length; a spring rate is wanted"),
        ("main spring.rate", "-6 N/mm", "outside its legal range"),
        ("main spring.force", "105 N at 22 mm", "only with the free length"),
        ("main spring.force", "105 N", "is not written like this"),
        ("main spring.free length", "40 mm", "is not written like this"),
        ("main orifice.gauge wire", "0.7 mm to 0.6 mm", "the wire that goes is thinner"),
        ("main seat.seat width", "0 mm", "above zero"),
        ("main spring.most turns", "3 turns", "nothing called 'most turns'"),
    ],
)
def test_what_cannot_be_used_is_named(bench, word: str, text: str, what: str) -> None:
    with pytest.raises(InputError, match=rf"--found: {word}: .*{what}" if "." in word else what) as refused:
        said(bench, word, text)
    assert refused.value.exit_status == 2


def test_all_mistakes_are_told_together(bench) -> None:
    words = {"a.b": "1 mm", "main spring.rate": "1 mm", "main orifice.diameter": "1 mm"}
    with pytest.raises(InputError) as refused:
        read_found(bench, from_words(words, "--found"))
    assert len(refused.value.problems) == 2


def test_words_of_a_part(bench) -> None:
    assert {"rate", "free length", "force"} <= set(words_of(bench.parts["main spring"]))
    assert "gauge wire" in words_of(bench.parts["main orifice"])


def test_a_findings_file_says_found_limits_and_their_source(tmp_path) -> None:
    file = tmp_path / "found.yaml"
    file.write_text(
        "format: 1\nfound:\n  main spring.rate: 5 N/mm\nlimits:\n  override: at most 50 psi\n"
        "source of limits: shop manual, page 12\n",
        encoding="utf-8",
    )
    texts, limits, source = read_findings(file)
    assert texts["main spring.rate"].text == "5 N/mm"
    assert str(texts["main spring.rate"].where).endswith("found.yaml:3")
    assert limits["override"].text == "at most 50 psi"
    assert source == "shop manual, page 12"
    file.write_text("format: 1\nfond:\n  a.b: 1\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"found.yaml:2: .*did you mean 'found'"):
        read_findings(file)


def test_inches_work_as_well(bench) -> None:
    assert said(bench, "main orifice.diameter", "1/32 in").values["main orifice"]["diameter"] == pytest.approx(
        parse("1/32 in", "length")
    )
