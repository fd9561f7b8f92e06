"""Published values of passages, lines, pumps and cylinders, end to end, typed in as text and solved.

The same numbers against the bare laws stand in test_laws_published.py.  "Esposito" is A. Esposito, Fluid Power
with Applications: inputs and steps were seen in open re-publications, the pages of the book were not.  "Merritt"
is H. E. Merritt, Hydraulic Control Systems (1967), from memory throughout.

Valves and frequencies are in test_valve_checks.py, things in motion in test_dynamic_checks.py; left to the laws
and the elements: hose walls (CK21), motors (CK33), accumulators (CK47).
"""

from __future__ import annotations

import math

import pytest
from tests.published.circuits import BAR, GPM, PSI, WATER, between, force, machine, solve, stiff_oil, within

from oilway.quantity import convert


# -- restrictions ------------------------------------------------------------------------------------------
def test_ck01_sharp_edged_orifice_in_us_units() -> None:
    """Esposito, example 8-4 (p. 302): 1 in, C = 0.80, 100 psi, SG 0.9: 252.3 gpm."""
    state = between(
        "kind: orifice, diameter: 1 in, discharge coefficient: 0.80", "100 psi", stiff_oil(0.9 * WATER)
    )
    assert state.at_no_pressure(state.flow_through("part")) / GPM == within(252.3, 0.5)


def test_ck02_orifice() -> None:
    """Merritt, chapter 3 (from memory): 1 mm, Cd = 0.61, 100 bar, 870 kg/m3: 4.3584 L/min.

    The oil's own compression and its laminar share take 0.06 per cent.
    """
    state = between("kind: orifice, diameter: 1 mm", "100 bar")
    flow = state.at_no_pressure(state.flow_through("part"))
    assert convert(flow, "flow", "L/min") == within(4.3584, 0.1)


@pytest.mark.parametrize(("times", "expected"), [(2, 1.41421), (4, 2.0)])
def test_ck03_more_drop_through_an_orifice(times: int, expected: float) -> None:
    """The same law: flow goes with the root of the drop; 0.1 per cent for the density under pressure."""
    one, more = (
        between("kind: orifice, diameter: 1 mm", f"{p} bar").flow_through("part") for p in (50, 50 * times)
    )
    assert more / one == within(expected, 0.1)


def test_ck07_cylinder_speed_with_meter_in() -> None:
    """Esposito, example 9-4: Cv = 1.0 (gpm at 1 psi and SG 1), 1400 psi, 4000 lb on 3.14 in2, SG 0.9.

    The Cv is typed in as the bore of a hole that passes as much; Q = 11.84 gpm, v = 14.51 in/s.
    """
    opening = GPM / math.sqrt(2 * PSI / WATER)  # Cd A
    bore = math.sqrt(4 / math.pi * 3.14)  # in
    state = solve(
        f"""
        supply: {{kind: tank, pressure: 1400 psi}}
        tank: {{kind: tank}}
        cap: {{kind: chamber}}
        meter in: {{kind: orifice, from: supply, to: cap, diameter: {math.sqrt(4 / math.pi * opening / 0.61)} m}}
        cylinder: {{kind: cylinder, cap: cap, rod: tank, bore: {bore} in, rod diameter: 1 in, stroke: 20 in,
                   position: 5 in}}
        load: {{kind: load, on: cylinder, load force: 4000 lbf}}
        """,
        stiff_oil(0.9 * WATER),
    )
    assert state.pressures["cap"] / PSI == within(4000 / 3.14, 0.01)
    assert state.at_no_pressure(state.flow_through("meter in")) / GPM == within(11.84, 0.5)
    assert convert(state.velocities["cylinder"], "velocity", "in/s") == within(14.51, 0.5)


def test_ck10_leakage_past_a_piston() -> None:
    """Fox and McDonald, Introduction to Fluid Mechanics, example 8.1 (result from memory).

    25 mm, 5 um, 15 mm, 19 000 kPa, 0.018 Pa s: 57.57 mm3/s and 0.1466 m/s.
    """
    oil = stiff_oil(870.0, f"{0.018 / 870 * 1e6} cSt")
    state = between("kind: annular gap, diameter: 25 mm, clearance: 5 um, length: 15 mm", "19000 kPa", oil)
    flow = state.at_no_pressure(state.flow_through("part"))
    assert flow * 1e9 == within(57.57, 0.3)
    assert flow / (math.pi * 25e-3 * 5e-6) == within(0.1466, 0.3)


def test_ck13_flow_force_on_a_spool() -> None:
    """Merritt, chapter 5 (from memory): F = 0.43 w x dp; w = pi 10 mm, x = 0.3 mm, 200 bar: 81.05 N, closing.

    The spool is held at its stop, 0.3 mm open, by a spring.
    """
    state = solve(
        """
        high: {kind: tank, pressure: 200 bar}
        low: {kind: tank}
        spool: {kind: moving part, mass: 50 g, travel: 0.3 mm}
        spring: {kind: spring, on: spool, rate: 10 N/mm, compression: 30 mm, pushes: open}
        edge: {kind: spool edge, on: spool, from: high, to: low, diameter: 10 mm}
        """
    )
    assert state.statuses["spool"].word == "at its stop"
    assert force(state, "spool", "flow force") == within(-81.05, 0.5)


# -- oil and lines -----------------------------------------------------------------------------------------
def test_ck19_pressure_rise_in_a_closed_volume() -> None:
    """Continuity (Merritt, from memory): 60 L/min into 1 L of 1.4 GPa: 14 000 bar/s."""
    built = machine(
        """
        tank: {kind: tank}
        line: {kind: chamber, volume: 1 L}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 60 L/min}
        """,
        stiff_oil(modulus="1.4 GPa"),
    )
    z, th = built.system.start, built.theta()
    rate = built.system.residual(z, th)[0] / built.system.storage(z, th)  # kg/s over kg/Pa
    assert rate[built.system.index["pressure in line"]] / BAR == within(14000, 0.1)


def test_ck27_laminar_loss_of_a_line() -> None:
    """Hagen and Poiseuille, standard: 20 mm, 10 m, 60 L/min, 46 mm2/s, 870 kg/m3: 1.0191 bar."""
    state = solve(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 60 L/min}
        hose: {kind: line, from: line, to: tank, length: 10 m, diameter: 20 mm}
        """,
        stiff_oil(870.0, "46 cSt"),
    )
    assert state.pressures["line"] / BAR == within(1.0191, 0.2)


def test_ck31_pump_line_to_a_motor() -> None:
    """Esposito, example 4-10: 3.73 kW, 0.00190 m3/s, 25.4 mm, SG 0.9, 100 cSt, elbow K = 0.9: 1790.0 kPa.

    A line has no height of its own: the 6.10 m up are taken off by hand, and the velocity head at the motor.
    """
    density = 0.9 * WATER
    state = solve(
        """
        tank: {kind: tank}
        pump line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: pump line, flow: 0.00190 m3/s}
        pipe: {kind: line, from: pump line, to: tank, length: 6.41 m, diameter: 25.4 mm, minor losses: 0.9}
        """,
        stiff_oil(density, "100 cSt"),
    )
    head = density * (0.00190 / (math.pi / 4 * 0.0254**2)) ** 2 / 2
    at_motor = 3730 / 0.00190 - state.pressures["pump line"] - density * 9.80665 * 6.10 - head
    assert at_motor / 1e3 == within(1790.0, 0.1)
    # friction and elbow alone, so that the loss is not lost beside 1.8 MPa: 64 / 952.4 L / D + K velocity heads
    assert state.pressures["pump line"] == within((64 / 952.4 * 6.41 / 0.0254 + 0.9) * head, 0.5)


# -- pump, cylinder, power ---------------------------------------------------------------------------------
def test_ck32_theoretical_flow_of_a_pump() -> None:
    """Esposito, example 9-5: 10 in3/rev at 1000 rpm: 43.290 gpm."""
    state = solve(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: fixed pump, inlet: tank, outlet: line, displacement: 10 in3/rev, engine speed: 1000 rpm,
               volumetric efficiency: 100 %}
        load: {kind: test load, from: line, to: tank, load pressure: 1000 psi}
        """
    )
    assert state.at_no_pressure(state.flow_through("load")) / GPM == within(43.290, 0.01)


def test_ck35_rod_side_intensification() -> None:
    """Statics: area ratio 2, 100 bar at the cap, rod port blocked, no load: 200 bar.

    Computed: the rod end is a chamber with no way out, and the piston balances at no speed.
    """
    state = solve(
        f"""
        supply: {{kind: tank, pressure: 100 bar}}
        cap: {{kind: chamber}}
        rod: {{kind: chamber}}
        valve: {{kind: orifice, from: supply, to: cap, diameter: 5 mm}}
        cylinder: {{kind: cylinder, cap: cap, rod: rod, bore: 100 mm, rod diameter: {100 / math.sqrt(2)} mm,
                   stroke: 1 m, position: 0.5 m}}
        """
    )
    assert state.velocities["cylinder"] == pytest.approx(0.0, abs=1e-9)
    assert state.pressures["rod"] / BAR == pytest.approx(200.0, rel=1e-6)
