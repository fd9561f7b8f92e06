"""What looks wrong is flagged by line and left out; nothing is repaired."""

from __future__ import annotations

import numpy as np
from tests.shop import PSI

from oilway.model.tree import Problems, read_text
from oilway.study.instruments import Instrument, read_instrument
from oilway.study.rows import Table, read_table
from oilway.study.suspect import sift


def gauges(**ranges: str) -> dict[str, Instrument]:
    found = {}
    for column, text in ranges.items():
        kind = "flow" if column == "Q" else "pressure"
        instrument = read_instrument(
            column, kind, read_text(f"range: {text}\nclass: 1 % of span"), problems := Problems()
        )
        problems.stop_if_any()
        assert instrument is not None
        found[column] = instrument
    return found


def logged(rows: int = 200) -> Table:
    noise = np.random.default_rng(2).normal(0, 2, rows)
    lines = [f"{0.1 * k:.1f},{2000 + noise[k]:.1f}" for k in range(rows)]
    return read_table("t (s),P (psi)\n" + "\n".join(lines), "log.csv", 1)


def test_clean_readings_are_left_alone() -> None:
    table = logged()
    kept, flags = sift(table, gauges(P="0 to 5000 psi"))
    assert (len(kept), flags) == (len(table), [])


def test_swapped_columns_are_questioned_with_both_numbers() -> None:
    table = read_table("Q (gpm),P (psi),T (psi)\n5,2880,20\n10,300,2900\n15,2920,60\n", "log.csv", 1)
    kept, flags = sift(table, gauges(P="0 to 5000 psi", T="0 to 5000 psi"))
    assert [str(flag) for flag in flags] == ["log.csv:3: 300 psi on P while T reads 2900 psi: swapped?"]
    assert flags[0].question
    assert kept.lines.tolist() == [2, 4]


def test_a_wrong_unit_is_proposed_where_it_would_fit() -> None:
    table = read_table("Q (gpm),P (bar)\n5,2880\n10,2890\n", "log.csv", 1)
    kept, flags = sift(table, gauges(P="0 to 5000 psi"))
    assert "were these psi, not bar?" in flags[0].said
    assert len(kept) == 0


def test_a_reading_no_gauge_shows_is_a_question() -> None:
    table = read_table("Q (gpm),P (psi)\n5,2880\n10,29000\n15,2900\n", "log.csv", 1)
    _, flags = sift(table, gauges(P="0 to 5000 psi"))
    assert any("29000 psi on P is outside" in flag.said and flag.question for flag in flags)


def test_a_spike_of_a_logger_is_left_out_and_kept_in_a_step() -> None:
    table = logged()
    table.columns["P"][77] = 4000 * PSI
    kept, flags = sift(table, {})
    assert [(flag.sort, flag.rows) for flag in flags] == [("spike", "log.csv:79")]
    assert len(kept) == len(table) - 1
    kept, flags = sift(table, {}, keep_spikes=True)
    assert len(kept) == len(table)
    assert len(flags) == 1


def test_a_typing_slip_among_typed_rows_is_a_question() -> None:
    rows = "\n".join(f"{q},{p}" for q, p in enumerate([2880, 2890, 2900, 2091, 2910, 2920, 2930], 1))
    _, flags = sift(read_table(f"Q (gpm),P (psi)\n{rows}", "sheet.yaml", 1), {})
    assert [(flag.sort, flag.rows) for flag in flags] == [("question", "sheet.yaml:5")]
    assert "2091 psi on P" in flags[0].said


def test_gaps_and_pauses_and_a_clock_that_runs_back() -> None:
    table = logged()
    table.columns["P"][[20, 21, 22, 90]] = np.nan
    table.columns["t"][150:] += 30.0
    kept, flags = sift(table, {})
    assert [(flag.sort, flag.rows) for flag in flags] == [("gap", "log.csv:22-24, 92"), ("pause", "log.csv:152")]
    assert len(kept) == len(table) - 4
    table = logged()
    table.columns["t"][150:] -= 8.0
    _, flags = sift(table, {})
    assert flags[0].question
    assert "backwards" in flags[0].said
