"""Test sheets to be read: figures come from the rounded rows, as a reader would take them."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.classroom import HEAD, PSI, item_of, variant

from oilway.errors import InputError
from oilway.study.worksheet_sheet import TableSheet, table_sheet

TEXT = (
    "questions:\n  - {id: q, kind: sheet, marks: 5, ask: a, flows: [0.18 gpm, 6 gpm, 18 gpm], reads to: 10 psi, "
    "gauge: 1 % of 4000 psi, figures: [cracking pressure, full-flow pressure, override, verdict], "
    "limits: {full-flow pressure: 2300 psi +- 100 psi}}\n"
)


def table() -> TableSheet:
    return TableSheet("v", [1.0, 2.0, 3.0], [100.0, 150.0, 200.0], [90.0, 130.0, 200.0], 5.0)


def test_figures_by_hand() -> None:
    wanted = {
        "full-flow pressure": 200,
        "cracking pressure": 100,
        "reseating pressure": 90,
        "override": 100,
        "hysteresis": 20,
    }
    assert {name: table().figure(name) for name in wanted} == wanted


def test_wrong_figures_are_other_figures_of_the_table() -> None:
    assert [w.value for w in table().wrong("cracking pressure", 3.0)] == [200.0]
    assert [w.value for w in table().wrong("reseating pressure", 3.0)] == [100.0]
    assert table().wrong("reseating pressure", 20.0) == []
    assert [w.value for w in table().wrong_verdict("accept", "not proven")] == ["accept"]


def test_rows_are_rounded_and_the_verdict_counts_the_gauge(tmp_path: Path) -> None:
    found = variant(tmp_path, TEXT)
    sheet = table_sheet(found.sitting, found.sitting.worksheet.questions[0])
    psi = [p / PSI for p in (*sheet.rising, *sheet.falling)]
    assert psi == pytest.approx([round(p / 10) * 10 for p in psi])
    assert item_of(found, "q.b").size() == pytest.approx(2300 * PSI)
    assert item_of(found, "q.d").key == "accept"
    near = variant(tmp_path, TEXT.replace("2300 psi +- 100", "2250 psi +- 60"))
    assert item_of(near, "q.d").key == "not proven"
    assert [w.value for w in item_of(near, "q.d").wrong] == ["accept"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("[0.18 gpm, 6 gpm, 18 gpm]", "[18 gpm, 6 gpm, 1 gpm]", "three or more, rising"),
        ("1 % of 4000 psi", "1 %", "no class of a gauge"),
        ("override", "overide", "no figure 'overide'"),
        ("kind: sheet", "kind: sheet, valve: main", "no valve 'main'"),
    ],
)
def test_a_sheet_that_cannot_be_made(tmp_path: Path, old: str, new: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        variant(tmp_path, TEXT.replace(old, new))


def test_the_span_of_a_gauge_may_be_drawn_or_stand_in_braces(tmp_path: Path) -> None:
    """1 % of 4000 psi is 40 psi, either way."""
    asked = "questions:\n  - {id: s, kind: sheet, ask: a, flows: [0.2 gpm, 9 gpm, 18 gpm], figures: [override],\n"
    spans = "vary:\n  span: 4000 psi to 4001 psi, step 2 psi"  # one number to draw
    for gauge, head in (("{4000 psi}", HEAD), ("{span}", HEAD.replace("vary:", spans))):
        found = variant(tmp_path, f"{asked}     gauge: '1 % of {gauge}'}}\n", head=head)
        doubt = table_sheet(found.sitting, found.sitting.worksheet.questions[0]).doubt
        assert doubt == pytest.approx(40 * PSI)
