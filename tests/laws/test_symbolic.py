"""Every law gives the same on floats, arrays and symbols, with finite slopes wherever a solver may go."""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
from collections.abc import Callable

import casadi as ca
import numpy as np
import pytest

import oilway.laws
from oilway.laws import (
    areas,
    compress,
    density,
    flow_force,
    gas,
    heat,
    lines,
    power,
    relief,
    response,
    restrictions,
    springs,
    statics,
    uncertainty,
    viscosity,
)

ca.GlobalOptions.setNumpyMode(1)  # NumPy functions then take symbols

Law = Callable[..., object]
OIL = (870.0, 1.5e9, 0.005, 101325.0, 1.4)
PRESSURES = (-1e7, -101325.0, -101225.0, -5e4, 0.0, 2e7)  # below, at and above the floor of the gas law
ORIFICE = (870.0, 0.04, 0.61, 9.33)
HALF_ANGLES = (math.radians(20), math.radians(45), math.pi / 2)
OPENINGS = (-1e-3, 0.0, 1e-9, 1e-3, 2e-3, 9e-3)  # of a hole of 2 mm: shut, at its rim, whole

CASES: dict[Law, list[tuple[float, ...]]] = {
    areas.circle_area: [(0.0,), (0.02,)],
    areas.annulus_area: [(0.03, 0.02), (0.02, 0.02)],
    areas.eased: [(s,) for s in (-1.0, 0.0, 0.5, 1.0, 2.0)],
    areas.poppet_area: [(0.01, x, a) for x in (-1e-3, 0.0, 5e-4, 0.02) for a in HALF_ANGLES],
    areas.poppet_hydraulic_diameter: [(0.01, x, a) for x in (-1e-3, 0.0, 5e-4, 0.02) for a in HALF_ANGLES],
    areas.spool_annulus_area: [(0.01, x) for x in OPENINGS],
    areas.spool_annulus_hydraulic_diameter: [(x,) for x in OPENINGS],
    areas.spool_holes_area: [(2e-3, 4.0, x) for x in OPENINGS],
    areas.spool_holes_hydraulic_diameter: [(2e-3, x) for x in OPENINGS],
    areas.spool_notch_area: [(2e-3, 4.0, x) for x in OPENINGS],
    areas.spool_notch_hydraulic_diameter: [(2e-3, x) for x in OPENINGS],
    compress.effective_bulk_modulus: [(1.5e9, 0.0, 1e5, 1.4), (1.5e9, 0.01, 1e5, 1.0)],
    compress.series_bulk_modulus: [(1.4e9, 0.28e9), (1.4e9, 0.28e9, 5e9)],
    compress.pressure_rise_rate: [(1.4e9, -1e-3, 1e-3)],
    compress.sound_speed: [(1.4e9, 870.0)],
    compress.joukowsky_rise: [(870.0, 1268.5, 0.0)],
    compress.hydraulic_natural_frequency: [(1.4e9, 2e-3, 2e-3, 1000.0)],
    compress.mixture_volume_ratio: [(p, *OIL[1:]) for p in PRESSURES],
    compress.density: [(p, *OIL) for p in PRESSURES],
    compress.density_slope: [(p, *OIL) for p in PRESSURES],
    compress.flow_work: [(p, *OIL[:-1], n) for p in PRESSURES for n in (1.0, 1.4)],
    density.density_at_temperature: [(870.0, 15.0), (870.0, -40.0)],
    flow_force.spool_flow_force_coefficient: [(0.61, 0.98, 1.2)],
    flow_force.flow_force: [
        (870.0, a, u, 1.2, 0.61, 0.98, 0.3) for a in (0.0, 1e-5) for u in (-100.0, 0.0, 100.0)
    ],
    heat.warming_rate: [(2e4, 50.0, 1970.0)],
    heat.heat_given_off: [(180.0, 60.0, 25.0)],
    heat.wall_conductance: [(12.0, 2.0)],
    gas.at_temperature: [(1e7, 293.15, 323.15)],
    gas.gas_volume: [(1e-2, 1e7, p, n) for p in (0.0, 1e7, 3e7) for n in (1.0, 1.4)],
    gas.gas_work: [(1e-2, 1e7, p, n) for p in (0.0, 1e7, 3e7) for n in (1.0, 1.4)],
    lines.reynolds: [(0.0, 0.02, 46e-6)],
    lines.laminar_line_drop: [(-1e-3, 0.02, 10.0, 0.04)],
    lines.colebrook: [(1e5, 0.0), (1e5, 1e-4)],
    lines.blasius: [(1e4,)],
    lines.friction_reynolds: [(re, e) for re in (0.0, 1.0, 7.0, 2300.0, 1e5, 1e9) for e in (0.0, 1e-3)],
    lines.line_drop: [(v, 0.02, 10.0, e, 870.0, 0.04, 1.5) for v in (-5.0, 0.0, 1e-9, 5.0) for e in (0.0, 1e-5)],
    lines.elevation_drop: [(870.0, 0.0)],
    power.pump_flow: [(40e-6, 0.0)],
    power.pump_torque: [(40e-6, 0.0)],
    power.hydraulic_power: [(0.0, 0.0)],
    power.suction: [(5e3, 1.0, 1e5), (5e5, 1.0, 1e5)],
    power.throttling_temperature_rise: [(0.0, 870.0, 1970.0)],
    power.laminar_slip_conductance: [(1.0, 40e-6, 30.0, 2e7, 0.04)],
    relief.cracking_pressure: [(1e-4, 1e4, 0.0, 1e5)],
    relief.full_flow_pressure: [(1e-4, 1e4, 0.0, 0.0, 1e5)],
    relief.dimensionless_equilibrium: [(10.0, 5.0)],
    response.logarithmic_decrement: [(2.0, 1.0, 0.5)],
    response.damping_from_decrement: [(0.7,)],
    response.overshoot: [(0.5,)],
    response.peak_time: [(0.5, 100.0)],
    response.settling_time: [(0.5, 100.0)],
    restrictions.transition_reynolds: [(0.2, 0.611)],
    restrictions.turbulent_orifice_flow: [(1e-6, -1e7, 870.0, 0.61)],  # for hand checks: not at zero drop
    restrictions.orifice_velocity: [(d, dp, *ORIFICE) for d in (0.0, 1e-3) for dp in (-1e7, 0.0, 1e-6, 1e9)],
    restrictions.orifice_drop: [(1e-3, u, *ORIFICE) for u in (-100.0, 0.0, 1e-9, 100.0)],
    restrictions.rated_laminar_flow: [(dp, 1e-3, 1e5, 0.03, 0.04) for dp in (-1e6, 0.0, 1e5)],
    restrictions.orifice_flow: [(a, d, 0.0, *ORIFICE) for a, d in ((0.0, 0.0), (1e-6, 1e-3))],
    restrictions.annular_gap_flow: [(0.02, c, 0.01, dp, 0.04, 0.0) for c in (0.0, 1e-5) for dp in (0.0, -1e7)],
    restrictions.check_opening: [(dp, 1e5, 3e5) for dp in (-1e6, 0.0, 1e5, 2e5, 3e5, 1e6)],
    restrictions.regulated_flow: [(dp, 1e-4, 8e5, 1e-9) for dp in (-1e7, -1e-6, 0.0, 4e5, 8e5, 1e7)],
    springs.spring_rate: [(79.3e9, 4e-3, 24e-3, 8.0)],
    springs.spring_force: [(1e4, x) for x in (-1e-3, 0.0, 1e-3)],
    springs.solid_length: [(4e-3, 10.0)],
    springs.natural_frequency: [(1e4, 0.02)],
    statics.intensified_pressure: [(0.0, 2e-3, 1e-3, 0.0)],
    uncertainty.span_limit: [(0.016, 2.5e7)],
    uncertainty.rectangular: [(1e5,)],
    viscosity.walther_constants: [(46e-6, 40.0, 6.8e-6, 100.0)],
    viscosity.viscosity_at: [(-40.0, 9.0, 3.5), (100.0, 9.0, 3.5)],
    viscosity.viscosity_index: [(73.3e-6, 119.94e-6, 69.48e-6)],
    viscosity.viscosity_index_above_100: [(22.83e-6, 5.05e-6, 28.97e-6)],
}
POINTS = [
    pytest.param(law, point, id=f"{law.__name__}{point}") for law, points in CASES.items() for point in points
]


def parameter_hints(law: Law) -> list[object]:
    """Annotations of a law's parameters."""
    return [parameter.annotation for parameter in inspect.signature(law).parameters.values()]


def laws_for_any_value() -> list[Law]:
    """Public laws whose parameters are typed ``Value``; those typed ``float`` or ``int`` take numbers only."""
    names = [info.name for info in pkgutil.iter_modules(oilway.laws.__path__, "oilway.laws.")]
    modules = [importlib.import_module(name) for name in names]
    found = [
        law
        for module in modules
        for name, law in inspect.getmembers(module, inspect.isfunction)
        if law.__module__ == module.__name__ and not name.startswith("_")
    ]
    return [f for f in found if all(p.annotation == "Value" for p in inspect.signature(f).parameters.values())]


def flat(result: object) -> list[object]:
    """A law's results as a list; most have one."""
    return list(result) if isinstance(result, tuple) else [result]


def test_no_law_is_left_out() -> None:
    assert {f"{f.__module__}.{f.__name__}" for f in laws_for_any_value()} == {
        f"{f.__module__}.{f.__name__}" for f in CASES
    }


@pytest.mark.parametrize(("law", "point"), POINTS)
def test_numbers_arrays_and_symbols_agree_and_slopes_are_finite(law: Law, point: tuple[float, ...]) -> None:
    numbers = np.array([float(r) for r in flat(law(*point))])
    arrays = np.array(flat(law(*(np.array([x, x]) for x in point))), dtype=float)
    symbols = [ca.SX.sym(f"a{i}") for i in range(len(point))]
    results = ca.vertcat(*(ca.SX(r) for r in flat(law(*symbols))))
    function = ca.Function("law", symbols, [results, ca.jacobian(results, ca.vertcat(*symbols))])
    values, slopes = (np.array(out, dtype=float) for out in function(*point))

    assert np.isfinite(numbers).all()
    np.testing.assert_allclose(arrays, np.stack([numbers, numbers], axis=1), rtol=1e-13)
    np.testing.assert_allclose(values[:, 0], numbers, rtol=1e-12, atol=0.0)
    assert np.isfinite(slopes).all(), f"slopes {slopes} at {point}"
