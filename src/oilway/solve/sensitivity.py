"""What a small change of any parameter does to a state of rest, exactly: the implicit function theorem.

Where r(z, th) = 0, dz/dth = -(dr/dz)^-1 dr/dth, with both Jacobians of the System itself.
"""

from __future__ import annotations

from collections.abc import Sequence

import casadi as ca
import numpy as np

from oilway.model.system import System, Vector


def slopes(system: System, z: Vector, th: Vector) -> Vector:
    """dz/dth, (n, m) in SI, at a state of rest.  What no balance fixes (trapped oil) counts as staying."""
    by_z, by_th = system.residual(z, th)[1], system.parameter_jacobian(z, th)
    # In scaled unknowns and rows, so that a singular direction is told from a small number.
    scaled = by_z / system.row_scale[:, None] * system.scale
    right = by_th / system.row_scale[:, None]
    return -system.scale[:, None] * np.linalg.lstsq(scaled, right, rcond=1e-13)[0]


def gradients(system: System, z: Vector, th: Vector, names: Sequence[str]) -> tuple[Vector, Vector]:
    """Values (k,) of :attr:`Rest.shown` at a state of rest, and their slopes by all parameters, (k, m), SI."""
    rest = system.rest
    column = ca.vertcat(*(rest.shown[name] for name in names))
    jacobians = [ca.densify(ca.jacobian(column, by)) for by in (rest.z, rest.th)]
    function = ca.Function("shown", [rest.z, rest.th], [ca.densify(column), *jacobians])
    values, by_z, by_th = (np.array(out) for out in function(z, th))
    return values.ravel(), by_z @ slopes(system, z, th) + by_th
