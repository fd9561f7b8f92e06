"""One more reading: which state of the stand, and which gauge, would part what the readings so far cannot."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from oilway import quantity
from oilway.errors import NoSolution
from oilway.model.machine import OIL_TEMPERATURE
from oilway.model.system import System, Vector
from oilway.solve.steady import steady

if TYPE_CHECKING:
    from oilway.study.fit import Model

SHARES = (0.02, 0.1, 0.3, 0.6, 1.0)  # of the largest flow so far
COLD, BACK = 25.0, 2e6  # K colder; Pa of back-pressure
ROLES = ("vent", "drain")
TURN = 0.5  # turns
RIDGE = 1e-12
FREE = 1e-11  # relative singular value below which nothing fixes a direction


@dataclass(frozen=True)
class Extra:
    """One reading that could be taken: in words, and its slopes (k,) in standard deviations."""

    words: str
    slopes: Vector

    def helps(self, slopes: Vector, a: int, b: int) -> float:
        """By how much it narrows what is not known of two internals: the ratio of their variances, log."""
        before, after = (_variance(s, a, b) for s in (slopes, np.vstack([slopes, self.slopes])))
        return float(np.log(before / after)) if after > 0 else 0.0


def _variance(slopes: Vector, a: int, b: int) -> float:
    normal = slopes.T @ slopes
    ridge = RIDGE * max(float(np.trace(normal)), 1e-30)
    covariance = np.linalg.inv(normal + ridge * np.eye(len(normal)))
    return float(covariance[a, a] * covariance[b, b])


def extras(model: Model, x: Vector) -> list[Extra]:
    """Every reading that could be added: gauges at inlet, vent and drain; little and full flow; cold;
    back-pressure.
    """
    bench = model.machine
    chamber, flow = bench.set_by
    mounted = bench.mounted[0]
    most = max(row.inputs[flow] for row in model.rows)
    places = {"P": f"pressure in {chamber}"}
    for role in ROLES:
        if (at := f"pressure in {mounted.at(role)}") in bench.system.index:
            places[f"the gauge at the {role} port"] = at
    outlet, warm = f"{mounted.at('outlet')}.pressure", bench.point.get(OIL_TEMPERATURE, bench.temperature)
    ways: list[tuple[str, dict[str, float], float]] = [("", {}, 0.0)]
    ways.append((f", oil at {quantity.show(warm - COLD, 'temperature')}", {OIL_TEMPERATURE: warm - COLD}, 0.0))
    if outlet in bench.system.parameters:
        ways.append((f", {quantity.show(BACK, 'pressure')} in the outlet", {outlet: BACK}, 0.0))
    if model.adjuster is not None:
        ways.append((", the adjuster half a turn further in", {}, TURN))
    found = []
    for share in SHARES:
        for told, inputs, turned in ways:
            words = f" at {quantity.show(share * most, 'flow')}{told}"
            found += _at(model, x, {**inputs, flow: share * most}, turned, places, words)
    return found


def _at(
    model: Model,
    x: Vector,
    inputs: dict[str, float],
    turned: float,
    places: dict[str, str],
    words: str,
) -> list[Extra]:
    """The readings of one state of the stand."""
    system = model.machine.system
    th = model.theta(replace(model.rows[0], inputs=inputs, rising=True, turned=turned), x)
    try:
        z = steady(system, th)
    except NoSolution:
        return []
    slopes, top, found = moved(system, z, th, model.columns), float(np.abs(model.values).max()), []
    for name, at in places.items():
        k = system.index[at]
        found.append(Extra(f"{name}{words}", slopes[k] * model.scale / model.noise.spread(at, float(z[k]), top)))
    return found


def moved(system: System, z: Vector, th: Vector, columns: list[int]) -> Vector:
    """How a state of rest moves with parameters: dz/dth (n, k), SI, by the implicit function."""
    _, jacobian = system.scaled(z, th)
    pushes = system.parameter_jacobian(z, th)[:, columns] / system.row_scale[:, None]
    return np.asarray(-np.linalg.pinv(jacobian, rcond=FREE) @ pushes * system.scale[:, None])
