"""The self-contained model on which the choice of numerics is measured.

Two-stage relief valves on a flow source: one alone, a chain in series (every outlet feeds the next inlet
through a line, settings graded downwards, drains to tank), or many in parallel on one pump. Plus a
direct-acting valve behind a restriction whose flow force opens it, so that its curve folds.

The laws take their functions from a namespace `m` (casadi, numpy or sympy), so that every rival
evaluates the same text. SI units; gauge pressure. Not the project's laws: those live in `oilway.laws`.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, pi, radians, sin
from typing import Any

import casadi as ca
import numpy as np

PSI, GPM, BAR = 6894.757, 6.30902e-5, 1e5
P_SCALE, S_SCALE, M_SCALE, F_SCALE = 1e7, 1e-3, 1.0, 100.0
BULK = 1.5e9  # Pa, only in the pseudo-time term

# One valve: (default, relative spread used for random parameter sets; 0 keeps it).
VALVE: dict[str, tuple[float, float]] = {
    "orifice_d": (0.8e-3, 0.5),
    "orifice_cd": (0.7, 0.1),
    "main_d": (24e-3, 0.2),
    "main_cd": (0.7, 0.1),
    "main_preload": (100.0, 0.6),
    "main_rate": (10e3, 0.7),
    "main_recovered": (0.0, 0.0),
    "main_friction": (0.0, 0.0),
    "main_travel": (5e-3, 0.0),
    "pilot_d": (5e-3, 0.3),
    "pilot_cd": (0.7, 0.1),
    "pilot_preload": (2300 * PSI * pi / 4 * 5e-3**2, 0.7),
    "pilot_rate": (100e3, 0.5),
    "pilot_recovered": (0.0, 0.0),
    "pilot_friction": (0.0, 0.0),
    "pilot_travel": (2e-3, 0.0),
    "main_ref": (0.0, 0.0),
    "pilot_ref": (0.0, 0.0),
}
OIL: dict[str, tuple[float, float]] = {
    "flow": (18 * GPM, 0.9),
    "rho": (870.0, 0.03),
    "nu": (32e-6, 0.8),
    "rt": (9.33, 0.0),
    "contact": (1e7, 0.0),
    "p_drain": (0.0, 0.0),
}
MAIN_ANGLE, PILOT_ANGLE, CV = radians(45), radians(20), 0.98


def orifice_speed(m: Any, dp: Any, dh: Any, cd: Any, oil: dict[str, Any]) -> Any:
    """Mean speed [m/s] through a restriction of hydraulic diameter dh: laminar at small dp, Cd law at large."""
    half = oil["nu"] * oil["rt"] / 2
    gain = 2 * cd * cd / oil["rho"]
    return dh * gain * dp / (half + m.sqrt(half * half + dh * dh * gain * m.fabs(dp)))


def orifice_mass(m: Any, dp: Any, d: Any, cd: Any, oil: dict[str, Any]) -> Any:
    """Mass flow [kg/s] through a round hole."""
    return oil["rho"] * pi / 4 * d * d * orifice_speed(m, dp, d, cd, oil)


def seat(m: Any, dp: Any, x: Any, d: Any, cd: Any, angle: float, oil: dict[str, Any]) -> tuple[Any, Any]:
    """Mass flow [kg/s] and closing flow force [N] of a cone on a sharp seat, exact frustum area."""
    gap = x * sin(angle)
    area = pi * gap * (d - gap * cos(angle))
    u = orifice_speed(m, dp, 2 * gap, cd, oil)
    return oil["rho"] * area * u, oil["rho"] * area * u * u * CV / cd * cos(angle)


def lift(m: Any, s: Any, ref: Any, friction: Any, travel: Any, contact: Any) -> tuple[Any, Any]:
    """Normal map: lift x [m] and the force [N] of contact plus dry friction, from the unknown s [m]."""
    y, b = s - ref, friction / contact
    slid = ref + y - m.fmin(m.fmax(y, -b), b)
    x = m.fmin(m.fmax(slid, 0.0), travel)
    return x, contact * (x - s)


def valve_rest(
    m: Any, p1: Any, p2: Any, s1: Any, s2: Any, p_out: Any, v: dict[str, Any], oil: dict[str, Any]
) -> dict[str, Any]:
    """Flows and force sums of one two-stage valve; equal main faces, pilot drains to p_drain."""
    x1, held1 = lift(m, s1, v["main_ref"], v["main_friction"], v["main_travel"], oil["contact"])
    x2, held2 = lift(m, s2, v["pilot_ref"], v["pilot_friction"], v["pilot_travel"], oil["contact"])
    m_orifice = orifice_mass(m, p1 - p2, v["orifice_d"], v["orifice_cd"], oil)
    m_main, ff1 = seat(m, p1 - p_out, x1, v["main_d"], v["main_cd"], MAIN_ANGLE, oil)
    m_pilot, ff2 = seat(m, p2 - oil["p_drain"], x2, v["pilot_d"], v["pilot_cd"], PILOT_ANGLE, oil)
    face1, face2 = pi / 4 * v["main_d"] ** 2, pi / 4 * v["pilot_d"] ** 2
    main = (p1 - p2) * face1 - v["main_preload"] - v["main_rate"] * x1 - ff1 * (1 - v["main_recovered"]) + held1
    pilot = (
        (p2 - oil["p_drain"]) * face2
        - v["pilot_preload"]
        - v["pilot_rate"] * x2
        - ff2 * (1 - v["pilot_recovered"])
        + held2
    )
    return {"orifice": m_orifice, "main": m_main, "pilot": m_pilot, "f1": main, "f2": pilot, "x1": x1, "x2": x2}


@dataclass
class System:
    """A flat steady problem: unknowns y (scaled), parameters th (SI), residual r (scaled), pseudo-mass."""

    names: list[str] = field(default_factory=list)
    y: list[Any] = field(default_factory=list)
    r: list[Any] = field(default_factory=list)
    scale: list[float] = field(default_factory=list)
    mass: list[float] = field(default_factory=list)
    th_names: list[str] = field(default_factory=list)
    th: list[Any] = field(default_factory=list)
    th0: list[float] = field(default_factory=list)
    out: dict[str, Any] = field(default_factory=dict)

    def pressure(self, name: str, volume: float) -> Any:
        """Add a pressure unknown [Pa]; `volume` [m3] sets its pseudo-time term V rho / bulk."""
        return self._unknown(name, P_SCALE, volume * 870.0 / BULK * P_SCALE / M_SCALE)

    def position(self, name: str, damping: float) -> Any:
        """Add a part unknown s [m]; `damping` [N s/m] sets its pseudo-time term."""
        return self._unknown(name, S_SCALE, damping * S_SCALE / F_SCALE)

    def _unknown(self, name: str, scale: float, mass: float) -> Any:
        y = ca.SX.sym(name)
        self.names.append(name)
        self.y.append(y)
        self.scale.append(scale)
        self.mass.append(mass)
        return y * scale

    def params(self, prefix: str, table: dict[str, tuple[float, float]]) -> dict[str, Any]:
        """Add one symbol per row of a parameter table."""
        found = {}
        for key, (default, _) in table.items():
            found[key] = ca.SX.sym(prefix + key)
            self.th_names.append(prefix + key)
            self.th.append(found[key])
            self.th0.append(default)
        return found

    def default(self, **changes: float) -> np.ndarray:
        """Parameter vector, with named values replaced."""
        th = np.array(self.th0)
        for key, value in changes.items():
            th[self.th_names.index(key)] = value
        return th


def add_valve(sys: System, tag: str, p_in: Any, p_out: Any, oil: dict[str, Any], damping: float) -> dict[str, Any]:
    """Add one valve (back chamber, two parts) to the system; returns its flows."""
    v = sys.params(tag, VALVE)
    p2 = sys.pressure(tag + "p2", 2e-5)
    s1 = sys.position(tag + "s1", damping)
    s2 = sys.position(tag + "s2", damping)
    q = valve_rest(ca, p_in, p2, s1, s2, p_out, v, oil)
    sys.r += [(q["orifice"] - q["pilot"]) / M_SCALE, q["f1"] / F_SCALE, q["f2"] / F_SCALE]
    sys.out.update({tag + "x1": q["x1"], tag + "x2": q["x2"]})
    return q


def single(damping: float = 5.0) -> System:
    """One valve on a flow source: p1, p2, s1, s2."""
    sys = System()
    oil = sys.params("", OIL)
    p1 = sys.pressure("p1", 2e-4)
    slot = len(sys.r)
    q = add_valve(sys, "", p1, 0.0, oil, damping)
    sys.r.insert(slot, (oil["rho"] * oil["flow"] - q["orifice"] - q["main"]) / M_SCALE)
    return sys


def line(dp: Any, oil: dict[str, Any]) -> Any:
    """Mass flow [kg/s] of a connecting line, taken as a 10 mm hole."""
    return orifice_mass(ca, dp, 10e-3, 0.7, oil)


def series(n: int, damping: float = 5.0) -> System:
    """n valves in series, 5 unknowns each (the last discharges to tank); settings graded downwards."""
    sys = System()
    oil = sys.params("", OIL)
    feed = oil["rho"] * oil["flow"]
    p1 = [sys.pressure(f"v{i}.p1", 2e-4) for i in range(n)]
    p3 = [sys.pressure(f"v{i}.p3", 2e-4) for i in range(n)]
    rows1, rows3 = [], []
    for i in range(n):
        q = add_valve(sys, f"v{i}.", p1[i], p3[i], oil, damping)
        sys.th0[sys.th_names.index(f"v{i}.pilot_preload")] *= (n - i) / n
        leave = line(p3[i] - (p1[i + 1] if i + 1 < n else 0.0), oil)
        rows1.append((feed - q["orifice"] - q["main"]) / M_SCALE)
        rows3.append((q["main"] - leave) / M_SCALE)
        feed = leave
    sys.r = rows1 + rows3 + sys.r
    return sys


def parallel(n: int, damping: float = 5.0) -> System:
    """n valves on one pump of n times 18 gpm, each behind a line, settings spread by 1 %."""
    sys = System()
    oil = sys.params("", OIL)
    sys.th0[0] *= n
    p0 = sys.pressure("p0", 1e-3)
    p1 = [sys.pressure(f"v{i}.p1", 2e-4) for i in range(n)]
    total, rows = oil["rho"] * oil["flow"], []
    for i in range(n):
        q = add_valve(sys, f"v{i}.", p1[i], 0.0, oil, damping)
        sys.th0[sys.th_names.index(f"v{i}.pilot_preload")] *= 1 + 0.01 * i / n
        enter = line(p0 - p1[i], oil)
        total = total - enter
        rows.append((enter - q["orifice"] - q["main"]) / M_SCALE)
    sys.r = [total / M_SCALE, *rows, *sys.r]
    return sys


FOLD: dict[str, tuple[float, float]] = {
    "supply": (100 * BAR, 0.0),
    "feed_d": (6e-3, 0.0),
    "seat_d": (6e-3, 0.0),
    "preload": (300.0, 0.0),
    "rate": (40e3, 0.0),
    "recovered": (2.0, 0.0),
    "friction": (0.0, 0.0),
    "travel": (1e-3, 0.0),
    "ref": (0.0, 0.0),
}


def direct(table: dict[str, tuple[float, float]] | None = None, damping: float = 5.0) -> System:
    """Direct-acting poppet behind a restriction on a pressure source: p, s. Folds when recovered > 1."""
    sys = System()
    oil = sys.params("", OIL)
    v = sys.params("", table or FOLD)
    p, s = sys.pressure("p", 2e-4), sys.position("s", damping)
    x, held = lift(ca, s, v["ref"], v["friction"], v["travel"], oil["contact"])
    out, ff = seat(ca, p, x, v["seat_d"], 0.7, MAIN_ANGLE, oil)
    enter = orifice_mass(ca, v["supply"] - p, v["feed_d"], 0.7, oil) + oil["rho"] * oil["flow"]
    force = p * pi / 4 * v["seat_d"] ** 2 - v["preload"] - v["rate"] * x - ff * (1 - v["recovered"]) + held
    sys.r = [(enter - out) / M_SCALE, force / F_SCALE]
    sys.out["x"] = x
    return sys


def random_sets(sys: System, count: int, seed: int) -> np.ndarray:
    """Random parameter vectors, each value log-uniform in default x (1-spread .. 1/(1-spread))."""
    rng = np.random.default_rng(seed)
    sets = np.tile(np.array(sys.th0), (count, 1))
    spreads = {**VALVE, **OIL}
    for col, name in enumerate(sys.th_names):
        spread = spreads[name.split(".")[-1]][1]
        if spread:
            low = np.log(1 - spread)
            sets[:, col] *= np.exp(rng.uniform(low, -low, count))
    return sets


def random_starts(sys: System, count: int, seed: int) -> np.ndarray:
    """Scaled starts: pressures 0..400 bar, parts from pressed 0.02 mm into the seat to 2 mm open."""
    rng = np.random.default_rng(seed)
    starts = np.empty((count, len(sys.y)))
    for col, scale in enumerate(sys.scale):
        span = (0.0, 400 * BAR) if scale == P_SCALE else (-2e-5, 2e-3)
        starts[:, col] = rng.uniform(*span, count) / scale
    return starts
