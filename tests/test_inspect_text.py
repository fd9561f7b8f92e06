"""An inspection on the terminal."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

import oilway
from oilway.inspect_text import print_inspection
from oilway.study.found import from_words
from oilway.study.inspect import inspect


def printed(words: dict[str, str], limits: dict[str, str] | None = None, source: str = "") -> str:
    out = io.StringIO()
    valve = oilway.load("direct relief")
    item = inspect(valve, from_words(words, "--found"), from_words(limits or {}, "--limit"))
    print_inspection(Console(file=out, width=160), item, source, "shop")
    return out.getvalue()


def test_new_found_and_set_anew_stand_side_by_side() -> None:
    text = printed({"seat.worn gap": "3 um"}, {"leakage": "at most 0.01 gpm"}, "shop manual, page 12")
    header = next(line for line in text.splitlines() if "as new" in line)
    assert header.index("as new") < header.index("as found") < header.index("set anew")
    assert "found: seat.worn gap: 3 um" in text
    assert "leakage at 1840 psi" in text  # 80 % of 2300
    assert "BROKEN" in text
    assert "limits from: shop manual, page 12" in text
    assert "REPLACE: a limit is broken" in text


@pytest.mark.parametrize(
    ("words", "limits", "verdict"),
    [
        ({"seat.worn gap": "1 um"}, {}, "NOT JUDGED: enter the maker's limits"),
        ({"seat.worn gap": "1 um"}, {"seat.worn gap": "at most 2 um"}, "REUSE"),
        ({"main spring.rate": "30 N/mm"}, {}, "REPLACE: its adjuster no longer reaches the setting"),
    ],
)
def test_the_verdict_is_one_line(words: dict[str, str], limits: dict[str, str], verdict: str) -> None:
    assert verdict in printed(words, limits)


def test_a_limit_is_compared_in_its_own_unit_and_a_common_note_is_said_once() -> None:
    text = printed({"seat.worn gap": "1.5 um", "main spring.rate": "390 N/mm"}, {"seat.worn gap": "at most 2 um"})
    assert "limit on seat.worn gap, at most 2 um: 1.5 um: kept" in text
    assert text.count("leakage alone carries") <= 1
