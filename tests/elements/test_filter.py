"""Filter: laminar element, clogging, cold oil, bypass and what they report."""

from __future__ import annotations

import math

import pytest

from oilway.errors import InputError

# In this oil at 40 C the test viscosity is its own: 0.5 bar at 60 L/min.
PARTS = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 30 L/min}
    return filter:
      kind: filter
      from: line
      to: tank
      rated flow: 60 L/min
      clean drop: 0.5 bar
      test viscosity: 46 cSt
      bypass diameter: 15 mm
      bypass cracking: 1.7 bar
      bypass full open: 2.5 bar
      indicator: 1.2 bar
    """


def test_half_the_rated_flow_drops_half(solve) -> None:
    state = solve(PARTS)
    assert state.pressures["line"] == pytest.approx(0.25e5, rel=1e-4)
    assert state.readings["return filter"] == ("pressure", pytest.approx(0.25e5, rel=1e-4))
    assert state.findings == []


def test_a_clogged_element_drops_more_and_shows(solve) -> None:
    state = solve(PARTS, {"clogged": "80 %"})
    assert state.pressures["line"] == pytest.approx(1.25e5, rel=1e-3)
    assert [f.what for f in state.findings] == ["its indicator shows"]


def test_cold_oil_drops_more(solve) -> None:
    cold = solve(PARTS, {"oil temperature": "30 C"})
    mu = cold.parameter("oil.mu") / solve(PARTS).parameter("oil.mu")
    assert mu > 1.4
    # Viscosity at 40 C counts with the density of the oil of the day.
    drop = 0.25e5 * cold.parameter("oil.mu") / (46e-6 * cold.parameter("oil.rho0"))
    assert cold.pressures["line"] == pytest.approx(drop, rel=1e-3)


def test_fully_clogged_all_goes_over_the_bypass(solve, oil) -> None:
    state = solve(PARTS, {"clogged": "100 %"})
    p = state.pressures["line"]
    assert 1.7e5 < p < 2.5e5
    rho = oil.mean(p, 0)
    open_share = (p - 1.7e5) / 0.8e5
    over = rho * open_share * math.pi / 4 * 225e-6 * oil.orifice_speed(15e-3, p, rho)
    flows = {e.law: -e.value for e in state.flows["line"] if e.part == "return filter"}
    assert flows["bypass"] == pytest.approx(over, rel=1e-8)
    assert flows["bypass"] == pytest.approx(oil.rho0 * 0.5e-3, rel=1e-8)
    assert flows["laminar filter element"] == 0.0
    assert "oil passes unfiltered" in " ".join(f.what for f in state.findings)


def test_its_bypass_is_shut_below_cracking_and_backwards(solve) -> None:
    for text in (PARTS, PARTS.replace("from: line\n      to: tank", "from: tank\n      to: line")):
        state = solve(text)
        assert [e.value for e in state.flows["line"] if e.law == "bypass"] == [0.0]


def test_power_closes(solve) -> None:
    state = solve(PARTS, {"clogged": "95 %"})
    heat = sum(e.value for e in state.power if e.label == "heat")
    assert heat > 0
    assert sum(e.value for e in state.power) == pytest.approx(0.0, abs=1e-6 * heat)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        (
            "bypass full open: 2.5 bar",
            "bypass full open: 1.7 bar",
            "bypass full open is not above bypass cracking",
        ),
        ("indicator: 1.2 bar", "indicator: 1.7 bar", "indicator shows only after the bypass has opened"),
    ],
)
def test_contradictions_are_refused(machine, old: str, new: str, what: str) -> None:
    with pytest.raises(InputError, match=f"return filter: {what}"):
        machine(PARTS.replace(old, new))


def test_above_its_rating_is_reported(solve) -> None:
    rated = PARTS.replace("clean drop: 0.5 bar", "clean drop: 0.5 bar\n      rated pressure: 0.2 bar")
    assert {f.part for f in solve(rated).findings} == {"return filter"}
