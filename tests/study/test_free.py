"""Ranges, lists and catalogued steps; targets."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import oilway
from oilway.errors import InputError
from oilway.study.free import STEPS, Target, declared, read_free, read_target


@pytest.fixture(scope="module")
def valve():
    """The two-stage relief."""
    return oilway.load("pilot relief")


def test_a_range_is_divided_evenly(valve) -> None:
    free = read_free(valve, "main orifice.diameter", "0.4..1.2 mm")
    assert len(free.values) == STEPS
    assert (free.values[0], free.values[-1]) == pytest.approx((0.4e-3, 1.2e-3))
    assert read_free(valve, "main orifice.diameter", "0.4 mm .. 1.2 mm").values == free.values


def test_catalogued_steps_within_a_range(valve) -> None:
    free = read_free(valve, "main orifice.diameter", "0.58..0.71 mm in drills")
    assert free.values == pytest.approx([0.60e-3, 0.65e-3, 0.70e-3])
    assert free.source == "drills, common practice"


def test_wires_are_the_preferred_numbers() -> None:
    """ISO 3: the series R20 is 10^(k/20), rounded to three figures; none is off by more than 1.3 %."""
    from oilway.study.free import _sizes

    steps, _ = _sizes()["wires"]
    for step in steps:
        k = round(20 * math.log10(step * 1e3))
        assert step * 1e3 == pytest.approx(10 ** (k / 20), rel=0.013)


def test_a_list_takes_the_unit_of_its_last_number(valve) -> None:
    assert read_free(valve, "main spring.rate", "4, 8, 6 N/mm").values == pytest.approx((4e3, 6e3, 8e3))


def test_a_target_is_judged_as_a_share_of_its_bound() -> None:
    most = read_target("override<=60 psi", {"override": "pressure"})
    assert most.words() == "override at most 60 psi"
    assert most.inside(0.5 * most.bound) == pytest.approx(0.5)
    assert most.inside(1.5 * most.bound) == pytest.approx(-0.5)
    assert Target("damping ratio", "number", 0.1, at_most=False).inside(0.2) == pytest.approx(1.0)
    assert most.inside(float("nan")) == -float("inf")


def test_no_chatter_is_a_swing_that_does_not_grow() -> None:
    target = read_target("no chatter", {"damping ratio": "number"})
    assert (target.figure, target.bound, target.at_most) == ("damping ratio", 0.0, False)
    assert target.inside(-0.01) < 0 < target.inside(0.01)


def test_what_the_file_lists(tmp_path: Path) -> None:
    file = tmp_path / "mine.yaml"
    text = Path("src/oilway/valves/pilot_relief.yaml").read_text()
    file.write_text(text)
    assert declared(oilway.load(str(file))) == ({}, [])
    file.write_text(text + "size: {free: {main orifice.diameter: 1 mm}, targets: no chatter}\n")
    with pytest.raises(InputError, match="'targets' is a list"):
        declared(oilway.load(str(file)))
