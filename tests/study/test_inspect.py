"""Worn parts: their effect on a valve that is worked by hand, and the verdict by limits that were entered."""

from __future__ import annotations

import math

import pytest
from tests.study.shop import PLAIN, PSI, SEAT

import oilway
from oilway.errors import InputError
from oilway.quantity import QuantityError, parse
from oilway.study.found import from_words
from oilway.study.inspect import Inspection, inspect, read_limit
from oilway.study.story import examples


@pytest.fixture
def plain(tmp_path):
    file = tmp_path / "plain.yaml"
    file.write_text(PLAIN, encoding="utf-8")
    return oilway.load(file)


def told(machine, words: dict[str, str], limits: dict[str, str] | None = None, **more: str) -> Inspection:
    return inspect(machine, from_words(words, "--found"), from_words(limits or {}, "--limit"), **more)


def dropped(item: Inspection, figure: str = "cracking pressure") -> float:
    return item.new.figures[figure] - item.as_found.figures[figure]


def test_a_shorter_spring_drops_the_setting_by_its_rate(plain) -> None:
    """0.5 mm x 100 N/mm on 78.54 mm2: 0.637 MPa, 92.3 psi, and half a turn of 1 mm makes up for it."""
    item = told(plain, {"spring.free length": "39.5 mm of 40 mm"})
    assert dropped(item) == pytest.approx(50 / SEAT, rel=0.02)
    assert item.reset.turns - item.new.turns == pytest.approx(0.5, abs=1e-3)
    assert item.reset.figures["full-flow pressure"] == pytest.approx(1500 * PSI, abs=10)
    assert item.reset.figures["override"] == pytest.approx(item.new.figures["override"], rel=1e-3)


def test_a_soft_spring_drops_the_setting_and_the_override(plain) -> None:
    """At the same turns a rate of 90 % is 90 % of the preload; set anew, 90 % of the rate x lift."""
    item = told(plain, {"spring.rate": "90 N/mm"})
    preload = item.new.figures["cracking pressure"] - 5 / SEAT  # without what the 5 N of dry friction hold
    assert dropped(item) == pytest.approx(0.1 * preload, rel=0.02)
    assert item.reset.figures["override"] == pytest.approx(0.9 * item.new.figures["override"], rel=0.01)


def test_a_wide_seat_drops_it_by_the_area(plain) -> None:
    """0.4 mm along the cone: 10.283 mm, 1.0574 times the area."""
    item = told(plain, {"seat.seat width": "0.4 mm"})
    grown = (1 + 0.04 * math.sin(math.pi / 4)) ** 2
    ratio = item.as_found.figures["cracking pressure"] / item.new.figures["cracking pressure"]
    assert ratio == pytest.approx(1 / grown, rel=0.01)


def test_a_scored_seat_leaks_and_hides_the_cracking_pressure() -> None:
    """A gap of 5 um is a slot: it passes oil below the setting, where a tight seat passes none."""
    item = told(oilway.load("direct relief"), {"seat.worn gap": "5 um"})
    assert item.new.figures["leakage"] == 0
    assert item.reset.figures["leakage"] > parse("0.05 gpm", "flow")
    assert item.leak_at == pytest.approx(0.8 * item.full)
    assert any("leakage alone" in note for note in item.reset.notes)


def test_a_reducing_valve_has_its_own_figures() -> None:
    item = told(oilway.load("reducing"), {"main spring.rate": "40 N/mm"})
    assert set(item.new.figures) == {"held pressure", "droop", "reduced pressure"}
    assert item.reset.figures["reduced pressure"] == pytest.approx(600 * PSI, abs=10)


def test_a_valve_of_a_machine_is_named() -> None:
    swing = oilway.load(examples() / "swing_drive.yaml")
    item = told(swing, {"main spring.rate": "30 N/mm"}, valve="brake valve")
    assert item.full == pytest.approx(1600 * PSI)
    with pytest.raises(InputError, match=r"several valves .*brake valve"):
        told(swing, {"main spring.rate": "30 N/mm"})
    with pytest.raises(InputError, match="did you mean 'brake valve'"):
        told(swing, {"main spring.rate": "30 N/mm"}, valve="brak valve")


# -- the verdict -------------------------------------------------------------------------------------------
def test_without_limits_nothing_is_judged(plain) -> None:
    assert told(plain, {"spring.rate": "90 N/mm"}).verdict == "not judged"


@pytest.mark.parametrize(
    ("limits", "verdict"),
    [
        ({"spring.rate": "88 N/mm to 112 N/mm"}, "reuse"),
        ({"spring.rate": "at least 95 N/mm"}, "replace"),
        ({"full-flow pressure": "1450 psi to 1550 psi"}, "reuse"),
        ({"leakage": "at most 0.01 gpm", "spring.rate": "at most 85 N/mm"}, "replace"),
    ],
)
def test_reuse_and_replace_follow_from_limits_entered(plain, limits: dict[str, str], verdict: str) -> None:
    assert told(plain, {"spring.rate": "90 N/mm"}, limits).verdict == verdict


def test_a_free_length_is_judged_as_measured(plain) -> None:
    limits = {"spring.free length": "at least 39.6 mm"}
    (judged,) = told(plain, {"spring.free length": "39.5 mm of 40 mm"}, limits).judged
    assert judged.value == pytest.approx(39.5e-3)
    assert not judged.kept


def test_a_setting_out_of_reach_means_replace(plain) -> None:
    """12 N/mm over 20 turns of 1 mm make 240 N, 443 psi."""
    item = told(plain, {"spring.rate": "12 N/mm"})
    assert item.reset is None
    assert item.verdict == "replace"
    assert any("no turns of its adjuster bring back 1500 psi" in note for note in item.notes)


@pytest.mark.parametrize(
    ("found", "limits", "what"),
    [
        ({}, {}, "nothing was found"),
        ({"spring.rate": "90 N/mm"}, {"overide": "at most 3 psi"}, "did you mean 'override'"),
        ({"spring.rate": "90 N/mm"}, {"droop": "at most 3 psi"}, "has no such figure"),
        ({"spring.rate": "90 N/mm"}, {"override": "3 psi"}, "is no limit"),
        ({"spring.rate": "90 N/mm"}, {"override": "at most 3 mm"}, "is a length"),
        ({"spring.rate": "90 N/mm"}, {"seat.diameter": "at most 11 mm"}, "was not measured"),
    ],
)
def test_what_cannot_be_judged_is_refused(plain, found: dict[str, str], limits: dict[str, str], what: str) -> None:
    with pytest.raises(InputError, match=what):
        told(plain, found, limits)


def test_no_valve_with_an_adjuster() -> None:
    with pytest.raises(InputError, match="no valve with an adjuster"):
        told(oilway.load("load check"), {"check.cracking pressure": "5 psi"})


def test_limits_read_both_ways() -> None:
    assert read_limit("at least 2 mm", "length") == (2e-3, math.inf)
    with pytest.raises(QuantityError, match="lower one first"):
        read_limit("3 mm to 2 mm", "length")
