"""A result is whole, and its books close, or there is none."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from oilway.errors import ImpossibleCircuit, UnclosedLedger
from oilway.solve.point import solve_point
from oilway.solve.result import Entry, Finding, State, build_state
from oilway.study.story import hoist

RELIEF = """
    tank: {kind: tank}
    line: {kind: chamber, rated pressure: 100 bar}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 L/min}
    poppet: {kind: moving part, mass: 50 g, travel: 5 mm}
    face: {kind: face, on: poppet, chamber: line, diameter: 10 mm, pushes: open}
    seat: {kind: poppet seat, on: poppet, from: line, to: tank, diameter: 10 mm}
    spring: {kind: spring, on: poppet, rate: 20 N/mm, compression: 18 mm}
    gauge: {kind: gauge, at: line, span: 47 bar}
    """
BAR = 1e5


def left_over(entries: list[Entry]) -> float:
    """What a ledger leaves, as a share of its largest entry."""
    return abs(sum(e.value for e in entries)) / max(abs(e.value) for e in entries)


@pytest.mark.parametrize("valve", ["direct-acting", "two-stage"])
@pytest.mark.parametrize(
    "words",
    [
        {"load pressure": "1500 psi"},
        {"load pressure": "2600 psi"},
        {"load pressure": "2150 psi", "engine speed": "800 rpm"},
        {"load pressure": "800 psi", "lever": "-1"},
    ],
)
def test_every_ledger_of_the_hoist_closes(valve: str, words: dict[str, str]) -> None:
    built = hoist(valve)
    state = solve_point(built, built.point_from(words))
    for chamber in built.system.chambers:
        # below a millionth of a gpm the flow of a chamber is rounding, not oil
        if max(abs(e.value) for e in state.flows[chamber]) > 1e-7:
            assert left_over(state.flows[chamber]) < 1e-6, chamber
    for part, entries in state.forces.items():
        assert left_over(entries) < 1e-6, part
    assert left_over(state.power) < 1e-6
    assert set(state.pressures) == {n for n, p in built.parts.items() if p.kind in ("chamber", "tank")}


def test_flow_into_one_chamber_is_flow_out_of_the_other(solve) -> None:
    state = solve(RELIEF)
    into = {(e.part, e.other): e.value for e in state.flows["tank"]}
    between = [e for e in state.flows["line"] if e.other == "tank"]
    assert {e.part for e in between} == {"pump", "seat"}
    for e in between:
        assert into[(e.part, "line")] == pytest.approx(-e.value, rel=1e-12)


def test_flow_through_counts_out_of_the_first_port(solve, oil) -> None:
    state = solve(RELIEF)
    assert state.flow_through("pump") == pytest.approx(oil.rho0 * 20e-3 / 60, rel=1e-9)
    assert state.flow_through("seat") == pytest.approx(oil.rho0 * 20e-3 / 60, rel=1e-9)
    assert state.at_no_pressure(state.flow_through("seat")) == pytest.approx(20e-3 / 60, rel=1e-9)


def test_a_broken_limit_is_a_finding_with_its_numbers(solve) -> None:
    # 360 N on 78.5 mm2 crack at 46 bar: above the gauge's 47 bar with some flow, below the rated 100 bar.
    state = solve(RELIEF)
    assert [f.part for f in state.findings] == ["gauge"]
    finding = state.findings[0]
    assert finding.value == state.pressures["line"] > 47 * BAR
    assert finding.bound == pytest.approx(47 * BAR)
    assert "beyond the end of the gauge's scale" in str(finding)
    assert "limit 682 psi" in str(finding)  # 47 bar
    assert solve(RELIEF, {"pump flow": "0.1 L/min"}).findings == []


def test_both_limits_are_told(solve) -> None:
    state = solve(RELIEF.replace("compression: 18 mm", "compression: 40 mm"))
    assert sorted(f.part for f in state.findings) == ["gauge", "line"]


def test_what_cannot_exist_is_no_state(solve) -> None:
    solid = RELIEF.replace("compression: 18 mm", "compression: 18 mm, solid compression: 18.1 mm")
    assert solve(solid, {"pump flow": "0.1 L/min"}).statuses["poppet"].lift < 0.1e-3
    with pytest.raises(ImpossibleCircuit, match="spring at solid height"):
        solve(solid, {"pump flow": "60 L/min"})


@pytest.mark.parametrize(
    ("unknown", "off", "sort"), [("pressure in line", 1e3, "flow"), ("lift of poppet", 1e-6, "flow")]
)
def test_a_state_that_is_no_solution_is_refused(machine, unknown: str, off: float, sort: str) -> None:
    built = machine(RELIEF)
    state = solve_point(built)
    z = state.z.copy()
    z[built.system.index[unknown]] += off
    with pytest.raises(UnclosedLedger, match=rf"the {sort} ledger of line does not close"):
        build_state(built, {}, state.th, z)


@pytest.mark.parametrize("sort", ["flow", "force", "power"])
def test_one_falsified_entry_is_noticed(machine, monkeypatch: pytest.MonkeyPatch, sort: str) -> None:
    built = machine(RELIEF)
    state = solve_point(built)
    system, ledger = built.system, built.system.ledger
    k = next(
        k
        for k, t in enumerate(system.terms)
        if t.sort == sort and t.place != "tank" and abs(ledger(state.z, state.th)[0][k]) > 0
    )

    def falsified(z, th):
        values, *rest = ledger(z, th)
        values[k] *= 1.0001
        return values, *rest

    monkeypatch.setattr(system, "ledger", falsified)
    with pytest.raises(UnclosedLedger, match=f"the {sort} ledger of .* does not close"):
        build_state(built, {}, state.th, state.z)


def test_numbers_that_are_none_are_refused(machine) -> None:
    built = machine(RELIEF)
    state = solve_point(built)
    with pytest.raises(UnclosedLedger):
        build_state(built, {}, state.th, np.full_like(state.z, np.nan))


def test_a_finding_reads_in_the_units_of_its_kind() -> None:
    assert (
        str(Finding("gauge", "too much", 200e5, 100e5, "pressure")) == "gauge: too much (2901 psi, limit 1450 psi)"
    )


def test_a_state_has_every_field(solve) -> None:
    state = solve(RELIEF)
    for field in dataclasses.fields(State):
        assert getattr(state, field.name) is not None
    assert np.isfinite(state.z).all()
    assert state.readings == {"gauge": ("pressure", state.pressures["line"])}
