"""One more reading: its slopes are those of the state it would be taken in, and it narrows what it should."""

from __future__ import annotations

import numpy as np
import pytest

import oilway
from benchmarks.fit_trials import FLOWS, NOISE, TRUTH, readings
from oilway.solve.steady import steady
from oilway.study.fit import Model
from oilway.study.fit_more import Extra, extras, moved
from oilway.study.fit_rows import rows_of
from oilway.study.noise import Noise
from oilway.study.setting import on_setting_stand


def model_of() -> tuple[Model, np.ndarray]:
    machine = oilway.load("direct relief")
    bench = on_setting_stand(machine)
    rows = rows_of(bench, readings(machine, TRUTH, FLOWS, NOISE, 0))
    model = Model(bench, rows, ["main spring.turns", "main spring.rate"], Noise())
    return model, np.array([4.2, 430e3]) / model.scale


def test_the_implicit_function_is_the_difference_of_two_solves() -> None:
    model, x = model_of()
    system, th = model.machine.system, model.theta(model.rows[-1], x)
    z = steady(system, th)
    slope = moved(system, z, th, model.columns)[:, 1]
    near = th.copy()
    near[model.columns[1]] *= 1 + 1e-5
    other = steady(system, near, z)
    assert (other - z) / (1e-5 * th[model.columns[1]]) == pytest.approx(slope, rel=1e-3, abs=1e-12)


def test_what_points_another_way_helps_more() -> None:
    slopes = np.array([[1.0, 1.0], [1.0, 1.001]])
    same, across = Extra("", np.array([1.0, 1.0])), Extra("", np.array([1.0, -1.0]))
    assert across.helps(slopes, 0, 1) > same.helps(slopes, 0, 1) >= 0.0


def test_offers_cover_little_and_full_flow_and_the_adjuster() -> None:
    model, x = model_of()
    words = [extra.words for extra in extras(model, x)]
    assert any("half a turn further in" in w for w in words)
    assert any("psi in the outlet" in w for w in words)
    assert any("18.00 gpm" in w for w in words)
