"""A diagnosis in words: plain when piped, cautions at the test, and brackets of a file's names as they are."""

from __future__ import annotations

import io
from typing import Any

from rich.console import Console

from oilway.find_text import asked_words, print_diagnosis, print_offers, print_sealed, verdict_words
from oilway.study.diagnosis import diagnose
from oilway.study.find_readings import read_readings
from oilway.study.sealed import Sealed

STALL = "lever valve +1, stalled"


def written(draw: Any) -> str:
    file = io.StringIO()
    draw(Console(file=file, width=200))
    return file.getvalue()


def test_what_is_left_ruled_out_and_next(hoist: Any) -> None:
    bench, dictionary = hoist
    told = diagnose(bench, dictionary, read_readings(bench, f"pump gauge=300 psi @ {STALL}"))
    text = written(lambda console: print_diagnosis(console, told, "shop"))
    said = "pump gauge 300 psi ± 64 psi|What is left|Ruled out|standard uncertainties off|Next test:|CAUTION:"
    for words in (*said.split("|"), "not dropped", "not an authority"):
        assert words in text
    assert "main relief: pilot seat worn" in text
    assert "\x1b" not in text


def test_none_of_these_is_said_first(hoist: Any) -> None:
    bench, dictionary = hoist
    seen = f"pump gauge=2300 psi @ {STALL}; load gauge=2300 psi @ {STALL}; speed of hoist cylinder=20 in/s;"
    seen += "flow of pump=40 gpm"
    text = written(lambda c: print_diagnosis(c, diagnose(bench, dictionary, read_readings(bench, seen)), "shop"))
    assert "None of these explains it." in text


def test_offers_and_a_sealed_machine(hoist: Any) -> None:
    text = written(lambda console: print_offers(console, hoist[0]))
    assert "lever valve +1 (as in the file)" in text
    sealed = Sealed(*hoist, 4)
    line = asked_words(sealed.bench, *sealed.ask("pump gauge"), "shop")
    assert "pump gauge" in line
    assert "(4 min)" in line
    shut = written(lambda console: print_sealed(console, sealed, [line], [], []))
    assert "still sealed" in shut
    assert sealed.fault.name not in shut
    assert f"FOUND: {sealed.fault.name}" in verdict_words(sealed, [sealed.fault.name], [True])
