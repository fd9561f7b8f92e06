"""Tolerances: common practice by kind of part, and what is declared goes over it."""

from __future__ import annotations

import pytest

import oilway
from oilway.errors import InputError
from oilway.study.allowed import DECLARED, PRACTICE, tolerances


def test_common_practice_and_what_is_declared() -> None:
    machine = oilway.load("pilot relief")
    usual = {t.parameter: t for t in tolerances(machine)}
    assert usual["main spring.rate"].reach == pytest.approx(0.1 * usual["main spring.rate"].value)
    assert usual["main orifice.diameter"].reach == pytest.approx(0.05 * 0.6e-3)
    assert usual["main orifice.diameter"].source == PRACTICE
    assert "main guide.clearance" not in usual  # no gap is given there, and a share of nothing is nothing
    wire = next(t for t in tolerances(oilway.load("counterbalance")) if t.parameter == "main spring.wire diameter")
    # stiffness goes with the fourth power of the wire
    assert (1 + wire.reach / wire.value) ** 4 == pytest.approx(1.1, abs=0.01)
    own = {"main orifice.diameter": "+-0.02 mm", "main spring.rate": "0 %", "pilot seat.diameter": "1 %"}
    said = {t.parameter: t for t in tolerances(machine, own)}
    assert said["main orifice.diameter"].reach == pytest.approx(0.02e-3)
    assert said["main orifice.diameter"].source == DECLARED
    assert "main spring.rate" not in said
    assert said["pilot seat.diameter"].reach == pytest.approx(0.01 * 5e-3)


def test_every_text_that_cannot_be_used_is_named() -> None:
    with pytest.raises(InputError) as caught:
        tolerances(oilway.load("pilot relief"), {"main orifice.diameter": "-5 %", "nothing.rate": "5 %"})
    assert len(caught.value.problems) == 2
