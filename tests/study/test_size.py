"""Choosing parts: each combination is the valve it says, and what stands in the way is named."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from oilway.errors import InputError
from oilway.quantity import parse
from oilway.size_text import verdict
from oilway.study.curve import relief_curve
from oilway.study.size import CRACKING, FULL, OVERRIDE, TURNS, size

BORES = {"main orifice.diameter": "0.5, 0.6, 0.8 mm", "main spring.rate": "4..8 N/mm"}


@pytest.fixture(scope="module")
def found():
    """The two-stage relief over three bores and 25 spring rates."""
    return size(oilway.load("pilot relief"), BORES, ["override<=14 psi", "flow:pilot seat<=0.30 gpm"])


def test_a_combination_has_the_figures_of_that_valve_changed_in_its_file(found) -> None:
    k = int(np.argmin(abs(found.values - [0.8e-3, 8e3]).sum(axis=1)))
    assert found.values[k] == pytest.approx([0.8e-3, 8e3])
    machine = oilway.load("pilot relief", {"main orifice.diameter": "0.8 mm", "main spring.rate": "8 N/mm"})
    curve = relief_curve(machine)
    assert found.figures[FULL][k] == pytest.approx(curve.full, abs=20)
    assert found.figures[CRACKING][k] == pytest.approx(curve.cracking, abs=200)
    assert found.figures[TURNS][k] == pytest.approx(machine.parts["pilot spring"].values["turns"], abs=1e-4)


def test_every_combination_holds_the_setting_and_the_best_satisfies_every_target(found) -> None:
    assert found.set_up.all()
    assert found.figures[FULL] == pytest.approx(parse("2300 psi", "pressure"), abs=20)
    assert 0 < found.passed.sum() < len(found.values)
    assert found.passed[found.best]
    assert found.figures[OVERRIDE][found.best] <= parse("14 psi", "pressure")
    assert found.figures["flow:pilot seat"][found.best] <= parse("0.30 gpm", "flow")
    assert found.inside[found.best].min() == found.inside[found.passed].min(axis=1).max()


def test_where_nothing_satisfies_the_target_in_the_way_is_named() -> None:
    told = size(oilway.load("pilot relief"), BORES, ["override<=1 psi", "flow:pilot seat<=1 gpm"])
    assert told.best is None
    assert "No choice satisfies" in verdict(told)
    assert "override at most 1 psi" in verdict(told)
    assert "flow:pilot seat" not in verdict(told)


def test_a_setting_beyond_the_turns_passes_nothing() -> None:
    told = size(oilway.load("pilot relief"), {"pilot spring.rate": "5, 45 N/mm"}, ["override<=60 psi"])
    assert told.set_up.tolist() == [False, True]
    assert told.passed.tolist() == [False, True]
    assert np.isnan(told.figures[OVERRIDE][0])


@pytest.mark.parametrize(
    ("free", "targets", "said"),
    [
        ({"main orifice.diamter": "1..2 mm"}, ["override<=9 psi"], "did you mean"),
        ({"main orifice.diameter": "2..1 mm"}, ["override<=9 psi"], "does not rise"),
        ({"main orifice.diameter": "1..2 mm in dirlls"}, ["override<=9 psi"], "did you mean 'drills'"),
        ({"pilot spring.turns": "1..2 turns"}, ["override<=9 psi"], "follow from the setting"),
        ({"main orifice.diameter": "1..2 mm"}, ["override=9 psi"], "is no target"),
        ({"main orifice.diameter": "1..2 mm"}, ["overide<=9 psi"], "did you mean 'override'"),
        ({"main orifice.diameter": "1..2 mm"}, ["override<=9 gpm"], "is a flow"),
        ({}, [], "nothing is said"),
    ],
)
def test_what_cannot_be_used_is_named(free: dict[str, str], targets: list[str], said: str) -> None:
    with pytest.raises(InputError, match=said):
        size(oilway.load("pilot relief"), free, targets)


def test_only_a_relief_valve_alone_is_sized() -> None:
    with pytest.raises(InputError, match="relief valve"):
        size(oilway.load("reducing"), {"main orifice.diameter": "1..2 mm"}, ["override<=9 psi"])
