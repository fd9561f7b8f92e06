"""Spring: preload, rate, wire, adjuster, and what cannot be."""

from __future__ import annotations

import math

import pytest

from oilway.errors import ImpossibleCircuit, InputError

# The relief of CK40 in pounds and inches (A. Esposito, Fluid Power with Applications, example 8-1; inputs seen
# in a re-publication): seat 0.75 in2, rate 2500 lb/in, compressed 0.20 in.
DIAMETER = math.sqrt(4 * 0.75 / math.pi)  # in
PARTS = f"""
    tank: {{kind: tank}}
    line: {{kind: chamber}}
    pump: {{kind: test pump, inlet: tank, outlet: line, flow: 0.001 gpm}}
    poppet: {{kind: moving part, mass: 50 g, travel: 10 mm}}
    face: {{kind: face, on: poppet, chamber: line, diameter: {DIAMETER:.12f} in, pushes: open}}
    seat: {{kind: poppet seat, on: poppet, from: line, to: tank, diameter: {DIAMETER:.12f} in}}
    spring: {{kind: spring, on: poppet, SPRING}}
    """
PSI = 4.4482216152605 / 0.0254**2
LBF = 4.4482216152605
BOOK = "rate: 2500 lbf/in, compression: 0.20 in"


def with_spring(spring: str) -> str:
    return PARTS.replace("SPRING", spring)


def test_cracks_at_preload_over_area(solve) -> None:
    state = solve(with_spring(BOOK))
    assert state.pressures["line"] / PSI == pytest.approx(500 / 0.75, rel=1e-4)  # 666.7 psi
    assert state.statuses["poppet"].word == "open"


def test_preload_and_rate_times_lift_stand_apart_in_the_ledger(solve, force) -> None:
    state = solve(with_spring(BOOK), {"pump flow": "20 gpm"})
    lift = state.statuses["poppet"].lift
    assert force(state, "poppet", "spring preload") == pytest.approx(-500 * LBF, rel=1e-9)
    assert force(state, "poppet", "spring rate x lift") == pytest.approx(-2500 * LBF / 0.0254 * lift, rel=1e-9)
    assert lift > 0.05e-3


def test_rate_from_the_wire_by_hand_is_the_same_spring(solve) -> None:
    # k = G d^4 / (8 D^3 n): CK15 (from memory: Shigley, eq. 10-9), 79.3 GPa, 4 mm, 24 mm, 8 coils.
    rate = 79.3e9 * 4e-3**4 / (8 * 24e-3**3 * 8)
    assert rate / 1e3 == pytest.approx(22.946, abs=0.001)
    wire = "wire diameter: 4 mm, mean diameter: 24 mm, active coils: 8, compression: 40 mm"
    given = f"rate: {rate:.12e} N/m, compression: 40 mm"
    for flow in ("0.001 gpm", "20 gpm"):
        a, b = (solve(with_spring(s), {"pump flow": flow}).pressures["line"] for s in (wire, given))
        assert a == pytest.approx(b, rel=1e-9)


def test_one_turn_adds_pitch_times_rate(solve, force) -> None:
    adjusted = "rate: 50 N/mm, compression: 10 mm, pitch: 1.5 mm/turn, turns: 2"
    state = solve(with_spring(adjusted))
    assert force(state, "poppet", "spring preload") == pytest.approx(-50e3 * (10e-3 + 2 * 1.5e-3), rel=1e-12)
    before, after = (solve(with_spring(adjusted), {"turns": t}).pressures["line"] for t in ("2", "3"))
    area = 0.75 * 0.0254**2
    assert after - before == pytest.approx(50e3 * 1.5e-3 / area, rel=1e-3)


def test_solid_height_is_a_finding_without_numbers(solve) -> None:
    short = "rate: 20 N/mm, compression: 100 mm, solid compression: 100.2 mm"
    assert solve(with_spring(short)).pressures["line"] > 0
    with pytest.raises(ImpossibleCircuit, match="spring: spring at solid height") as caught:
        solve(with_spring(short), {"pump flow": "30 gpm"})
    assert caught.value.exit_status == 3


def test_a_spring_may_push_open(solve, force) -> None:
    opened = PARTS.replace("SPRING", "rate: 10 N/mm, compression: 12 mm, pushes: open")
    state = solve(opened, {"pump flow": "1 gpm"})
    assert state.statuses["poppet"].word == "at its stop"
    assert force(state, "poppet", "spring preload") == pytest.approx(120.0)
    assert force(state, "poppet", "spring rate x lift") == pytest.approx(-100.0)  # 10 mm less compressed
    assert state.findings == []


def test_a_loose_spring_is_reported_and_does_not_pull(solve, force) -> None:
    state = solve(
        PARTS.replace("SPRING", "rate: 10 N/mm, compression: 2 mm, pushes: open"), {"pump flow": "30 gpm"}
    )
    assert "spring hangs loose" in [f.what for f in state.findings]
    assert force(state, "poppet", "spring preload") == pytest.approx(20.0)
    assert force(state, "poppet", "spring rate x lift") == pytest.approx(-20.0)


@pytest.mark.parametrize(
    ("spring", "what"),
    [
        ("compression: 1 mm", r"missing key 'rate' \(or the wire: wire diameter, mean diameter, active coils\)"),
        ("wire diameter: 4 mm, active coils: 8", r"missing key 'rate' \(or the wire: mean diameter\)"),
        ("rate: 5 N/mm, wire diameter: 4 mm", "give the rate or the wire, not both"),
        ("rate: 5 N/mm, turns: 7, most turns: 6", "more turns than 'most turns' allows"),
        ("wire diameter: 4 mm, mean diameter: 3 mm, active coils: 8", "mean diameter is not larger than the wire"),
    ],
)
def test_contradictions_are_told_with_their_line(machine, spring: str, what: str) -> None:
    with pytest.raises(InputError, match=rf"^circuit.yaml:11: spring: {what}"):
        machine(with_spring(spring))
