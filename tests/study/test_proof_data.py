"""A proof as plain data: numbers with units, and everything the sheet prints."""

from __future__ import annotations

import json

import pytest
from tests.shop import line_rows, proof_of, sheet

from oilway.study.proof_data import MOST_ROWS, proof_data


def test_numbers_stand_in_the_units_asked_for() -> None:
    proof = proof_of(sheet(line_rows(3000)))
    for units, unit, value in (("shop", "psi", 3000.0), ("metric", "bar", 206.843)):
        found = proof_data(proof, units)["sections"]["as found"]["figures"]["full-flow pressure"]
        assert found["unit"] == unit
        assert found["value"] == pytest.approx(value, rel=1e-5)
        assert found["uncertainty"] / found["value"] == pytest.approx(80 / 3000, rel=1e-6)


def test_it_is_plain_json_with_the_reasons() -> None:
    data = json.loads(json.dumps(proof_data(proof_of(sheet(line_rows(3000)))), allow_nan=False))
    assert data["verdict"] == "not proven"
    assert data["judged"]["full-flow pressure"]["what would prove it"]
    assert data["sections"]["as found"]["rows"]["columns"]["P, psi"][0] == pytest.approx(3000)
    assert data["cautions"][0].startswith("Done by a trained person")
    assert len(data["sha256"]) == 64


def test_a_long_table_is_not_repeated() -> None:
    rows = [row for _ in range(6) for row in line_rows(3000)]
    assert len(rows) > MOST_ROWS
    assert proof_data(proof_of(sheet(rows)))["sections"]["as found"]["rows"] is None
