"""Published values of valves, the power they take and the frequencies of what moves, end to end from text files.

"Esposito" and "Merritt" as in test_part_checks.py, whose other half this is.
"""

from __future__ import annotations

import math

import pytest
from tests.published.circuits import BAR, PSI, machine, power, solve, stiff_oil, within

import oilway
from oilway.quantity import convert
from oilway.solve.point import solve_point
from oilway.solve.stability import stability

# -- power over a relief -----------------------------------------------------------------------------------
RELIEF_ON_PUMP = """
    tank: {kind: tank}
    line: {kind: chamber}
    pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 gpm}
    relief: {kind: valve, valve: direct relief, P: line, T: tank, setting: SETTING}
    """


def test_ck36_power_over_a_relief() -> None:
    """Esposito, example 8-2 (p. 299); BTU factor standard: 1000 psi, 20 gpm: 11.67 hp, 29 690 BTU/h.

    Stiff oil, since half the pressure over the modulus is what compression takes off a textbook's p Q.
    """
    state = solve(RELIEF_ON_PUMP.replace("SETTING", "1000 psi at 20 gpm"))
    heat = power(state, "relief.seat", "heat")
    assert convert(heat, "power", "hp") == within(11.67, 0.2)
    assert convert(heat, "power", "BTU/h") == within(29690, 0.2)


def test_ck37_power_at_an_unloaded_pump() -> None:
    """Esposito, example 8-3 (p. 299): 25 psi, 20 gpm: 0.292 hp.

    There is no unloading valve yet: a load of 25 psi stands for it.
    """
    state = solve(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 20 gpm}
        unloaded: {kind: test load, from: line, to: tank, load pressure: 25 psi, steepness: 1000}
        """
    )
    assert convert(power(state, "unloaded", "heat"), "power", "hp") == within(0.292, 0.5)


# -- relief valves -----------------------------------------------------------------------------------------
def test_ck40_direct_acting_relief() -> None:
    """Esposito, example 8-1 (p. 293): 0.75 in2, 2500 lb/in, precompressed 0.20 in, open 0.10 in at full flow.

    The book leaves the jet out, so all of its push is given back; and it names the lift, not the flow, so the flow
    that opens this seat 0.10 in at 1000 psi is worked out by hand and pumped.
    """
    diameter = math.sqrt(4 * 0.75 / math.pi)  # in
    gap = 0.10 * 0.0254 * math.sin(math.pi / 4)
    area = math.pi * gap * (diameter * 0.0254 - gap * math.cos(math.pi / 4))
    flow = 0.77 * area * math.sqrt(2 * 1000 * PSI / 870)
    parts = f"""
        tank: {{kind: tank}}
        line: {{kind: chamber}}
        pump: {{kind: test pump, inlet: tank, outlet: line, flow: {flow} m3/s}}
        poppet: {{kind: moving part, mass: 100 g, travel: 10 mm}}
        face: {{kind: face, on: poppet, chamber: line, diameter: {diameter} in, pushes: open}}
        seat: {{kind: poppet seat, on: poppet, from: line, to: tank, diameter: {diameter} in,
               recovered jet: 100 %}}
        spring: {{kind: spring, on: poppet, rate: 2500 lb/in, compression: 0.20 in}}
        """
    full = solve(parts)
    cracked = solve(parts, point={"pump flow": "1e-4 gpm"})
    assert cracked.pressures["line"] / PSI == within(666.7, 0.2)
    assert full.pressures["line"] / PSI == within(1000.0, 0.2)
    assert full.statuses["poppet"].lift / 0.0254 == within(0.10, 0.5)
    override = full.pressures["line"] / cracked.pressures["line"] - 1
    assert override == within(0.50, 0.5)


def test_ck41_a_main_part_lifts_at_a_small_difference() -> None:
    """An open teaching page: about 1.5 kgf/cm2 (21 psi); FM 5-499 (from memory): 20 to 50 psi. Range check."""
    built = oilway.load("pilot relief")
    main = next(o for o in oilway.relief_curve(built).openings if o.part == "main part")
    state = solve_point(built, {"test pump.flow": main.flow})
    drop = (state.pressures["inlet"] - state.pressures["back chamber"]) / PSI
    assert 15 < drop < 60
    # by hand from the file: 6 N/mm x 18 mm and 5 N of dry friction on a 24 mm part
    assert drop * PSI == within((6e3 * 18e-3 + 5) / (math.pi / 4 * 0.024**2), 1)


def test_ck43_back_pressure_adds_where_the_spring_chamber_drains_to_the_outlet() -> None:
    """Force balance: cracks at 100 bar, 10 bar in the tank line: 110 bar drained inside, 100 bar outside."""
    parts = """
        supply: {{kind: tank}}
        return: {{kind: tank, pressure: {back}}}
        drain: {{kind: tank}}
        line: {{kind: chamber}}
        pump: {{kind: test pump, inlet: supply, outlet: line, flow: 0.6 L/min}}
        relief: {{kind: valve, valve: direct relief, P: line, T: return, {drain}
                 setting: "cracks 100 bar, 120 bar at 60 L/min"}}
        """
    inside, outside = "", "drain: external, Y: drain,"
    for drain, back, expected in (
        (inside, "0 bar", 100),
        (inside, "10 bar", 110),
        (outside, "0 bar", 100),
        (outside, "10 bar", 100),
    ):
        state = solve(parts.format(back=back, drain=drain))
        assert state.pressures["line"] / BAR == within(expected, 1), (drain, back)


def test_ck44_a_setting_and_its_limit_in_both_units() -> None:
    """US Army TM 5-3810-307-24-1-1, relief valves: 1500 psi and 10 342 kPa, 100 psi and 689.5 kPa.

    The same valve set in either unit is the same valve, and reads 100 psi too high by as much.
    """
    psi, kpa = (
        solve(RELIEF_ON_PUMP.replace("SETTING", s)).pressures["line"]
        for s in ("1500 psi at 20 gpm", "10342 kPa at 20 gpm")
    )
    assert psi == within(kpa, 0.05)
    high = solve(RELIEF_ON_PUMP.replace("SETTING", "1600 psi at 20 gpm")).pressures["line"]
    assert convert(high - psi, "pressure", "kPa") == within(689.5, 0.05)


COUNTERBALANCE = f"""
    tank: {{kind: tank}}
    pilot: {{kind: tank, pressure: 0 bar}}
    load line: {{kind: chamber}}
    cylinder: {{kind: cylinder, cap: load line, rod: tank, bore: {math.sqrt(4 / math.pi * 20)} cm,
               rod diameter: 20 mm, stroke: 1 m, position: 0.5 m}}
    load: {{kind: load, on: cylinder, load force: 20 kN}}
    part: {{kind: moving part, mass: 50 g, travel: 3 mm}}
    load face: {{kind: face, on: part, chamber: load line, diameter: 10 mm, pushes: open}}
    pilot face: {{kind: face, on: part, chamber: pilot, diameter: {10 * math.sqrt(3)} mm, pushes: open}}
    spring: {{kind: spring, on: part, rate: {130e5 * math.pi / 4 * 0.01**2 / 0.02} N/m, compression: 20 mm}}
    seat: {{kind: poppet seat, on: part, from: load line, to: tank, diameter: 10 mm, recovered jet: 100 %}}
    """


def test_ck45_counterbalance() -> None:
    """Common practice and force balance: 20 kN on 20 cm2, set to 1.3 x 100 bar, pilot ratio 3: pilot 10.0 bar.

    Built from faces: the pilot works on three times the seat's area; nothing behind it, no cylinder ratio.
    """
    built = machine(COUNTERBALANCE)

    below, above = (solve_point(built, {"pilot.pressure": p * BAR}) for p in (9.9, 10.1))
    assert below.pressures["load line"] / BAR == within(100, 0.01)
    assert below.velocities["cylinder"] == pytest.approx(0.0, abs=1e-9)
    assert below.statuses["part"].word == "seated"
    assert above.statuses["part"].word == "open"
    assert above.velocities["cylinder"] < -1e-3
    # without pilot it opens like a relief at 130 bar, 26 kN
    for force, word in ((25.8e3, "seated"), (26.2e3, "open")):
        assert solve_point(built, {"load.load force": force}).statuses["part"].word == word


# -- frequencies -------------------------------------------------------------------------------------------
def test_ck48_poppet_on_its_spring() -> None:
    """Standard: 22.95 N/mm, 20 g: 1071.2 rad/s, 170.5 Hz. The pressure under the poppet is held."""
    built = machine(
        """
        held: {kind: tank, pressure: 20 bar}
        poppet: {kind: moving part, mass: 20 g, travel: 20 mm, viscous friction: 0 N s/m}
        face: {kind: face, on: poppet, chamber: held, diameter: 10 mm, pushes: open}
        spring: {kind: spring, on: poppet, rate: 22.95 N/mm, compression: 2 mm}
        """
    )
    state = solve_point(built)
    assert state.statuses["poppet"].word == "open"
    (mode,) = stability(built.system, state.z, state.th).modes
    assert 2 * math.pi * mode.frequency == within(1071.2, 0.1)
    assert mode.frequency == within(170.5, 0.1)
    assert mode.growth == pytest.approx(0.0, abs=1e-6)


def test_ck49_mass_on_oil() -> None:
    """Merritt, chapter 6 (from memory): sqrt(4 beta A^2 / (Vt M)); 1.4 GPa, 20 cm2, 2 L, 1000 kg: 105.83 rad/s.

    A cylinder has no rod through both ends, so a 2 mm rod leaves the areas equal to 0.2 per cent.  Threads of gap
    to a tank at either end, and a light load, keep it creeping; they damp it by less than a thousandth.
    """
    bore = math.sqrt(4 / math.pi * 20)  # cm
    built = machine(
        f"""
        held: {{kind: tank, pressure: 50 bar}}
        cap: {{kind: chamber, volume: 1 L}}
        rod: {{kind: chamber, volume: 1 L}}
        thread: {{kind: annular gap, from: held, to: cap, diameter: 10 mm, clearance: 2 um, length: 20 mm}}
        other thread: {{kind: annular gap, from: held, to: rod, diameter: 10 mm, clearance: 2 um, length: 20 mm}}
        cylinder: {{kind: cylinder, cap: cap, rod: rod, bore: {bore} cm, rod diameter: 2 mm, stroke: 0.5 m,
                   position: 0.2 m, dead volume: 1 mm3, mass: 1 g}}
        load: {{kind: load, on: cylinder, load force: 2 kN, mass: 1000 kg}}
        """,
        stiff_oil(modulus="1.4 GPa"),
    )
    # the barrel holds oil too, 0.2 m x 20 cm2 = 0.4 L at the cap and 0.6 L at the rod; the lines make it 1 L each
    built = built.with_part("cap", {"volume": 0.6e-3}).with_part("rod", {"volume": 0.4e-3})
    state = solve_point(built)
    swing = stability(built.system, state.z, state.th).worst
    assert swing is not None
    assert 2 * math.pi * swing.frequency == within(105.83, 0.1)
    assert swing.frequency == within(16.843, 0.1)
    assert abs(swing.damping) < 1e-3


def test_ck51_dimensionless_relief() -> None:
    """Licskó, Champneys and Hős (2009), from memory: delta = 10; q = 5: 1.47596, 11.47596; 8: 2.28267, 12.28267.

    An annular edge opens in proportion to lift, and a jet at 90 degrees has no push along the axis.  Lift counts
    in 0.1 mm, pressure in k x 0.1 mm / A, flow in what passes at one of each; 0.2 per cent for the oil's own laws.
    """
    rate, unit, area = 100e3, 1e-4, math.pi / 4 * 0.01**2
    pressure = rate * unit / area
    flow = 0.61 * math.pi * 0.01 * unit * math.sqrt(2 * pressure / 870)
    built = machine(
        """
        tank: {kind: tank}
        line: {kind: chamber}
        pump: {kind: test pump, inlet: tank, outlet: line, flow: 1 L/min}
        spool: {kind: moving part, mass: 50 g, travel: 3 mm}
        face: {kind: face, on: spool, chamber: line, diameter: 10 mm, pushes: open}
        edge: {kind: spool edge, on: spool, from: line, to: tank, diameter: 10 mm, jet angle: 90 deg}
        spring: {kind: spring, on: spool, rate: 100 N/mm, compression: 1 mm}
        """
    )
    for q, lift, p in ((5, 1.47596, 11.47596), (8, 2.28267, 12.28267)):
        state = solve_point(built, {"pump.flow": q * flow})
        assert state.statuses["spool"].lift / unit == within(lift, 0.2)
        assert state.pressures["line"] / pressure == within(p, 0.2)
