"""Published values that the laws reproduce, one test each, its source beside it.

"Esposito" is A. Esposito, Fluid Power with Applications: inputs and steps were seen in open re-publications, the
pages of the book were not. "Merritt" is H. E. Merritt, Hydraulic Control Systems (1967), from memory throughout.
"""

from __future__ import annotations

import math

import fluids.friction
import pytest

from oilway.laws import (
    areas,
    compress,
    density,
    flow_force,
    lines,
    power,
    relief,
    response,
    restrictions,
    springs,
    statics,
    viscosity,
)
from oilway.quantity import convert, parse

RHO = 870.0
BAR = 1e5
WATER = 999.0  # kg/m3 at 15 degC, to which specific gravity refers


def within(expected: float, per_cent: float) -> object:
    """Expected value with a tolerance in per cent of it."""
    return pytest.approx(expected, rel=per_cent / 100)


# --- restrictions ---------------------------------------------------------------------------------


def test_ck01_sharp_edged_orifice_in_us_units() -> None:
    """Esposito, example 8-4 (p. 302): Q = 38.1 C A sqrt(dp / SG); 1 in, C = 0.80, 100 psi, SG 0.9."""
    area = areas.circle_area(parse("1 in", "length"))
    flow = restrictions.turbulent_orifice_flow(area, parse("100 psi", "pressure"), 0.9 * WATER, cd=0.80)
    assert convert(float(flow), "flow", "gpm") == within(252.3, 0.5)


def test_ck02_turbulent_orifice() -> None:
    """Merritt, chapter 3 (from memory): Q = Cd A sqrt(2 dp / rho); 1 mm, Cd = 0.61, 100 bar."""
    flow = restrictions.turbulent_orifice_flow(areas.circle_area(1e-3), 100 * BAR, RHO)
    assert convert(float(flow), "flow", "L/min") == within(4.3584, 0.1)


@pytest.mark.parametrize(("times", "expected"), [(2, 1.41421), (4, 2.0000)])
def test_ck03_more_drop_through_a_turbulent_orifice(times: float, expected: float) -> None:
    """The same law: flow goes with the root of the drop."""
    one, more = (restrictions.turbulent_orifice_flow(1e-6, dp, RHO) for dp in (1e7, times * 1e7))
    assert float(more / one) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(("delta", "expected"), [(0.2, 9.33), (0.157, 15.15)])
def test_ck04_transition_of_an_orifice(delta: float, expected: float) -> None:
    """Merritt, section 3-4 (from memory): Rt = (0.611 / delta)^2, round hole and slit. A scale, not a law."""
    assert restrictions.transition_reynolds(delta) == within(expected, 2)


def test_laminar_flow_through_a_round_hole() -> None:
    """Merritt, chapter 3, after Wuest (from memory): Q = pi d^3 dp / (50.4 mu); delta = 0.2 is rounded."""
    d, dp, mu = 1e-4, 1.0, 0.05
    rt = restrictions.transition_reynolds(0.2)
    flow = restrictions.orifice_flow(areas.circle_area(d), d, dp, RHO, mu, 0.611, rt)
    assert float(flow) == within(math.pi * d**3 * dp / (50.4 * mu), 1)


def test_laminar_flow_through_a_slit() -> None:
    """Merritt, chapter 3, after Wuest (from memory): Q = pi b^2 w dp / (32 mu); delta = 0.157 is rounded."""
    b, w, dp, mu = 1e-4, 10e-3, 1.0, 0.05
    rt = restrictions.transition_reynolds(0.157)
    flow = restrictions.orifice_flow(b * w, 2 * b, dp, RHO, mu, 0.611, rt)
    assert float(flow) == within(math.pi * b**2 * w * dp / (32 * mu), 1)


def test_ck07_cylinder_speed_with_meter_in() -> None:
    """Esposito, example 9-4: Q = Cv sqrt(dp / SG); Cv = 1.0, 1400 psi, 4000 lb on 3.14 in2, SG 0.9."""
    piston = parse("3.14 in2", "area")
    drop = parse("1400 psi", "pressure") - parse("4000 lbf", "force") / piston
    one_gpm_at_one_psi = parse("1 gpm", "flow") / math.sqrt(2 * parse("1 psi", "pressure") / WATER)
    flow = float(restrictions.turbulent_orifice_flow(one_gpm_at_one_psi, drop, 0.9 * WATER, cd=1.0))
    assert convert(flow, "flow", "gpm") == within(11.84, 0.5)
    assert convert(flow / piston, "velocity", "in/s") == within(14.51, 0.5)


def test_ck10_leakage_past_a_piston() -> None:
    """Fox and McDonald, Introduction to Fluid Mechanics, example 8.1 (result from memory)."""
    flow = restrictions.annular_gap_flow(25e-3, 5e-6, 15e-3, 20000e3 - 1000e3, 0.018)
    assert flow * 1e9 == within(57.57, 0.3)
    assert flow / (math.pi * 25e-3 * 5e-6) == within(0.1466, 0.3)


# --- openings and forces --------------------------------------------------------------------------


def test_ck09_thin_lift_overstates_a_seat() -> None:
    """Geometry: pi d x sin(a) against the exact frustum; d = 10, x = 0.5 mm, 45 degrees."""
    angle = math.radians(45)
    thin = math.pi * 10e-3 * 0.5e-3 * math.sin(angle)
    assert thin * 1e6 == pytest.approx(11.1072, abs=1e-3)
    excess = thin / float(areas.poppet_area(10e-3, 0.5e-3, angle)) - 1
    assert 100 * excess == pytest.approx(2.564, abs=1e-3)


def test_ck12_flow_force_coefficient() -> None:
    """Merritt, chapter 5 (from memory), who rounds to 0.43: 2 Cd Cv cos(69 degrees), Cd = 0.61, Cv = 0.98."""
    coefficient = flow_force.spool_flow_force_coefficient(0.61, 0.98, math.radians(69))
    assert float(coefficient) == within(0.4285, 0.5)


def test_ck13_flow_force_on_a_spool() -> None:
    """Merritt, chapter 5 (from memory): F = 0.43 w x dp; 10 mm spool, 0.3 mm, 200 bar."""
    area = areas.spool_annulus_area(10e-3, 0.3e-3)
    mean = restrictions.turbulent_orifice_flow(area, 200 * BAR, RHO) / area
    assert float(flow_force.flow_force(RHO, area, mean, math.radians(69))) == within(81.05, 0.5)


def test_ck15_spring_rate() -> None:
    """Shigley, Mechanical Engineering Design, eq. 10-9 (from memory): 4 mm wire, 24 mm, 8 coils, 79.3 GPa."""
    rate = springs.spring_rate(79.3e9, 4e-3, 24e-3, 8)
    assert convert(rate, "rate", "N/mm") == within(22.946, 0.1)


def test_ck48_natural_frequency_of_a_poppet() -> None:
    """Standard: sqrt(k / m); 22.95 N/mm, 20 g."""
    w = float(springs.natural_frequency(22.95e3, 0.020))
    assert (w, w / math.tau) == (within(1071.2, 0.1), within(170.5, 0.1))


# --- compressibility ------------------------------------------------------------------------------


def test_ck17_bulk_modulus_with_one_per_cent_of_air() -> None:
    """Merritt, section 1-3 (from memory): 1 / Be = 1 / Bl + (Vg / Vt) / (n p); 220000 psi, 500 psi absolute."""
    assert compress.effective_bulk_modulus(220000.0, 0.01, 500.0, n=1.4) == within(53103, 0.5)


def test_ck17_again_from_the_density_of_the_mixture() -> None:
    """The same point, reached by the density law: air is chosen so that 1 % is left at 500 psi absolute."""
    modulus, absolute, ambient = (parse(f"{x} psi", "absolute_pressure") for x in (220000, 500, 14.696))
    liquid, gas = 0.99 * math.exp((absolute - ambient) / modulus), 0.01 * (absolute / ambient) ** (1 / 1.4)
    oil = (RHO, modulus, gas / (liquid + gas), ambient, 1.4)
    tangent = compress.density(absolute - ambient, *oil) / compress.density_slope(absolute - ambient, *oil)
    assert convert(float(tangent), "modulus", "psi") == within(53103, 0.5)


def test_ck19_pressure_rise_in_a_trapped_volume() -> None:
    """Continuity (Merritt, from memory): dp/dt = B Q / V; 1.4 GPa, 60 L/min, 1 L."""
    assert compress.pressure_rise_rate(1.4e9, parse("60 L/min", "flow"), 1e-3) == within(1.40e9, 0.1)


def test_ck20_sound_and_water_hammer() -> None:
    """Joukowsky (standard): c = sqrt(B / rho), dp = rho c dv; 1.4 GPa, 870 kg/m3, 5 m/s."""
    c = float(compress.sound_speed(1.4e9, RHO))
    assert c == within(1268.5, 0.1)
    assert compress.joukowsky_rise(RHO, c, 5.0) / BAR == within(55.18, 0.1)


def test_ck21_oil_and_hose_in_series() -> None:
    """Merritt's and Manring's form (from memory), hose illustrative: 1.4 and 0.28 GPa."""
    assert compress.series_bulk_modulus(1.4e9, 0.28e9) / 1e6 == within(233.33, 0.1)


def test_ck49_hydraulic_natural_frequency() -> None:
    """Merritt, chapter 6 (from memory): sqrt(4 B A^2 / (Vt M)); 1.4 GPa, 20 cm2, 2 L, 1000 kg."""
    w = float(compress.hydraulic_natural_frequency(1.4e9, 20e-4, 2e-3, 1000.0))
    assert (w, w / math.tau) == (within(105.83, 0.1), within(16.843, 0.1))


# --- oil ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("grade", "low", "high"), [(32, 28.8, 35.2), (46, 41.4, 50.6), (68, 61.2, 74.8)])
def test_ck22_limits_of_the_viscosity_grades(grade: int, low: float, high: float) -> None:
    """ISO 3448 (from memory): 10 % either side at 40 degrees, mm2/s."""
    limits = [convert(nu, "viscosity", "mm2/s") for nu in viscosity.iso_vg_limits(grade)]
    assert limits == pytest.approx([low, high], rel=1e-12)


def test_ck24_viscosity_index_procedure_a() -> None:
    """ASTM D2270, worked example (from memory): 73.30 and 8.86 mm2/s; L = 119.94, H = 69.48: 92.43, index 92."""
    assert viscosity.viscosity_index(73.30, 119.94, 69.48) == pytest.approx(92.43, abs=0.005)
    assert viscosity.viscosity_index_of(73.30e-6, 8.86e-6) == pytest.approx(92, abs=1)
    assert [nu * 1e6 for nu in viscosity.reference_oils(8.86e-6)] == pytest.approx([119.94, 69.48], abs=0.03)


def test_viscosity_index_procedure_b() -> None:
    """ASTM D2270, worked example (from memory): 22.83 and 5.05 mm2/s, index 156."""
    assert viscosity.viscosity_index_of(22.83e-6, 5.05e-6) == pytest.approx(156, abs=1)


def test_ck26_density_at_50_degrees() -> None:
    """API MPMS 11.1, table 54D, K0 = 0, K1 = 0.6278 (from memory): 870 kg/m3 at 15 degrees."""
    assert float(density.density_at_temperature(870.0, 50.0)) == within(847.87, 0.002)


# --- lines ----------------------------------------------------------------------------------------


def test_ck27_laminar_line() -> None:
    """Hagen and Poiseuille (standard): 20 mm, 10 m, 60 L/min, 46 mm2/s, 870 kg/m3; by both laws."""
    flow, d, nu = parse("60 L/min", "flow"), 20e-3, 46e-6
    v = flow / float(areas.circle_area(d))
    assert lines.reynolds(v, d, nu) == within(1384.0, 0.2)
    assert lines.laminar_line_drop(flow, d, 10.0, nu * RHO) / BAR == within(1.0191, 0.2)
    assert float(lines.line_drop(v, d, 10.0, 1e-5, RHO, nu * RHO)) / BAR == within(1.0191, 0.2)


def test_ck28_colebrook() -> None:
    """Documentation of the open library fluids (from memory), and the library itself: Re = 1e5, e/D = 1e-4."""
    factor = float(lines.colebrook(1e5, 1e-4))
    assert factor == pytest.approx(0.01851387, rel=1e-6)
    assert factor == pytest.approx(fluids.friction.Colebrook(1e5, 1e-4), rel=1e-10)


def test_ck29_blasius_beside_smooth_colebrook() -> None:
    """Standard; Colebrook's value from the library fluids: Re = 1e4."""
    smooth = float(lines.colebrook(1e4, 0.0))
    assert (lines.blasius(1e4), smooth) == (within(0.031640, 0.01), within(0.030883, 0.01))
    assert lines.blasius(1e4) == within(smooth, 3)


def test_ck31_line_from_pump_to_motor() -> None:
    """Esposito, example 4-10: 3.73 kW, 0.00190 m3/s, 25.4 mm, SG 0.9, 100 cSt, 6.10 m up, 6.41 m, elbow K = 0.9.

    The oil starts at rest in the tank, so the velocity head at the motor counts too. An open re-publication prints
    1795.3 kPa because it divides by 12 although it is in metres; corrected it has 1790.0 kPa.
    """
    rho, nu, d, flow = 900.0, 100e-6, 25.4e-3, 0.00190
    v = flow / float(areas.circle_area(d))
    assert lines.reynolds(v, d, nu) == within(952.4, 0.5)
    pump = 3730.0 / flow
    lost = float(lines.line_drop(v, d, 1.53 + 4.88, 0.0, rho, rho * nu, k_minor=0.9))
    inlet = pump - lost - lines.elevation_drop(rho, 6.10) - rho * v**2 / 2
    assert inlet / 1e3 == within(1790.0, 0.05)


# --- power and heat -------------------------------------------------------------------------------


def test_ck32_pump_flow_in_us_units() -> None:
    """Esposito, example 9-5: gpm = V N / 231; 10 in3/rev, 1000 rpm."""
    flow = power.pump_flow(parse("10 in3/rev", "displacement"), parse("1000 rpm", "rotation"))
    assert convert(flow, "flow", "gpm") == within(43.290, 0.01)


def test_ck33_metric_power_and_torque() -> None:
    """Definition: kW = bar L/min / 600, T = V dp / (20 pi); 200 bar, 60 L/min, 40 cm3/rev."""
    watts = power.hydraulic_power(200 * BAR, parse("60 L/min", "flow"))
    assert convert(watts, "power", "kW") == within(20.00, 0.01)
    assert float(power.pump_torque(parse("40 cm3/rev", "displacement"), 200 * BAR)) == within(127.32, 0.01)


def test_ck35_rod_side_intensification() -> None:
    """Statics: p2 = p1 A1 / A2; area ratio 2, 100 bar, no load."""
    assert statics.intensified_pressure(100.0, 2.0, 1.0) == 200.0


def test_ck36_power_over_a_relief() -> None:
    """Esposito, example 8-2 (p. 299); BTU factor standard: 1000 psi, 20 gpm."""
    watts = power.hydraulic_power(parse("1000 psi", "pressure"), parse("20 gpm", "flow"))
    assert convert(watts, "power", "hp") == within(11.67, 0.2)
    assert convert(watts, "power", "BTU/h") == within(29690, 0.2)


def test_ck37_power_over_an_unloading_valve() -> None:
    """Esposito, example 8-3 (p. 299): 25 psi, 20 gpm."""
    watts = power.hydraulic_power(parse("25 psi", "pressure"), parse("20 gpm", "flow"))
    assert convert(watts, "power", "hp") == within(0.292, 0.5)


def test_ck38_heat_of_one_psi_and_gpm() -> None:
    """Definition, 2544.43 BTU/h per hp and 1714.29 psi gpm per hp: 1.4843 (rule of thumb 1.485)."""
    watts = power.hydraulic_power(parse("1 psi", "pressure"), parse("1 gpm", "flow"))
    assert convert(watts, "power", "BTU/h") == within(1.4843, 0.1)
    assert 1 / convert(watts, "power", "hp") == within(1714.29, 0.001)


def test_throttling_to_tank_warms_the_oil() -> None:
    """Esposito (from memory): 1000 psi to 0, SG 0.89, 0.42 BTU/(lb degF): 7.9 degF."""
    heat = 0.42 * 4186.8  # J/(kg K)
    rise = power.throttling_temperature_rise(parse("1000 psi", "pressure"), 0.89 * WATER, heat)
    assert float(rise) * 9 / 5 == within(7.9, 1)


# --- relief and response --------------------------------------------------------------------------


def test_ck40_direct_acting_relief() -> None:
    """Esposito, example 8-1 (p. 293): 0.75 in2, 2500 lb/in, precompressed 0.20 in, open 0.10 in at full flow."""
    area, rate = parse("0.75 in2", "area"), parse("2500 lb/in", "rate")
    precompression, lift = parse("0.20 in", "length"), parse("0.10 in", "length")
    cracking = relief.cracking_pressure(area, rate, precompression)
    full = relief.full_flow_pressure(area, rate, precompression, lift)
    assert convert(cracking, "pressure", "psi") == within(666.7, 0.2)
    assert convert(full, "pressure", "psi") == within(1000.0, 0.2)
    assert (full - cracking) / cracking == within(0.50, 0.2)


def test_ck43_back_pressure_adds_to_the_setting() -> None:
    """Force balance: cracks at 100 bar, 10 bar in the tank line, internal drain."""
    area, rate = 1e-4, 50e3
    precompression = 100 * BAR * area / rate
    assert relief.cracking_pressure(area, rate, precompression) / BAR == within(100, 1)
    assert relief.cracking_pressure(area, rate, precompression, 10 * BAR) / BAR == within(110, 1)


def test_ck44_unit_pairs_of_a_crane_manual() -> None:
    """US Army TM 5-3810-307-24-1-1, relief valves: 1500 psi printed as 10,342 kPa, 100 psi as 689.5 kPa."""
    assert convert(parse("1500 psi", "pressure"), "pressure", "kPa") == within(10342, 0.05)
    assert convert(parse("100 psi", "pressure"), "pressure", "kPa") == within(689.5, 0.05)


def test_ck50_second_order_step() -> None:
    """Standard: zeta = 0.5, 100 rad/s."""
    assert 100 * float(response.overshoot(0.5)) == within(16.303, 0.5)
    assert 1e3 * float(response.peak_time(0.5, 100.0)) == within(36.276, 0.5)
    assert 1e3 * response.settling_time(0.5, 100.0) == within(80, 0.5)


@pytest.mark.parametrize(("q", "lift", "pressure"), [(5.0, 1.47596, 11.47596), (8.0, 2.28267, 12.28267)])
def test_ck51_dimensionless_relief(q: float, lift: float, pressure: float) -> None:
    """Licskó, Champneys and Hős (2009), Hős and Champneys, Physica D 241 (2012), from memory: delta = 10."""
    equilibrium = [float(y) for y in relief.dimensionless_equilibrium(10.0, q)]
    assert equilibrium == pytest.approx([lift, pressure], abs=1e-4)
