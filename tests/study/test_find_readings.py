"""Readings as typed: values, limits of error, set-ups; and every mistake asked back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from oilway.errors import InputError
from oilway.quantity import PSI
from oilway.study.find_readings import read_readings, readings_from

STALL = "lever valve +1, stalled"


def test_commas_part_readings_and_belong_to_set_ups(hoist: Any) -> None:
    bench, _ = hoist
    found = read_readings(bench, f"pump gauge = 2000 psi +- 40 psi @ {STALL}, load gauge=1990 psi @ {STALL}")
    assert [bench.panel.offers[r.offer].name for r in found] == ["pump gauge", "load gauge"]
    assert {bench.setups[r.setup].name for r in found} == {STALL}
    assert found[0].value == pytest.approx(2000 * PSI)
    assert found[0].spread == pytest.approx(20 * PSI)  # a limit of error is two standard deviations


def test_without_a_set_up_it_is_as_in_the_file_and_a_chamber_is_its_gauge(hoist: Any) -> None:
    bench, _ = hoist
    found = read_readings(bench, "pump line = 1500 psi ± 2 %; rod line = 10 psi")
    assert [bench.panel.offers[r.offer].name for r in found] == ["pump gauge", "pressure at rod line"]
    assert {bench.setups[r.setup].name for r in found} == {bench.default}
    assert found[0].spread == pytest.approx(15 * PSI)


def test_a_file_has_one_a_line_and_remarks(hoist: Any, tmp_path: Path) -> None:
    bench, _ = hoist
    file = tmp_path / "seen.txt"
    file.write_text("# stalled, hot\npump gauge = 2290 psi @ " + STALL + "\n\noil temperature = 120 F\n")
    assert len(readings_from(bench, str(file))) == 2


GAUGES = "gauge A: 0 to 5000 psi, 1 % of span\n"


def test_an_instrument_that_is_moved_is_named_and_described_once(hoist: Any) -> None:
    bench, _ = hoist
    text = f"{GAUGES}pump line = 2000 psi by gauge A; rod line = 10 psi by gauge A @ {STALL}"
    first, second = read_readings(bench, text)
    assert (first.by, second.by) == ("gauge A", "gauge A")
    assert first.spread == second.spread == pytest.approx(25 * PSI)  # 1 % of 5000 psi are two standard deviations
    assert first.own == pytest.approx(25 / 4 * PSI)
    # A name alone is enough for an ordinary gauge; a limit that is typed goes before that of the instrument.
    bare, typed = read_readings(bench, "pump line=2000 psi by gauge C; rod line = 10 psi +- 4 psi by gauge C")
    assert bare.spread == pytest.approx(32 * PSI)
    assert typed.spread == pytest.approx(2 * PSI)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (f"{GAUGES}pump line = 2000 psi by gauge B", "no instrument 'gauge B' is described"),
        (f"{GAUGES}pump line = 6000 psi by gauge A", "outside the range of gauge A"),
        (f"{GAUGES}flow of pump = 12 gpm by gauge A", "reads pressure, not flow"),
        ("gauge A: 5000 psi, 1 % of span", "is no range"),
        ("gauge A: 0 to 5000 psi, 1 %", "of span or of reading"),
        ("pump gage = 2000 psi", "did you mean 'pump gauge'"),
        ("pump gauge = 2000 psi @ lever valve +1, staled", "did you mean 'lever valve +1, stalled'"),
        ("pump gauge = 2000 gpm", "pump gauge"),
        ("pump gauge", "not of the form"),
        ("pump gauge = -40 psi", "below a vacuum"),
        ("pump gauge = 40 psi +- 0 psi", "no limit of error"),
        ("flow out of rod port of hoist cylinder = 1 gpm @ neutral", "not there to be read"),
        ("", "no reading"),
    ],
)
def test_what_is_not_understood_is_asked_back(hoist: Any, text: str, says: str) -> None:
    with pytest.raises(InputError, match=says.replace("+", r"\+")):
        read_readings(hoist[0], text)


def test_a_file_that_is_not_there_is_said(hoist: Any) -> None:
    with pytest.raises(InputError, match="no such file"):
        readings_from(hoist[0], "seen.txt")


def test_a_wrong_line_is_named(hoist: Any) -> None:
    with pytest.raises(InputError, match=":2"):
        read_readings(hoist[0], "pump gauge = 2000 psi\npump gage = 1 psi", "seen.txt")
