"""Axes to sketch on: no curve for the student, the whole curve inside for the key."""

from __future__ import annotations

import re

import oilway
from oilway.draw.sketch import HIGH, WIDE, axes
from oilway.study.curve import relief_curve


def test_the_key_has_the_curve_and_the_sheet_has_not() -> None:
    curve = relief_curve(oilway.load("direct relief"), points=12)
    assert "polyline" not in axes(curve)
    drawn = axes(curve, drawn=True)
    assert drawn.count("<polyline") == 2
    places = [
        tuple(map(float, p.split(","))) for line in re.findall(r'points="([^"]+)"', drawn) for p in line.split()
    ]
    assert all(0 < x < WIDE and 0 < y < HIGH for x, y in places)


def test_axes_are_round_in_both_units() -> None:
    curve = relief_curve(oilway.load("direct relief"), points=12)
    shop, metric = axes(curve), axes(curve, "metric")
    assert ">2500<" in shop
    assert "psi" in shop
    assert ">150<" in metric
    assert "bar" in metric
