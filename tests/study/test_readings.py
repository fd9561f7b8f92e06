"""A readings file: what it holds, and every mistake with its line."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from tests.shop import GPM, PSI, line_rows, sheet

from oilway.errors import InputError
from oilway.study.readings import parse_limit, read_readings, readings_from_text


def refused(text: str) -> str:
    with pytest.raises(InputError) as caught:
        readings_from_text(text, "sheet.yaml")
    return str(caught.value)


def line_of(text: str, words: str) -> int:
    return next(k for k, line in enumerate(text.splitlines(), 1) if words in line)


def test_a_sheet_is_read_whole() -> None:
    text = sheet(line_rows(), more="machine: hoist 2\ntechnician: R. Ames")
    readings = readings_from_text(text, "sheet.yaml")
    assert readings.facts == {"machine": "hoist 2", "technician": "R. Ames"}
    assert readings.given["rated flow"] == pytest.approx(24 * GPM)
    assert readings.given["cracking flow"] == pytest.approx(0.01)
    assert any("cracking flow" in said for said in readings.assumed)
    assert readings.limits["full-flow pressure"].low == pytest.approx(2950 * PSI)
    table = readings.sections[-1].table
    assert table is not None
    assert table.lines[0] == line_of(text, "    0.24 2900")
    assert len(table) == 18


@pytest.mark.parametrize(
    ("change", "words", "said"),
    [
        (("test: relief", "test: releif"), "test: releif", "did you mean 'relief'"),
        (("test: relief\n", ""), "format", "missing key 'test'"),
        (("rated flow: 24 gpm", "rated flow: 24 psi"), "rated flow", "is a pressure"),
        (("rated flow: 24 gpm\n", ""), "format", "missing key 'rated flow'"),
        (
            ("full-flow pressure: 3000", "full flow pressure: 3000"),
            "full flow",
            "did you mean 'full-flow pressure'",
        ),
        (("3000 psi +- 50 psi", "about 3000 psi"), "limits", "is no limit"),
        (('source: "invented, page 1", ', ""), "limits", "missing key 'source'"),
        (("  P: {range", "  Z: {range"), "  Z:", "unknown key 'Z'"),
        (("as found:", "as found it:"), "as found it", "unknown key 'as found it'"),
        (("oil temperature: 122 F", "oil temperature: 122 psi"), "conditions", "is a pressure"),
        (("settling time: 5 s", "settling tine: 5 s"), "conditions", "did you mean 'settling time'"),
        (("settling time: 5 s", "cleanliness: 18/16"), "conditions", "is no code"),
        (("settling time: 5 s", "cleanliness target: 18/16/99"), "conditions", "is no code"),
        (("    1 2900", "    1 29oo"), "    1 29oo", "'29oo' is no number"),
        (("Q (gpm) P (psi)", "Q (gpm) R (psi)"), "Q (gpm)", "no column P"),
        (("readings: a", "valv: x\nreadings: a"), "valv", "did you mean 'valve'"),
    ],
)
def test_a_mistake_is_named_with_its_line(change: tuple[str, str], words: str, said: str) -> None:
    text = sheet(line_rows())
    assert text.count(change[0]) >= 1
    text = text.replace(*change, 1)
    found = refused(text)
    assert said in found
    assert f"sheet.yaml:{line_of(text, words)}:" in found


def test_limits_in_the_four_ways_they_are_written() -> None:
    def ends(text: str) -> list[float | None]:
        limit = parse_limit("x", text, "pressure")
        return [None if end is None else round(end / PSI, 6) for end in (limit.low, limit.high)]

    assert ends("at most 150 psi") == [None, 150.0]
    assert ends("at least 150 psi") == [150.0, None]
    assert ends("2950 to 3050 psi") == [2950.0, 3050.0]
    assert ends("3000 psi ± 50 psi") == [2950.0, 3050.0]


def test_a_csv_beside_the_file_counts_in_the_fingerprint(tmp_path: Path) -> None:
    text = sheet(line_rows()).split("  rows: |")[0] + "  file: log.csv\n"
    (tmp_path / "sheet.yaml").write_text(text, encoding="utf-8")
    table = "\n".join(["Q (gpm),P (psi)", *(row.replace(" ", ",") for row in line_rows())])
    (tmp_path / "log.csv").write_text(table, encoding="utf-8")
    readings = read_readings(tmp_path / "sheet.yaml")
    assert readings.sha256 == hashlib.sha256(text.encode() + b"\0" + table.encode()).hexdigest()
    (tmp_path / "log.csv").write_text(table + "\n1,2900\n", encoding="utf-8")
    assert read_readings(tmp_path / "sheet.yaml").sha256 != readings.sha256
    with pytest.raises(InputError, match="a table alone says nothing"):
        read_readings(tmp_path / "log.csv")


def test_a_table_that_is_not_there_and_one_that_is_wrong(tmp_path: Path) -> None:
    text = sheet(line_rows()).split("  rows: |")[0] + "  file: log.csv\n"
    with pytest.raises(InputError, match=r"log.csv: no such file"):
        readings_from_text(text, "sheet.yaml", tmp_path)
    (tmp_path / "log.csv").write_text("Q (gpm),P (psi)\n1,2\n3,4,5\n", encoding="utf-8")
    with pytest.raises(InputError, match=r"log.csv:3: 3 cells"):
        readings_from_text(text, "sheet.yaml", tmp_path)


def test_one_gauge_can_stand_for_two_columns() -> None:
    text = sheet(line_rows(), instruments="  T: same as P")
    readings = readings_from_text(text)
    assert readings.same_instrument("P", "T")
    assert not readings.same_instrument("P", "Q")
    assert "there is no V of its kind" in refused(sheet(line_rows(), instruments="  T: same as V"))


def test_times_and_volumes_lie_above_zero() -> None:
    assert "lies above zero" in refused(sheet(line_rows(), end="  leakage time: 0 s"))


@pytest.mark.parametrize(
    "change",
    [
        ("    1 2900", "    1 1e300"),
        ("class: 1.6 % of span", "class: +-1e300 psi"),
        ("rated flow: 24 gpm", "rated flow:"),
        ("rated flow: 24 gpm", "rated flow: 0 gpm"),
        ("rated flow: 24 gpm", "rated flow: -24 gpm"),
    ],
)
def test_what_is_no_quantity_of_a_test_is_refused(change: tuple[str, str]) -> None:
    text = sheet(line_rows())
    assert change[0] in text
    assert refused(text.replace(*change, 1))
