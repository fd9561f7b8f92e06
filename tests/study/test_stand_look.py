"""What is odd about readings as they are typed: the flags of the proof, told at their row."""

from __future__ import annotations

import pytest

from oilway.study.forms import RATED
from oilway.study.proof import prove
from oilway.study.readings import readings_from_text
from oilway.study.stand import Draft
from oilway.study.stand_look import Look, looks
from oilway.study.story import examples

FOLDER = examples() / "readings"
HOIST = (FOLDER / "hoist_relief.yaml").read_text(encoding="utf-8")
BYPASS = (FOLDER / "boom_bypass.yaml").read_text(encoding="utf-8")


def odd(text: str) -> list[Look]:
    return looks(Draft(text, "mine.yaml"), prove(readings_from_text(text, "mine.yaml", FOLDER)), "shop")


def test_good_readings_are_left_alone() -> None:
    assert odd(HOIST) == []


@pytest.mark.parametrize(
    ("before", "after", "sort", "where", "said"),
    [
        (
            "4        2180    6",
            "4        218     6",
            "question",
            "as found, row 5",
            "far from both its neighbours",
        ),
        ("4        2180    6", "4        6     2180", "question", "as found, row 5", "swapped?"),
        ("4        2180    6", "4        4180    6", "question", "as found, row 5", "outside its instrument"),
        ("4        2180    6", "1.5      2180    6", "note", "as found, row 5", "out of order?"),
        ("4        2180    6", "4        -       6", "gap", "as found, row 5", "no reading of P"),
    ],
)
def test_a_row_is_questioned(before: str, after: str, sort: str, where: str, said: str) -> None:
    found = odd(HOIST.replace(before, after, 1))
    assert [look for look in found if look.sort == sort and look.where == where and said in look.said]


def test_every_question_of_the_proof_is_told_here() -> None:
    text = HOIST.replace("4        2270    6", "4        6     2270", 1)
    proof = prove(readings_from_text(text, "mine.yaml", FOLDER))
    asked = {flag.said for found in proof.found for flag in found.flags if flag.question}
    assert asked
    assert asked <= {look.said for look in odd(text)}


def test_the_other_unit_is_proposed() -> None:
    text = HOIST.replace("0 to 4000 psi", "0 to 250 bar", 1).replace("P (psi)", "P (bar)", 1)
    (look, *_) = [look for look in odd(text) if look.sort == "question"]
    assert "were these psi, not bar?" in look.said


def test_a_row_that_is_being_typed_has_no_gap_yet() -> None:
    begun = HOIST[: HOIST.index("    4        2180")] + "    4        -       -\n"
    assert not [look for look in odd(begun) if look.sort == "gap"]


def test_pressure_over_the_end_of_a_gauge_brings_its_caution() -> None:
    found = odd(HOIST.replace("18.1     2210", "18.1     4210", 1))
    assert [look for look in found if look.sort == "caution" and RATED in look.said]
    found = odd(HOIST.replace("2300 psi +- 50 psi", "4500 psi +- 50 psi"))
    (look,) = [look for look in found if look.sort == "caution"]
    assert look.where == "limit of full-flow pressure"
    assert "P ends at 0 to 4000 psi" in look.said


def test_a_reading_typed_on_its_own_is_held_against_its_instrument_too() -> None:
    pressure = next(line for line in BYPASS.splitlines() if line.startswith("  pressure:"))
    text = BYPASS.replace(pressure, "  pressure: 90000 psi")
    found = odd(text)
    assert {"question", "caution"} <= {look.sort for look in found if look.where == "as found, pressure"}


def test_a_logger_s_flags_are_those_of_the_proof() -> None:
    text = (FOLDER / "hoist_logger.yaml").read_text(encoding="utf-8")
    assert {look.sort for look in odd(text)} >= {"gap", "spike"}


def test_nothing_is_odd_before_the_test_is_chosen() -> None:
    assert looks(Draft("format: 1\n", "new.yaml"), None, "shop") == []
