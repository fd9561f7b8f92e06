"""Crossover relief: the full line sends its oil into the empty one, the checks make up what leaks."""

from __future__ import annotations

import math

import pytest

from oilway.quantity import GALLON, MINUTE, PSI

GPM = GALLON / MINUTE


def leakage(state, line: str) -> float:
    """Q = pi D c^3 dp / (12 mu L) of the stand's 40 mm, 12 um, 20 mm gap (m3/s)."""
    mu = state.parameter("oil.mu")
    return math.pi * 0.040 * (12e-6) ** 3 * state.pressures[line] / (12 * mu * 0.020)


def test_the_full_line_stands_its_setting_above_the_empty_one(smooth, at) -> None:
    state = at(smooth("crossover relief"), {"coasting A.flow": "14 gpm"})
    words = {name: status.word for name, status in state.statuses.items()}
    assert words == {"relief A.poppet": "open", "relief B.poppet": "seated"}
    # set to 2050 psi with its outlet at 0; its spring chamber drains to line B, which so counts 1:1.  4 N of dry
    # friction on 95.03 mm2 are left out here: 6.1 psi
    across = state.pressures["motor line A"] - state.pressures["motor line B"]
    assert across == pytest.approx((2050 - 6.1) * PSI, abs=3 * PSI)


def test_the_empty_line_is_kept_at_the_return_by_what_leaks(smooth, at) -> None:
    state = at(smooth("crossover relief"), {"coasting A.flow": "14 gpm"})
    # the check cracks at 2 psi below the 40 psi of the return
    assert 34 * PSI < state.pressures["motor line B"] < 38 * PSI
    made_up = state.at_no_pressure(state.flow_through("check B"))
    lost = leakage(state, "motor line A") + leakage(state, "motor line B")
    assert made_up == pytest.approx(lost, rel=0.02)  # the gap's oil is 1 % denser at 2000 psi
    assert state.flow_through("check A") == 0.0


def test_the_other_way_is_its_mirror(smooth, at) -> None:
    valve = smooth("crossover relief")
    one, other = (at(valve, {f"coasting {way}.flow": "9 gpm"}) for way in "AB")
    for here, there in (("A", "B"), ("B", "A")):
        mirrored = other.pressures[f"motor line {there}"]
        assert one.pressures[f"motor line {here}"] == pytest.approx(mirrored, rel=1e-6)


def test_each_side_keeps_a_setting_of_its_own(machine, at) -> None:
    built = machine("""
        tank: {kind: tank}
        A: {kind: chamber}
        B: {kind: chamber}
        coasting: {kind: test pump, inlet: B, outlet: A, flow: 10 gpm}
        leak: {kind: orifice, from: B, to: tank, diameter: 5 mm}
        block:
          kind: valve
          valve: crossover relief
          A: A
          B: B
          T: tank
          with: {relief A.setting: 1400 psi at 10 gpm}
        """)
    state = at(built)
    assert state.pressures["A"] - state.pressures["B"] == pytest.approx(1400 * PSI, abs=2 * PSI)
