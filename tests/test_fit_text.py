"""A fit in words: values with their intervals, what is not told, and a misfit said in bold."""

from __future__ import annotations

import io

import numpy as np
from rich.console import Console

import oilway
from benchmarks.fit_trials import FLOWS, GPM, NOISE, TRUTH, readings
from oilway.fit_text import print_fit
from oilway.study.fit import Fit, fit


def written(result: Fit) -> str:
    file = io.StringIO()
    print_fit(Console(file=file, width=200), result, "shop")
    return file.getvalue()


def test_values_and_intervals() -> None:
    machine = oilway.load("direct relief")
    text = written(fit(machine, readings(machine, TRUTH, FLOWS, NOISE, 0), list(TRUTH)))
    for words in ("95 % from", "main spring.rate", "N/mm", "furthest off", "not an authority"):
        assert words in text
    assert "It does not fit" not in text


def test_what_cannot_be_told_and_what_to_take() -> None:
    pilot = oilway.load("pilot relief")
    text = written(fit(pilot, readings(pilot, {}, np.linspace(1, 18, 12) * GPM, NOISE, 3, turned=False)))
    assert "say next to nothing of pilot spring.rate; it stays as the file has it" in text
    assert "take this one too" in text
    assert "cannot tell" in text
