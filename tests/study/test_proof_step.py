"""Step responses whose answer is known in closed form."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from oilway.laws.response import overshoot, peak_time
from oilway.study.proof import prove
from oilway.study.proof_step import Step, read_step
from oilway.study.readings import readings_from_text

ZETA, WN = 0.2, 100.0


def swing(noise: float = 0.0, zeta: float = ZETA) -> tuple[np.ndarray, np.ndarray]:
    """A unit step at 0.05 s of y'' + 2 zeta w y' + w^2 y = w^2, from 20 to 120 bar, sampled at 5 kHz."""
    t = np.arange(0, 0.6, 2e-4)
    since = np.clip(t - 0.05, 0, None)
    wd = WN * np.sqrt(1 - zeta**2)
    y = 1 - np.exp(-zeta * WN * since) * (np.cos(wd * since) + zeta / np.sqrt(1 - zeta**2) * np.sin(wd * since))
    return t, 20e5 + 100e5 * y + np.random.default_rng(8).normal(0, noise, len(t))


def step(noise: float = 0.0, zeta: float = ZETA) -> Step:
    found = read_step(*swing(noise, zeta))
    assert found is not None
    return found


@pytest.mark.parametrize("noise", [0.0, 0.2e5])
def test_one_mode_gives_back_its_overshoot_and_damping(noise: float) -> None:
    found = step(noise)
    assert found.overshoot / found.size == pytest.approx(float(overshoot(ZETA)), rel=0.02)
    assert found.damping == pytest.approx(ZETA, rel=0.06)
    assert found.swings >= 3


def test_settling_ends_where_the_swing_last_leaves_two_per_cent() -> None:
    t, p = swing()
    y = (p - 20e5) / 100e5
    last = t[np.flatnonzero(np.abs(y - 1) > 0.02)[-1]]
    begun = t[np.argmax(y > 0.05)]
    assert step().settled == pytest.approx(last - begun, abs=2e-3)
    assert float(peak_time(ZETA, WN)) < last


def test_one_swing_alone_tells_its_damping_by_the_overshoot() -> None:
    found = step(zeta=0.75)
    assert found.swings == 1
    assert found.damping == pytest.approx(0.75, rel=0.03)


def test_a_creeping_step_has_no_damping_and_no_overshoot() -> None:
    t = np.arange(0, 1, 1e-3)
    found = read_step(t, 1e5 + 99e5 * (1 - np.exp(-t / 0.1)))
    assert found is not None
    assert found.damping is None or found.overshoot < 1e-3 * found.size


@pytest.mark.parametrize("values", [np.full(100, 5e5), np.linspace(9e5, 1e5, 100), np.zeros(3)])
def test_what_is_no_rising_step_gives_nothing(values: np.ndarray) -> None:
    assert read_step(np.arange(len(values)) * 1e-3, values) is None


def test_a_swing_that_goes_on_has_not_settled() -> None:
    t = np.arange(0, 1, 1e-3)
    found = read_step(t, 50e5 + np.where(t > 0.1, 50e5 + 20e5 * np.sin(200 * t), 0))
    assert found is None or found.settled is None


def test_a_step_file_is_proved_and_its_peak_is_not_taken_for_a_spike(tmp_path: Path) -> None:
    t, p = swing()
    p[300] = 190e5
    lines = [f"{a:.5f},{b / 1e5:.4f}" for a, b in zip(t, p, strict=True)]
    (tmp_path / "step.csv").write_text("t (s),P (bar)\n" + "\n".join(lines), encoding="utf-8")
    text = """format: 1
readings: a step
test: step
conditions: {temperature window: 40 C to 60 C, oil temperature: 50 C}
instruments: {P: {range: 0 to 250 bar, class: 0.5 % of span}}
limits: {source: invented, step peak: at most 200 bar, step settling time: at most 300 ms}
as found: {step: step.csv}
"""
    proof = prove(readings_from_text(text, "step.yaml", tmp_path))
    assert proof.last.figures["step peak"].value == pytest.approx(190e5)
    assert any(flag.sort == "spike" for flag in proof.last.flags)
    assert proof.verdict == "accept"
