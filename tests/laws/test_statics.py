"""Statics of a cylinder."""

from __future__ import annotations

import pytest

from oilway.laws.statics import intensified_pressure


def test_the_piston_is_in_balance() -> None:
    cap, rod, p, load = 7.85e-3, 4.71e-3, 1.2e7, 30e3
    assert p * cap - intensified_pressure(p, cap, rod, load) * rod == pytest.approx(load)


def test_a_load_that_uses_all_the_push_leaves_nothing_at_the_rod() -> None:
    assert intensified_pressure(1e7, 2e-3, 1e-3, load=2e4) == pytest.approx(0.0)
