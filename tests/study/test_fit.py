"""Fit: known insides recovered from noisy readings, and what cannot be told said plainly."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import oilway
from benchmarks.fit_trials import FLOWS, GAUGE, GPM, NOISE, TRUTH, readings, trials
from oilway.errors import InputError
from oilway.study.fit import Model, fit, written
from oilway.study.fit_rows import rows_of, table_of
from oilway.study.noise import Noise
from oilway.study.rows import Table
from oilway.study.setting import on_setting_stand
from oilway.study.story import examples


@pytest.fixture(scope="module")
def machine() -> oilway.Machine:
    return oilway.load("direct relief")


def test_without_noise_the_insides_come_back_exactly(machine: oilway.Machine) -> None:
    found = fit(machine, readings(machine, TRUTH, FLOWS, 0.0, 0), list(TRUTH))
    for item in found.internals:
        assert item.value == pytest.approx(TRUTH[item.name], rel=1e-3), item.name


def test_intervals_hold_what_they_promise() -> None:
    # 40 trials of 5 internals: 95 % of 200 is 190 +- 3; a run with less than 180 or with all 200 shows a defect.
    inside = sum(share * 40 for share in trials(40, first_seed=1000).inside.values())
    assert 180 <= inside < 200


def test_slopes_are_exact(machine: oilway.Machine) -> None:
    bench = on_setting_stand(machine)
    rows = rows_of(bench, readings(machine, TRUTH, FLOWS, NOISE, 0))
    model = Model(bench, rows, list(TRUTH), Noise())
    x = np.array(list(TRUTH.values())) / model.scale
    shown, slopes = model.shown(x)
    for k in range(len(x)):
        near = x.copy()
        near[k] *= 1 + 1e-5
        assert (model.shown(near)[0] - shown) / (near[k] - x[k]) == pytest.approx(slopes[:, k], rel=2e-2, abs=2e4)


def test_turns_and_rate_are_not_told_apart_at_one_place_of_the_adjuster() -> None:
    pilot = oilway.load("pilot relief")
    bench = on_setting_stand(pilot)
    flows = np.linspace(1, 18, 12) * GPM
    table = readings(pilot, {"pilot spring.rate": 48e3}, flows, NOISE, 3, turned=False)
    found = fit(pilot, table, ["pilot spring.turns", "pilot spring.rate"])
    mixed = found.mixed[0]
    assert {mixed.first, mixed.second} == {"pilot spring.turns", "pilot spring.rate"}
    assert mixed.correlation < -0.97
    assert mixed.extra is not None
    assert "adjuster half a turn further in" in mixed.extra.words
    assert bench.set_by[0] == "inlet"


def test_what_is_vague_stays_as_the_file_has_it() -> None:
    pilot = oilway.load("pilot relief")
    found = fit(pilot, readings(pilot, {}, np.linspace(1, 18, 12) * GPM, NOISE, 3, turned=False))
    assert "pilot spring.rate" in found.held
    assert not [item.name for item in found.internals if item.vague]


def test_another_valve_does_not_fit(machine: oilway.Machine) -> None:
    table = readings(machine, TRUTH, FLOWS, NOISE, 0)
    table.columns["P"][10] *= 1.5
    assert not fit(machine, table, list(TRUTH)).fits


def test_the_users_own_valve_is_a_file_with_its_comments(machine: oilway.Machine, tmp_path: Path) -> None:
    found = fit(machine, readings(machine, TRUTH, FLOWS, NOISE, 0), list(TRUTH))
    own = tmp_path / "mine.yaml"
    own.write_text(written(machine.path.read_text(encoding="utf-8"), found, "mine.yaml"), encoding="utf-8")
    assert "# a scored seat leaves a gap" in own.read_text(encoding="utf-8")
    loaded = oilway.load(own)
    for item in found.internals:
        part, _, record = item.name.rpartition(".")
        assert loaded.parts[part].values[record] == pytest.approx(item.value, rel=1e-3)


@pytest.mark.parametrize(
    ("columns", "names", "says"),
    [
        ({"P": [1e7]}, None, "no column Q"),
        ({"Q": [1e-4], "P": [1e7], "V": [1e7]}, None, "no vent port"),
        ({"Q": [1e-4], "P": [1e7]}, ["main sprung.rate"], "did you mean 'main spring.rate'"),
        ({"Q": [1e-4], "P": [1e7]}, ["main spring.rate", "main spring.turns"], "cannot tell 2 internals"),
    ],
)
def test_bad_input_is_asked_back(
    machine: oilway.Machine, columns: dict[str, list[float]], names: list[str] | None, says: str
) -> None:
    table = Table("own.csv", {k: np.array(v) for k, v in columns.items()}, np.array([2]), {})
    with pytest.raises(InputError, match=says):
        fit(machine, table, names)


def test_with_a_gauge_of_a_class_intervals_hold_what_they_promise() -> None:
    # The gauge is off by one line over its scale in each trial; 95 % of 120 is 114 +- 2.4.
    done = trials(24, first_seed=2000, gauge=GAUGE)
    inside = sum(share * 24 for share in done.inside.values())
    assert 107 <= inside <= 120


def test_an_error_that_all_readings_share_is_not_averaged_away(machine: oilway.Machine) -> None:
    # A gauge that reads 1 % of its span high at every point: twenty readings make the adjuster no surer than one.
    table = readings(machine, TRUTH, FLOWS, 0.0, 0)
    shared = fit(machine, table, ["main spring.turns"], instruments={"P": GAUGE})
    alone = fit(machine, table, ["main spring.turns"], noise=0.01)
    widths = [f.internals[0].high - f.internals[0].low for f in (shared, alone)]
    assert widths[0] > 2 * widths[1]
    assert shared.noise.words == "P 0 to 5000 psi, 1 % of span"


def test_a_gap_that_only_keeps_a_part_shut_is_not_told_from_none() -> None:
    # The rows were made with sound seats. A gap that takes just the least flow of the table has a steep slope
    # towards wider and none towards shut; an interval by its slope alone would be a few nanometres wide.
    table, instruments = table_of(examples() / "readings" / "hoist_relief.yaml")
    pilot = oilway.load("pilot relief")
    names = ["pilot spring.turns", "pilot seat.worn gap", "main seat.worn gap"]
    gaps = fit(pilot, table, names, instruments=instruments).internals[1:]
    assert all(gap.low <= 0.0 < gap.high for gap in gaps)


def test_noise_that_is_given_goes_before_the_instruments(machine: oilway.Machine) -> None:
    table = readings(machine, TRUTH, FLOWS, 0.0, 0)
    told = fit(machine, table, ["main spring.turns"], noise=0.02, instruments={"P": GAUGE})
    assert told.noise.words.startswith("2.0 % of each reading")
