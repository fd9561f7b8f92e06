"""The chart of a proof: what is in it, in words too, and for whom there is none."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from tests.shop import line_rows, proof_of, sheet

from oilway.draw.proof_chart import MOST, alt_text, draw_proof, has_chart, save_proof, thinned
from oilway.errors import InputError
from oilway.study.branches import branches
from oilway.study.proof import prove
from oilway.study.readings import read_readings
from oilway.study.rows import read_table
from oilway.study.story import examples

SHEETS = examples() / "readings"


def test_the_words_hold_every_figure_with_its_doubt() -> None:
    words = alt_text(proof_of(sheet(line_rows(2900, 5.0, 30))))
    assert "full-flow pressure 3020 psi, plus or minus 80 psi." in words
    assert "hysteresis 30 psi" in words
    assert "bar" in alt_text(proof_of(sheet(line_rows())), "metric")


def test_the_picture_is_the_same_each_time_and_carries_its_words() -> None:
    proof = proof_of(sheet(line_rows(2900, 5.0, 30)))
    svg = draw_proof(proof)
    assert svg == draw_proof(proof)
    assert svg.startswith("<svg")
    assert alt_text(proof) in svg
    assert len(re.findall(r"<path", svg)) > 40


@pytest.mark.parametrize("name", ["hoist_relief", "hoist_logger", "forklift_pump", "press_reducing", "hoist_step"])
def test_every_swept_test_is_drawn(name: str, tmp_path: Path) -> None:
    proof = prove(read_readings(SHEETS / f"{name}.yaml"))
    assert has_chart(proof)
    save_proof(proof, tmp_path / "chart.svg")
    assert (tmp_path / "chart.svg").stat().st_size > 5000


def test_a_test_without_a_sweep_has_no_chart() -> None:
    proof = prove(read_readings(SHEETS / "press_precharge.yaml"))
    assert not has_chart(proof)
    with pytest.raises(InputError, match="no curve to draw"):
        draw_proof(proof)


def test_a_long_branch_is_thinned_to_medians_that_lie_on_it() -> None:
    rows = "\n".join(f"{q:.4f},{2900 + 5 * q:.4f}" for q in np.linspace(0, 20, 5000))
    table = read_table(f"Q (gpm),P (psi)\n{rows}", "log.csv", 1)
    (branch,) = branches(table.columns["Q"])
    x, y = thinned(table, branch, "Q", "P")
    assert len(x) == MOST
    slope = np.polyfit(x, y, 1)
    left = y - np.polyval(slope, x)
    assert np.abs(left).max() < 1e-3 * y.max()
