"""The dark end of the pressure scale, from what the files name."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import oilway
from oilway import quantity
from oilway.model.machine import Machine
from oilway.study.scale import UNSAID, full_scale
from oilway.study.story import examples


def psi(machine: Machine) -> float:
    """Full scale in psi."""
    return quantity.number(full_scale(machine), "pressure")


def test_the_highest_rating_counts_rounded_up_to_the_next_500_psi() -> None:
    assert psi(oilway.load(examples() / "tipping_hoist.yaml")) == pytest.approx(4000)  # its pump: 3600 psi


def test_a_valve_alone_has_its_setting() -> None:
    assert psi(oilway.load("pilot relief")) == pytest.approx(2500)  # 2300 psi
    machine = oilway.load("pilot relief", {"setting": "2000 psi at 18 gpm"})
    assert psi(machine) == pytest.approx(2000), "a round setting is no further rounded"


def test_a_file_that_names_neither_has_a_scale_all_the_same(machine: Callable[..., Machine]) -> None:
    built = machine(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 10 cc/rev, engine speed: 1000 rpm}
        hole: {kind: orifice, from: line, to: tank, diameter: 3 mm}
        """
    )
    assert full_scale(built) == UNSAID
